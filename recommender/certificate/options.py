"""What may be chosen for one shock mounted one way, and the facts that each option brings."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np

from recommender.catalogue.columns import Ints
from recommender.catalogue.settings import SAME
from recommender.rules.choices import Market
from recommender.rules.fact import Fact
from recommender.rules.market import owner_facts, variants
from recommender.rules.mounting import AIR, COIL


@dataclass(frozen=True)
class Options:
    """The options of one choice: a label each, rows of the market's table, facts by full name.

    `cache` keeps what is worked out of the facts alone.
    """

    labels: tuple[str, ...]
    row: Ints
    facts: Mapping[str, Fact]
    cache: dict[Any, Any] = field(default_factory=dict, compare=False, repr=False)

    def __len__(self) -> int:
        return len(self.row)

    def only(self, position: int) -> "Options":
        """That option alone."""
        at = np.array([position])
        facts = {name: fact.take(at) for name, fact in self.facts.items()}
        return Options((self.labels[position],), self.row[at], facts)

    def nominal(self) -> "Options":
        """The same with every fact at the one value to score by."""
        facts = {name: fact.nominal_as(name) for name, fact in self.facts.items()}
        return Options(self.labels, self.row, facts)


def unlike(labels: Sequence[str]) -> tuple[str, ...]:
    """The labels, numbered where one comes again, so that each names one option."""
    seen: dict[str, int] = {}
    out = []
    for label in labels:
        seen[label] = seen.get(label, 0) + 1
        out.append(label if seen[label] == 1 else f"{label} ({seen[label]})")
    return tuple(out)


@dataclass(frozen=True)
class Offers:
    """What a market lets one choose, shock by shock."""

    market: Market

    def mountings(self, shock: int) -> list[bool]:
        """The ways to mount a shock: as now, and end for end where nothing forbids it."""
        return [bool(one) for one in variants(self.market, np.array([shock]))[1]]

    def of(self, shock: int, turned: bool) -> dict[str, Options]:
        """The options of every choice; the shock itself as a choice of one."""
        at = np.array([shock])
        facts = owner_facts(self.market, at, np.array([turned]))
        return {
            "shock": Options((self.market.shocks.key_of(shock),), at, facts),
            "stroke": self._strokes(shock),
            "spring": self._springs(shock, facts["shock_spring_kind"]),
            "tune": self._tunes(shock),
            "clocking": self._clocking,
            "head_kit": self._kits["head"],
            "shaft_kit": self._kits["shaft"],
        }

    @cached_property
    def _clocking(self) -> Options:
        facts = {"clocking_turned": Fact(np.array([0.0, 1.0]))}
        return Options(("as it is", "turned by half"), np.arange(2), facts)

    @cached_property
    def _kits(self) -> dict[str, Options]:
        kits = self.market.kits
        labels, row = unlike(kits.labels), np.arange(len(kits.labels))
        return {
            end: Options(labels, row, {f"{end}_kit_{k}": fact for k, fact in kits.facts.items()})
            for end in ("head", "shaft")
        }

    def _strokes(self, shock: int) -> Options:
        market = self.market
        row = np.flatnonzero(market.stroke_owner == shock)
        mm, job = market.stroke_mm.take(row), market.works["change stroke"]
        delivered = market.shocks.number("stroke_mm")
        stays = (mm.low <= delivered.top[shock] + SAME) & (mm.high >= delivered.low[shock] - SAME)
        # Where several settings may be the one it comes with, none is sure to be.
        sure, maybe = ~stays, ~stays | (stays.sum() > 1)
        none = Fact(np.zeros(len(row)))
        facts = {"stroke_mm": mm, "stroke_price": none, "stroke_mass_g": none}
        away = (float(job.workshop),) * 2
        for name, (least, most) in (
            ("changed", (1.0, 1.0)), ("labour", job.labour), ("days", job.days), ("workshop", away),
        ):  # fmt: skip
            facts[f"stroke_{name}"] = Fact.bounds(sure * least, maybe * most)
        labels = [
            f"{low:.10g}" if low == high else f"{low:.10g} to {high:.10g}"
            for low, high in zip(mm.low.tolist(), mm.high.tolist(), strict=True)
        ]
        return Options(unlike(labels), row, facts)

    def _tunes(self, shock: int) -> Options:
        """As delivered, the services for its damper, serviced if it is fitted now, made."""
        market, last = self.market, len(self.market.tunes.labels) - 1
        family = int(market.shocks.text("damper").codes[shock])
        served = market.services_of.get(family, np.array([], np.int64)).tolist()
        kept = [last - 1] if shock == market.present else []
        row = np.array([shock, *served, *kept, last], np.int64)
        facts = {f"tune_{name}": fact.take(row) for name, fact in market.tunes.facts.items()}
        return Options(unlike([market.tunes.labels[k] for k in row.tolist()]), row, facts)

    def _springs(self, shock: int, kind: Fact) -> Options:
        """Spacers in an air shock, coils on a coil shock; either where the kind is not known."""
        market, springs = self.market, self.market.springs
        known = kind.loose is None or not kind.loose[0]
        is_coil, fitted = (springs.facts[name].low == 1 for name in ("is_coil", "fitted"))
        row: list[int] = []
        if not known or kind.low[0] == AIR:
            room = int(np.floor(market.shocks.number("volume_spacers_max").top[shock])) + 1
            row += np.flatnonzero(~is_coil)[:room].tolist()
        if not known or kind.low[0] == COIL:
            row += np.flatnonzero(is_coil & ~fitted).tolist()
            if shock == market.present:
                row += np.flatnonzero(fitted).tolist()
        at = np.array(row, np.int64)
        facts = {f"spring_{name}": fact.take(at) for name, fact in springs.facts.items()}
        facts |= self._setting(shock, facts)
        return Options(unlike([springs.labels[k] for k in row]), at, facts)

    def _setting(self, shock: int, facts: Mapping[str, Fact]) -> dict[str, Fact]:
        """What setting the spacers costs on this shock; a coil's own facts stay as they are."""
        market, air = self.market, facts["spring_is_coil"].low == 0
        number, bought = facts["spring_spacers"].low, facts["spring_bought"].low == 1
        now = market.bike.present_shock if shock == market.present else None
        least, most = (now.volume_spacers.low, now.volume_spacers.high) if now else (0.0, 0.0)
        each = market.shocks.number("volume_spacer_price")
        cheap, dear = (float(end[shock]) if each.is_known[shock] else 0.0
                       for end in (each.low, each.top))  # fmt: skip
        coil, job = facts["spring_price"], market.works["set volume spacers"]
        ends = (air & ((number < least) | (number > most)),
                air & ((number != least) | (number != most)))  # fmt: skip
        out = {
            "spring_price": Fact.bounds(
                np.where(air, np.clip(number - most, 0, None) * cheap, coil.low),
                np.where(air, np.clip(number - least, 0, None) * dear, coil.high),
            ),
            "spring_changed": Fact.bounds(*((one | bought) * 1.0 for one in ends)),
        }
        away = (float(job.workshop),) * 2
        for name, amounts in (("labour", job.labour), ("work_days", job.days), ("workshop", away)):
            own = facts[f"spring_{name}"]
            out[f"spring_{name}"] = Fact.bounds(*(
                np.where(one, amount, end)
                for one, amount, end in zip(ends, amounts, (own.low, own.high), strict=True)
            ))
        return out
