"""The hardware that may be chosen at an end of the shock."""

from collections.abc import Mapping

import numpy as np

from recommender.catalogue.columns import Table
from recommender.facts import words
from recommender.facts.bike import Bike, PresentShock, Sleeve
from recommender.facts.fields import choice_of, numbers, own
from recommender.facts.parts import Kit, Priced, Shock
from recommender.rules.choices import MADE, REUSED_HEAD, REUSED_SHAFT, converted, on_shelf
from recommender.rules.fact import Fact
from recommender.rules.hardware import AXLE, BOLTS, NO_BUSHING, SLEEVE
from recommender.rules.option_table import OptionTable
from recommender.rules.work import Work


def kit_options(kits: Table, present: PresentShock | None, fitted: Shock | None, bike: Bike,
                works: Mapping[str, Work], rates: Mapping[str, float]) -> OptionTable:  # fmt: skip
    """Every kit; then, where a shock is fitted (`fitted` are its own facts), the hardware at its
    two ends; then one made to specification."""
    size, reused = len(kits), _reused(present, fitted, bike)
    keep, extra = len(reused), len(reused) + 1
    bushing = kits.choice("bushing").codes
    pressed = bushing == words.BUSHINGS.index("pressed metal-backed")
    # A blank bushing may be one that is pressed in.
    maybe = pressed | (bushing < 0)
    press = works["press bushing"]
    facts = {
        name: Fact.join([
            Fact.of(kits.columns[name]), *(one.get(name, _unsaid(name)) for one in reused),
            Fact.constant(0.0),
        ])
        for name in own(Kit, Priced)
    }  # fmt: skip
    none = Fact.constant(0.0, extra)
    delivery = Fact.of(kits.columns["delivery_days"])
    facts |= {
        "price": Fact.join([converted(kits, rates), none]),
        "days": Fact.join([delivery.plus(press.fact("days", pressed, maybe)), none]),
        "labour": Fact.join([press.fact("labour", pressed, maybe), none]),
        "workshop": Fact.join([press.fact("workshop", pressed, maybe), none]),
        "pressed": Fact.join([Fact.bounds(pressed.astype(float), maybe.astype(float)), none]),
        "worn": Fact.join(
            [Fact.constant(0.0, size), *(one["worn"] for one in reused), Fact.constant(0.0)]
        ),
        "made": Fact.join([Fact.constant(0.0, size + keep), Fact.constant(1.0)]),
    }
    labels = [*kits.keys(), *(REUSED_HEAD, REUSED_SHAFT)[:keep], MADE]
    return OptionTable(
        tuple(labels), facts,
        kits.text("supplier").between(0, extra),
        np.concatenate([on_shelf(kits), np.ones(keep), [np.inf]]),
        kits.text("pairs_with").between(0, extra),
    )  # fmt: skip


def _reused(
    present: PresentShock | None, fitted: Shock | None, bike: Bike
) -> list[dict[str, Fact]]:
    """The hardware on the bike now, first what is at the head end: what the fitted shock takes."""
    if present is None:
        return []
    eyes = (None, None) if fitted is None else (fitted.head_eye, fitted.shaft_eye)
    head, shaft = (AXLE if eye == "bearing" else SLEEVE for eye in eyes)
    return [
        _sleeve(present.head_sleeve, bike, BOLTS if bike.mount == "trunnion" else head),
        _sleeve(present.shaft_sleeve, bike, shaft),
    ]


def _sleeve(sleeve: Sleeve, bike: Bike, kind: int) -> dict[str, Fact]:
    """What is known of it by column, and its wear. A trunnion frame's own bolts count as good; a
    sleeve's wear must be said."""
    return {
        "kind": Fact.constant(float(kind)),
        "width_mm": Fact.told(sleeve.width_mm),
        "bore_mm": Fact.told(sleeve.bore_mm),
        "sleeve_diameter_mm": Fact.told(sleeve.diameter_mm),
        "bushing": Fact.constant(float(NO_BUSHING)),
        "bushing_diameter_mm": Fact.constant(8.0),
        "thread": Fact.word(bike.head.trunnion_thread, words.THREADS),
        "protrusion_mm": Fact.told(bike.head.bolt_protrusion_mm),
        "mass_g": Fact.told(sleeve.mass_g),
        "worn": Fact.word(sleeve.condition, words.WEAR) if kind != BOLTS else Fact.constant(0.0),
    }


def _unsaid(name: str) -> Fact:
    """A kit of which that column says nothing."""
    number, choice = numbers(Kit).get(name), choice_of(Kit.model_fields[name])
    if number is not None:
        return Fact.bounds(np.array([number.low]), np.array([number.high]))
    return Fact.word(None, choice.values if choice else ())
