"""Days until each part is ready to be fitted: what must wait for what.

Parts come side by side, and a part is worked on when it is there. Work on the shock itself (another
stroke, a revalve, a spring or spacers) cannot begin before the shock has come, so its days follow
the shock's own; several such jobs are done in one visit. A workshop's way of reckoning [cp].
"""

from typing import Any

import numpy as np

from recommender.rules.registry import figure

WAITS = ("shock_days", "stroke_days", "tune_days", "spring_days", "spring_work_days",
         "head_kit_days", "shaft_kit_days")  # fmt: skip
"""The facts that the figures rest on; none falls along any."""


@figure("days")
def shock_ready_days(shock_days: Any) -> Any:
    """Delivery, and the days of turning its eye."""
    return shock_days


@figure("days")
def stroke_ready_days(shock_days: Any, stroke_days: Any) -> Any:
    """0 where the stroke stays as delivered."""
    return np.where(stroke_days > 0, shock_days + stroke_days, 0.0)


@figure("days")
def tune_ready_days(shock_days: Any, tune_days: Any) -> Any:
    """The shock comes, is sent to the workshop, is revalved; 0 where the tune stays as it is."""
    return np.where(tune_days > 0, shock_days + tune_days, 0.0)


@figure("days")
def spring_ready_days(shock_days: Any, spring_days: Any, spring_work_days: Any) -> Any:
    """Shock and spring come side by side; then one is fitted to the other."""
    both = np.maximum(shock_days, spring_days) + spring_work_days
    return np.where(spring_work_days > 0, both, spring_days)


@figure("days", each="end")
def end_kit_ready_days(end_kit_days: Any) -> Any:
    """Delivery, and the days of pressing its bushing in."""
    return end_kit_days
