"""Hypothesis profiles: short and seeded by default, long with HYPOTHESIS_PROFILE=long. No test
leaves anything in the user's cache."""

import os

from hypothesis import settings

settings.register_profile("short", deadline=None, derandomize=True, max_examples=60)
settings.register_profile("long", deadline=None, max_examples=2000)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "short"))

os.environ["RECOMMENDER_CACHE"] = "off"
