"""How many cases a property is tried on: few and always the same, or with
HYPOTHESIS_PROFILE=long many, drawn anew."""

import os

from hypothesis import HealthCheck, settings

LONG = os.environ.get("HYPOTHESIS_PROFILE") == "long"


def examples(count: int, long: int = 0) -> settings:
    """So many, and in the long profile `long`, or twenty times as many."""
    return settings(
        max_examples=(long or 20 * count) if LONG else count,
        derandomize=not LONG,
        deadline=None,
        database=None,
        suppress_health_check=list(HealthCheck),
    )
