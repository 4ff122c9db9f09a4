"""Room for the shock's body between frame, links and yoke, third by third and side by side.

Turned 180 degrees about its axis (clocking) a shock's up and down, left and right change places;
mounted end for end its head third lies in the frame's shaft third and left and right change.
"""

from typing import Any

import numpy as np

from recommender.rules.mounting import AIR
from recommender.rules.registry import INAPPLICABLE, figure, rule

_OPPOSITE = {"up": "down", "down": "up", "left": "right", "right": "left"}
_MIRROR = {"up": "up", "down": "down", "left": "right", "right": "left"}
_FLIPPED = {"head": "shaft", "middle": "middle", "shaft": "head"}
PLACES = tuple((third, side) for third in _FLIPPED for side in _OPPOSITE)
ROOMS = tuple(f"bike_room_{third}_{side}_mm" for third, side in PLACES)
BODY = tuple(f"shock_body_{third}_{side}_mm" for third, side in PLACES)


def air_left(turned: Any, reversed_: Any, *room_then_body: Any) -> list[Any]:
    """Room less body at each of PLACES, mm: twelve rooms, then the twelve body radii."""
    room = dict(zip(PLACES, room_then_body[:12], strict=True))
    body = dict(zip(PLACES, room_then_body[12:], strict=True))

    def radius(third: str, side: str) -> Any:
        return np.where(turned == 1, body[third, _OPPOSITE[side]], body[third, side])

    return [
        room[third, side]
        - np.where(
            reversed_ == 1, radius(_FLIPPED[third], _MIRROR[side]), radius(third, side)
        )
        for third, side in PLACES
    ]


@figure("mm", reads=("clocking_turned", "shock_reversed", *ROOMS, *BODY), rises=ROOMS, falls=BODY)
def body_air_mm(*facts: Any) -> Any:
    """Least air around the body, mm."""
    return _least(air_left(*facts))


@figure("place", reads=("clocking_turned", "shock_reversed", *ROOMS, *BODY))
def body_tightest(*facts: Any) -> Any:
    """Index into PLACES of the least air."""
    return np.argmin(np.stack(np.broadcast_arrays(*air_left(*facts))), axis=0)


@rule(
    "room for the body", "limit", "mm", standing="mem",
    says="the body needs {short} mm more room for {bike_room_minimum_air_mm} mm of clearance "
    "around it ({body_tightest})",
    rises=ROOMS, falls=(*BODY, "bike_room_minimum_air_mm"),
)  # fmt: skip
def room_for_body(body_air_mm: Any, bike_room_minimum_air_mm: Any) -> Any:
    return body_air_mm - bike_room_minimum_air_mm


@figure(
    "mm", reads=("spring_outer_diameter_mm", "shock_reversed", *ROOMS), rises=ROOMS,
    falls=("spring_outer_diameter_mm",),
)  # fmt: skip
def coil_air_mm(outer_diameter_mm: Any, reversed_: Any, *rooms: Any) -> Any:
    """Least air around the coil, mm. It sits on the shock's middle and shaft thirds; end for end
    that is the frame's middle and head thirds. Being round it has no turn."""
    room = dict(zip(PLACES, rooms, strict=True))

    def least_over(thirds: tuple[str, ...]) -> Any:
        return _least([room[place] for place in PLACES if place[0] in thirds])

    fitted, flipped = least_over(("middle", "shaft")), least_over(("middle", "head"))
    return np.where(reversed_ == 1, flipped, fitted) - outer_diameter_mm / 2


@figure("mm", rises=ROOMS, falls=(*BODY, "spring_outer_diameter_mm"))
def least_air_mm(
    body_air_mm: Any, coil_air_mm: Any, shock_spring_kind: Any, spring_made: Any
) -> Any:
    """Least air around the whole shock, its coil included."""
    coil = (shock_spring_kind != AIR) & (spring_made == 0)
    return np.where(coil, np.minimum(body_air_mm, coil_air_mm), body_air_mm)


@rule(
    "room for the coil", "limit", "mm", standing="mem", springs="coil",
    says="a coil of {spring_outer_diameter_mm} mm needs {short} mm more room for "
    "{bike_room_minimum_air_mm} mm of clearance around it",
    rises=ROOMS, falls=("spring_outer_diameter_mm", "bike_room_minimum_air_mm"),
)  # fmt: skip
def room_for_coil(
    shock_spring_kind: Any, spring_made: Any, coil_air_mm: Any, bike_room_minimum_air_mm: Any
) -> Any:
    silent = (shock_spring_kind == AIR) | (spring_made == 1)
    return np.where(silent, INAPPLICABLE, coil_air_mm - bike_room_minimum_air_mm)


def _least(airs: list[Any]) -> Any:
    out = airs[0]
    for air in airs[1:]:
        out = np.minimum(out, air)
    return out
