"""How many cases a property is tried on: few and always the same, or with
HYPOTHESIS_PROFILE=long twenty times as many, drawn anew."""

import os

from hypothesis import HealthCheck, settings

LONG = os.environ.get("HYPOTHESIS_PROFILE") == "long"


def examples(count: int) -> settings:
    return settings(
        max_examples=count * (20 if LONG else 1),
        derandomize=not LONG,
        deadline=None,
        database=None,
        suppress_health_check=list(HealthCheck),
    )
