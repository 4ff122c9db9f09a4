"""Hypothesis profiles: short and seeded by default, others by HYPOTHESIS_PROFILE. No test
leaves anything in the user's cache."""

import os

from hypothesis import Phase, settings

settings.register_profile("short", deadline=None, derandomize=True, max_examples=45)
settings.register_profile("long", deadline=None, max_examples=2000)
# For tests that are only to pass or fail: no search for the smallest example.
settings.register_profile(
    "brief", deadline=None, derandomize=True, max_examples=20,
    phases=[Phase.explicit, Phase.generate],
)  # fmt: skip
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "short"))

os.environ["RECOMMENDER_CACHE"] = "off"
