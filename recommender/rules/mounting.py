"""Mount style, eyelet axis, which way round, and what the frame maker allows at all."""

from typing import Any

import numpy as np

from recommender.facts import words
from recommender.rules.registry import INAPPLICABLE, code, figure, rule

EYELET, TRUNNION = code(words.MOUNTS, "eyelet"), code(words.MOUNTS, "trunnion")
AIR, COIL = code(words.SPRING_KINDS, "air"), code(words.SPRING_KINDS, "coil")
YES = code(words.YES_NO, "yes")
RIDER, WITH_KIT = code(words.BASES, "rider"), code(words.BASES, "rider with kit")


def verdict(passes: Any) -> Any:
    """A categorical margin: +1 or -1, never an amount."""
    return np.where(passes, 1.0, -1.0)


@figure()
def head_joins(shock_head_mount: Any, shock_reversed: Any, bike_mount: Any) -> Any:
    """The shock's head meets a mount of its own style. A trunnion frame keeps the head there."""
    same = shock_head_mount == bike_mount
    return same & ~((shock_reversed == 1) & (bike_mount == TRUNNION))


@rule(
    "mount style", "limit", "", standing="frame maker", categorical=True,
    says="the shock's head is {shock_head_mount}, the frame takes {bike_mount} there",
)  # fmt: skip
def mount_style(head_joins: Any) -> Any:
    return verdict(head_joins)


@rule(
    "eyelet axis", "limit", "", standing="shock maker", categorical=True,
    says="the shaft eye is {shock_eyelet_axis} to the head bolt, the frame needs "
    "{bike_eyelet_axis}, and the eye may not be turned (manual: {shock_eyelet_turnable})",
)  # fmt: skip
def eyelet_axis(shock_eyelet_axis: Any, shock_eyelet_turnable: Any, bike_eyelet_axis: Any) -> Any:
    return verdict((shock_eyelet_axis == bike_eyelet_axis) | (shock_eyelet_turnable == YES))


@rule(
    "end for end", "limit", "", standing="shock maker", categorical=True,
    says="mounted end for end, which both manuals must allow "
    "(shock: {shock_end_for_end}, frame: {bike_allows_end_for_end})",
)  # fmt: skip
def end_for_end(shock_reversed: Any, shock_end_for_end: Any, bike_allows_end_for_end: Any) -> Any:
    allowed = (shock_end_for_end == YES) & (bike_allows_end_for_end == YES)
    return verdict((shock_reversed == 0) | allowed)


@rule(
    "spring kind allowed", "limit", "", standing="frame maker", categorical=True,
    says="the frame maker does not allow a {shock_spring_kind} shock",
)  # fmt: skip
def spring_kind_allowed(shock_spring_kind: Any, bike_allows_air: Any, bike_allows_coil: Any) -> Any:
    return verdict(np.where(shock_spring_kind == AIR, bike_allows_air, bike_allows_coil) == YES)


@rule(
    "remote routing", "limit", "", standing="frame maker", categorical=True,
    says="its lockout works by a remote cable, which the frame cannot route",
)  # fmt: skip
def remote_routing(shock_remote_lockout: Any, bike_allows_remote: Any) -> Any:
    return verdict((shock_remote_lockout != YES) | (bike_allows_remote == YES))


@figure("kg")
def limited_mass_kg(
    bike_limits_rider_mass_basis: Any,
    rider_mass_kg: Any,
    rider_mass_with_kit_kg: Any,
    rider_bike_mass_kg: Any,
) -> Any:
    """The mass that the frame's limit is about, on the limit's own basis."""
    return _on_basis(
        bike_limits_rider_mass_basis, rider_mass_kg, rider_mass_with_kit_kg, rider_bike_mass_kg
    )


def _on_basis(basis: Any, rider: Any, with_kit: Any, bike: Any) -> Any:
    whole = with_kit + bike
    return np.where(basis == RIDER, rider, np.where(basis == WITH_KIT, with_kit, whole))


@rule(
    "frame's mass limit", "limit", "kg", standing="frame maker",
    says="{limited_mass_kg} kg is {short} kg over the frame's limit of {bike_limits_rider_mass_kg} "
    "kg ({bike_limits_rider_mass_basis})",
)  # fmt: skip
def frame_mass_limit(limited_mass_kg: Any, bike_limits_rider_mass_kg: Any) -> Any:
    return bike_limits_rider_mass_kg - limited_mass_kg


@figure("kg")
def shock_limited_mass_kg(
    shock_rider_mass_limit_basis: Any,
    rider_mass_kg: Any,
    rider_mass_with_kit_kg: Any,
    rider_bike_mass_kg: Any,
) -> Any:
    """The mass that the shock's limit is about, on the limit's own basis."""
    return _on_basis(
        shock_rider_mass_limit_basis, rider_mass_kg, rider_mass_with_kit_kg, rider_bike_mass_kg
    )


@rule(
    "shock's mass limit", "limit", "kg", standing="shock maker",
    says="{shock_limited_mass_kg} kg is {short} kg over the shock's limit of "
    "{shock_rider_mass_limit_kg} kg ({shock_rider_mass_limit_basis})",
)  # fmt: skip
def shock_mass_limit(shock_limited_mass_kg: Any, shock_rider_mass_limit_kg: Any) -> Any:
    # A manual that is silent states no limit, so blank is filled with the field's upper bound.
    return shock_rider_mass_limit_kg - shock_limited_mass_kg


@rule(
    "working order", "limit", "", standing="cp", categorical=True,
    says="the shock fitted now is broken and is kept without a service",
    fix="a service",
)  # fmt: skip
def working_order(tune_leaves_broken: Any) -> Any:
    return np.where(tune_leaves_broken == 1, -1.0, INAPPLICABLE)
