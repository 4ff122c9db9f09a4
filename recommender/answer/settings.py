"""What a bundle comes to on the bike beyond its record: what to set, what a tuner is told."""

from dataclasses import dataclass

from recommender.answer.bundle import completion_of
from recommender.answer.graphs import Curve, curve
from recommender.answer.wording import completion_kind, tell
from recommender.ranking.order import Ranked

_SIDES = ("compression", "rebound", "lockout")
_UNCHANGED = ("as delivered", "serviced, tune unchanged")


@dataclass(frozen=True)
class Damping:
    """One side of the damper: its class in words, the coefficient needed and the range that the
    tune spans, in N s/m at the shaft."""

    side: str
    tune_class: str
    needed: float
    low: float
    high: float


@dataclass(frozen=True)
class Settings:
    """Lengths in mm. `spring_kind` is blank where it is unknown; of a coil `fill_psi` and `spacers`
    are None, of anything else `preload_turns`. `leverage` is None where it cannot be drawn."""

    spring_kind: str
    length_mm: float
    stroke_mm: float
    preload_turns: float | None
    fill_psi: float | None
    spacers: float | None
    sprung_mass_kg: float
    tyre_gap_mm: float
    rider_mass: str
    tune: str
    revalved: bool
    damping: tuple[Damping, ...]
    leverage: Curve | None


def settings_of(ranked: Ranked) -> Settings:
    """The settings of one bundle."""
    completion = completion_of(ranked)
    number = completion.number
    kind = completion_kind(completion)

    def words(name: str) -> str:
        return tell(name, completion.shown(name))

    return Settings(
        kind, number("shock_length_mm"), number("stroke_mm"),
        number("shock_preload_turns_min") if kind == "coil" else None,
        None if kind == "coil" else number("fill_psi"),
        None if kind == "coil" else number("spring_spacers"),
        number("sprung_mass_kg"), number("bike_tyre_minimum_gap_mm"),
        words("rider_mass_with_kit_kg"),
        ", ".join(f"{side} {words(f'tune_{side}_class')}" for side in _SIDES),
        completion.label("tune") not in _UNCHANGED,
        tuple(
            Damping(
                side, words(f"tune_{side}_class"), number(f"needed_{side}_n_s_per_m"),
                number(f"{side}_low_n_s_per_m"), number(f"{side}_high_n_s_per_m"),
            )
            for side in ("rebound", "compression")
        ),
        curve(ranked, ""),
    )  # fmt: skip
