"""Hypothesis profiles: short and seeded by default, others by HYPOTHESIS_PROFILE. No test
leaves anything in the user's cache."""

import os

import pytest
from hypothesis import Phase, settings

import recommender.search.alike as alike

settings.register_profile("short", deadline=None, derandomize=True, max_examples=45)
settings.register_profile("long", deadline=None, max_examples=2000)
# For tests that are only to pass or fail: no search for the smallest example.
settings.register_profile(
    "brief", deadline=None, derandomize=True, max_examples=20,
    phases=[Phase.explicit, Phase.generate],
)  # fmt: skip
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "short"))

os.environ["RECOMMENDER_CACHE"] = "off"

# Small markets are thinned like large ones; `test_verdicts` looks at them as they are, too.
PLAIN, alike.FEW = alike.FEW, 0

# What is dear to make is made by one process, where `--dist loadgroup` runs several.
TOGETHER = {"tests/page/": "the page", "tests/certificate/test_accepted.py::test_demo": "certified",
            "tests/certificate/test_tampered.py::test_the_demo": "certified"}  # fmt: skip


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        for start, name in TOGETHER.items():
            if item.nodeid.startswith(start):
                item.add_marker(pytest.mark.xdist_group(name))
