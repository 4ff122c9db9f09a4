"""The fitted shock on this bike under this rider: its figures at any setting, nominal values."""

import math
from dataclasses import dataclass
from typing import Any

from recommender.facts.bike import PresentShock
from recommender.facts.parts import Shock
from recommender.facts.units import UNITS
from recommender.mechanics import air, coil, damping, load, sag, springing
from recommender.mechanics.air import AirSpring
from recommender.mechanics.leverage import Leverage

MM, PSI, N_PER_MM, MM2, CM3 = (UNITS[name][1] for name in ("mm", "psi", "n_per_mm", "mm2", "cm3"))
_AIR = (
    "piston_area_mm2", "chamber_cm3", "negative_area_mm2", "negative_chamber_cm3", "equalise_at_mm",
)  # fmt: skip


@dataclass(frozen=True)
class Setup:
    """Figures of one setting; `fill_psi` of air, `rate_n_per_mm` of a coil (the other is None)."""

    spacers: int
    sag_mm: float
    sag_percent: float
    wheel_sag_mm: float
    reserve_mm: float
    critical_n_s_per_m: float
    wheel_rate_n_per_mm: float
    fill_psi: float | None = None
    rate_n_per_mm: float | None = None
    in_range: bool = True


@dataclass(frozen=True)
class Bench:
    """Bike, rider and fitted shock, every figure taken in the middle of what it may be."""

    leverage: Leverage
    shift_mm: float
    sprung_mass_kg: float
    stroke_mm: float
    shock: Shock
    now: PresentShock

    @property
    def is_air(self) -> bool:
        return self.shock.spring_kind == "air"

    def missing(self) -> tuple[str, ...]:
        """Facts of the shock without which no figure can be given."""
        if self.shock.spring_kind is None:
            return ("spring_kind",)
        names = _AIR if self.is_air else ()
        out = [name for name in ("stroke_mm", *names) if not getattr(self.shock, name).known]
        if self.is_air and self.spacers and not self.shock.volume_spacer_cm3.known:
            out.append("volume_spacer_cm3")
        if not self.is_air and not self.now.spring_rate_n_per_mm.known:
            out.append("spring_rate_n_per_mm")
        return tuple(out)

    @property
    def spacers(self) -> int:
        """Volume spacers now; unknown counts as none."""
        count = self.now.volume_spacers
        return round(count.mid) if count.known else 0

    @property
    def most_spacers(self) -> int:
        """What the shock takes; unknown: as many as are in it."""
        most = self.shock.volume_spacers_max
        known = most.known and self.shock.volume_spacer_cm3.known
        return math.floor(most.low) if known else self.spacers

    def air(self, sag_percent: float, spacers: int) -> Setup:
        """The setting with that shaft sag, pumped to it; `in_range`: the shock may hold that."""
        spring = self._spring(spacers)
        x = self.stroke_mm * sag_percent / 100 * MM
        fill = float(air.fill_pressure(self._force(x), x, spring))
        low, high = self.shock.pressure_min_psi, self.shock.pressure_max_psi
        above = not low.known or fill / PSI >= low.low
        fits = above and (not high.known or fill / PSI <= high.high)
        rate = float(air.riding_rate(fill, x, x, spring))
        energy = float(air.riding_energy(fill, x, self.stroke_mm * MM, spring))
        return self._setup(x, rate, energy, spacers, fits, fill_psi=fill / PSI)

    def coil(self, rate_n_per_mm: float) -> Setup:
        """The setting with that coil at the least preload the maker allows (half a turn)."""
        pitch, turns = self.shock.collar_pitch_mm, self.shock.preload_turns_min
        preload = (pitch.mid if pitch.known else 1.0) * turns.mid * MM
        rate, mass = rate_n_per_mm * N_PER_MM, self.sprung_mass_kg
        x = float(
            coil.sag(rate, preload, load.wheel_force(mass), self.leverage, self.shift_mm * MM,
                     self.stroke_mm * MM)
        )  # fmt: skip
        x = min(x, self.stroke_mm * MM)
        energy = float(springing.coil_energy(rate, preload, self.stroke_mm * MM))
        return self._setup(x, rate, energy, 0, True, rate_n_per_mm=rate_n_per_mm)

    def _spring(self, spacers: int) -> AirSpring:
        area, chamber, negative, negative_chamber, meet = (
            getattr(self.shock, name).mid for name in _AIR
        )
        taken = spacers * self.shock.volume_spacer_cm3.mid if spacers else 0.0
        return AirSpring(
            area * MM2, (chamber - taken) * CM3, negative * MM2, negative_chamber * CM3, meet * MM
        )

    def _force(self, x: float) -> Any:
        ratio = self.leverage.ratio(x - self.shift_mm * MM)
        return load.shock_force(load.wheel_force(self.sprung_mass_kg), ratio)

    def _setup(
        self, x: float, rate: float, energy: float, spacers: int, in_range: bool, **spring: float
    ) -> Setup:
        shift, mass = self.shift_mm * MM, self.sprung_mass_kg
        at = x - shift
        ratio = self.leverage.ratio(at)
        wheel_rate = float(
            springing.wheel_rate(rate, self._force(x), ratio, self.leverage.slope(at))
        )
        travel = float(sag.travel(self.leverage, self.stroke_mm * MM, shift))
        return Setup(
            spacers=spacers,
            sag_mm=x / MM,
            sag_percent=100 * x / MM / self.stroke_mm,
            wheel_sag_mm=float(sag.wheel_sag(self.leverage, x, shift)) / MM,
            reserve_mm=float(springing.reserve_height(energy, mass, travel)) / MM,
            critical_n_s_per_m=float(damping.needed_coefficient(1.0, wheel_rate, mass, ratio)),
            wheel_rate_n_per_mm=wheel_rate / N_PER_MM,
            in_range=in_range,
            fill_psi=spring.get("fill_psi"),
            rate_n_per_mm=spring.get("rate_n_per_mm"),
        )
