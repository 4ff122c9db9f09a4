"""The rules: one file a family, each rule with its margin, sentence, standing and fix.

Importing this package registers them all.
"""

from recommender.rules import (
    comfort,
    hardware,
    mounting,
    room,
    size,
    spring,
    spring_coil,
    tune,
    waiting,
    wishes,
)

__all__ = [
    "comfort", "hardware", "mounting", "room", "size", "spring", "spring_coil", "tune",
    "waiting", "wishes",
]  # fmt: skip
