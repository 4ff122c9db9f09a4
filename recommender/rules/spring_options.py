"""The springs that may be chosen: spacers of an air shock, coils."""

from collections.abc import Mapping

import numpy as np

from recommender.catalogue.columns import Table, TextColumn
from recommender.facts.bike import PresentShock
from recommender.facts.fields import own
from recommender.facts.parts import Priced, Spring
from recommender.rules.choices import MADE, converted, on_shelf
from recommender.rules.fact import Fact
from recommender.rules.option_table import OptionTable
from recommender.rules.work import What, Work

MOST_SPACERS = 8


def spring_options(springs: Table, fitted: PresentShock | None, works: Mapping[str, Work],
                   rates: Mapping[str, float]) -> OptionTable:  # fmt: skip
    """0 to MOST_SPACERS spacers (air), of which a few grams count as nothing; then every coil, the
    coil fitted now (None: there is none), and one made."""
    spacers, coils, keep = MOST_SPACERS + 1, len(springs), 0 if fitted is None else 1
    # The coil that is on the shock sits on it and does not bind; rate and mass are asked about.
    known = {} if fitted is None else {
        "rate_n_per_mm": fitted.spring_rate_n_per_mm, "mass_g": fitted.spring_mass_g,
    }  # fmt: skip
    if fitted is not None and fitted.spring_outer_diameter_mm.known:
        known["outer_diameter_mm"] = fitted.spring_outer_diameter_mm

    def listed(of_coils: Fact, name: str = "") -> Fact:
        """Nothing of spacers; of the coils that, and what is known of the fitted one."""
        there = Fact.told(known[name]) if name in known else Fact.constant(0.0, keep)
        return Fact.join([Fact.constant(0.0, spacers), of_coils, there, Fact.constant(0.0)])

    def flags(spacer: float, coil: float, on: float, made: float) -> Fact:
        return Fact(np.repeat([spacer, coil, on, made], [spacers, coils, keep, 1]))

    facts = {name: listed(Fact.of(springs.columns[name]), name) for name in own(Spring, Priced)}
    facts |= {
        "price": listed(converted(springs, rates)),
        "days": listed(Fact.of(springs.columns["delivery_days"])),
        "spacers": Fact(np.concatenate([np.arange(float(spacers)), np.zeros(coils + keep + 1)])),
        "is_coil": flags(0.0, 1.0, 1.0, 1.0),
        "made": flags(0.0, 0.0, 0.0, 1.0),
        "bought": flags(0.0, 1.0, 0.0, 1.0),
        # A coil made to specification, or on the shock, has the dimensions the shock asks for.
        "fits": flags(0.0, 0.0, 1.0, 1.0),
        "fitted": flags(0.0, 0.0, 1.0, 0.0),
    }
    fit = works["fit spring"]
    whats: tuple[What, ...] = ("labour", "workshop", "days")
    for what in whats:
        name = "work_days" if what == "days" else what
        facts[name] = listed(fit.fact(what, np.ones(coils)))
    labels = [spacer_words(n) for n in range(spacers)] + springs.keys()
    labels += ["the spring now fitted"] * keep + [MADE]
    return OptionTable(
        tuple(labels), facts,
        springs.text("supplier").between(spacers, keep + 1),
        np.concatenate([np.full(spacers, np.inf), on_shelf(springs), [np.inf] * (keep + 1)]),
        TextColumn.blank(len(labels)),
    )  # fmt: skip


def spacer_words(count: int) -> str:
    """'no volume spacer', '1 volume spacer', '2 volume spacers'."""
    return {0: "no volume spacer", 1: "1 volume spacer"}.get(count, f"{count} volume spacers")
