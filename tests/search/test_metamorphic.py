"""What a change of the question may and may not change in the verdicts."""

import random
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from recommender.catalogue.catalogue import Catalogue, read_catalogue
from recommender.catalogue.document import canonical, validate
from recommender.catalogue.question import Question
from recommender.facts.bike import Bike
from recommender.facts.fields import numbers
from recommender.facts.quantity import Number, Quantity
from recommender.facts.rider import Rider
from recommender.facts.tables import TABLES
from recommender.facts.units import UNITS, convert, units_of
from recommender.facts.wishes import Wishes
from recommender.rules.market import open_market
from recommender.search.groups import rules_of
from recommender.search.judging import judge
from tests.catalogue.build import write_catalogue
from tests.search import tables
from tests.search.examples import examples
from tests.search.families import all_told
from tests.search.random_market import Case, base, cases

RANK = {"fits": 0, "open": 1, "ruled out": 2}
WIDER_BIKE: tuple[tuple[str, float], ...] = (
    ("length_tolerance_mm", 1.5), ("linkage_stop_mm", 5), ("tyre.gap_mm", 4),
    ("tyre.minimum_gap_mm", -3), ("tyre.side_room_mm", 3), ("room.minimum_air_mm", -2),
    ("room.head_up_mm", 10), ("room.middle_down_mm", 10), ("limits.rider_mass_kg", 20),
)  # fmt: skip
"""Limits of the bike, and what added to one of them relaxes it."""


def told(question: Question, catalogue: Catalogue) -> dict[str, Any]:
    market = open_market(question, catalogue)
    return all_told(judge(market, question.wishes), market.shocks.keys())


def states(case: Case) -> dict[str, str]:
    return {key: one[0] for key, one in told(*case.open()).items()}


def shifted(inner: dict[str, Any], path: list[str], by: float) -> dict[str, Any]:
    first, *rest = path
    if first not in inner and rest:
        return inner
    if rest:
        return {**inner, first: shifted(inner[first], rest, by)}
    usual = {"length_tolerance_mm": 1.0, "minimum_gap_mm": 6.0, "minimum_air_mm": 3.0}
    now = inner.get(first, usual.get(first))
    return inner if not isinstance(now, int | float) else {**inner, first: now + by}


def relaxed(case: Case, rng: random.Random) -> Case:
    """The case with one limit or wish relaxed."""
    wishes = {name: dict(wish) for name, wish in case.wishes.items()}
    musts = [name for name in wishes if name != "rates"]
    roll = rng.random()
    if roll < 0.35 and musts:
        name = rng.choice(sorted(musts))
        must = wishes[name]["must"]
        if name in ("budget", "mass_g", "days"):
            wishes[name]["must"] = must * rng.choice((1.1, 2, 1000))
        elif name == "reserve_mm":
            wishes[name]["must"] = must * rng.choice((0.5, 0.95))
        elif name in ("travel_mm", "sag_percent"):
            wishes[name]["must"] = [must[0] - 2, must[1] + 3]
        else:
            del wishes[name]
        return replace(case, wishes=wishes)
    if roll < 0.6:
        sizes = [{**one, "stroke_ceiling_mm": one["stroke_ceiling_mm"] + rng.choice((2.5, 10))}
                 for one in case.bike["sizes"]]  # fmt: skip
        return replace(case, bike={**case.bike, "sizes": sizes})
    if roll < 0.7:
        allows = {"air": "yes", "coil": "yes", "remote": "yes",
                  "end_for_end": case.bike["allows"]["end_for_end"]}  # fmt: skip
        return replace(case, bike={**case.bike, "allows": allows})
    if roll < 0.8:
        suppliers = [{**one, "order_minimum": 0} for one in case.tables["suppliers"]]
        return replace(case, tables={**case.tables, "suppliers": suppliers})
    path, by = rng.choice(WIDER_BIKE)
    return replace(case, bike=shifted(case.bike, path.split("."), by))


@given(cases(loose=3), st.integers(0, 2**32 - 1))
@examples(40)
def test_relaxing_loses_no_fit(case: Case, seed: int) -> None:
    before, after = states(case), states(relaxed(case, random.Random(seed)))
    for key, state in before.items():
        assert RANK[after[key]] <= RANK[state], key


@given(cases(loose=3), st.integers(0, 2**32 - 1))
@examples(25)
def test_order_of_rows_does_not_matter(case: Case, seed: int) -> None:
    rng = random.Random(seed)
    mixed = {name: rng.sample(rows, len(rows)) for name, rows in case.tables.items()}
    assert told(*case.open()) == told(*replace(case, tables=mixed).open())


@given(cases(loose=3), st.integers(0, 2**32 - 1))
@examples(25)
def test_another_shock_changes_no_verdict(case: Case, seed: int) -> None:
    more = [{**row, "part_number": f"X{row['part_number']}"} for row in
            base(random.Random(seed)).tables["shocks"]]  # fmt: skip
    wider = replace(case, tables={**case.tables, "shocks": [*case.tables["shocks"], *more]})
    before, after = told(*case.open()), told(*wider.open())
    assert before == {key: after[key] for key in before}
    assert len(after) == len(before) + len(more)


@given(cases(loose=3), st.integers(0, 2**32 - 1))
@examples(25)
def test_another_part_only_adds_completions(case: Case, seed: int) -> None:
    """A kit, service or spring more: nobody's state worsens, and every minimal set still holds one
    of the new ones."""
    more = base(random.Random(seed)).tables
    grown = dict(case.tables)
    for name in ("kits", "services", "springs"):
        _, key = TABLES[name]
        fresh = [{**row, key: f"X{row[key]}", "pairs_with": None} for row in more[name]]
        grown[name] = [*case.tables[name], *fresh]
    before, after = told(*case.open()), told(*replace(case, tables=grown).open())
    for shock, (state, *families) in before.items():
        assert RANK[after[shock][0]] <= RANK[state]
        for old, new in zip(families, after[shock][1:], strict=True):
            assert all(any(less <= one for less in new) for one in old)


@given(cases(loose=2))
@examples(25)
def test_an_unset_wish_is_no_rule(case: Case) -> None:
    """Without a must there is no bit; a preference alone changes no verdict."""
    question, catalogue = case.open()
    stated = {name for name, wish in case.wishes.items() if name != "rates"}
    spoken = {"travel_mm": "travel", "spring_kind": "spring kind", "reserve_mm": "reserve",
              "mass_g": "mass", "no_workshop": "no workshop"}  # fmt: skip
    bits = rules_of(question.wishes).bits
    for name in Wishes.model_fields:
        bit = f"wish: {spoken.get(name, name)}"
        if name not in stated:
            assert bit not in bits
    plain = question.wishes.model_copy(update={name: Wishes().budget for name in stated})
    asking = {name: {"prefer": case.wishes[name]["must"]} for name in stated}
    wishing = tables.question(case.bike, case.rider, {"rates": case.wishes["rates"], **asking})
    sag = {"sag_percent": question.wishes.sag_percent}
    first = Question(question.bike, question.rider, plain.model_copy(update=sag), "")
    other = wishing.wishes.model_copy(update=sag)
    assert told(first, catalogue) == told(Question(question.bike, question.rider, other, ""),
                                          catalogue)  # fmt: skip


def renamed(row: dict[str, Any], known: dict[str, Number], rng: random.Random) -> dict[str, Any]:
    """The row with its exact numbers told in other units of the same dimension."""
    out: dict[str, Any] = {}
    for name, value in row.items():
        number = known.get(name)
        if (
            number is None or number.unit not in UNITS or not isinstance(value, int | float)
            or not name.endswith(f"_{number.unit}")
        ):  # fmt: skip
            out[name] = value
            continue
        unit = rng.choice(units_of(UNITS[number.unit][0]))
        out[name.removesuffix(number.unit) + unit] = convert(float(value), number.unit, unit)
    return out


def other_units(case: Case, rng: random.Random) -> Case:
    """The case with every table and the bike's own figures in other units, a unit per column."""
    made = {}
    for name, rows in case.tables.items():
        seed = rng.random()
        known = dict(numbers(TABLES[name][0]))
        # A column has one name: the same draw for every row, a row's blanks left out of it.
        names = list(dict.fromkeys(cell for row in rows for cell in row))
        full = [{cell: row.get(cell) for cell in names} for row in rows]
        exact = {c for c in names if all(isinstance(row[c], int | float) for row in full)}
        made[name] = [
            {**{c: v for c, v in row.items() if c not in exact},
             **renamed({c: row[c] for c in names if c in exact}, known, random.Random(seed))}
            for row in full
        ]  # fmt: skip
    return replace(case, tables=made)


@given(cases(loose=0), st.integers(0, 2**32 - 1))
@examples(25)
def test_units_change_nothing(case: Case, seed: int) -> None:
    """The same parts and the same bike told in inches, pounds, bar or lbf/in, read from files."""
    rng = random.Random(seed)
    question, _ = case.open()
    twin = other_units(case, rng)
    with TemporaryDirectory() as name:
        one, two = Path(name, "one"), Path(name, "two")
        plain = read_catalogue(write_catalogue(one, **case.tables))  # type: ignore[arg-type]
        other = read_catalogue(write_catalogue(two, **twin.tables))  # type: ignore[arg-type]
    bike = dict(case.bike)
    for part in ("head", "shaft", "tyre"):
        model = Bike.model_fields[part].annotation
        assert model is not None
        bike[part] = renamed(bike[part], dict(numbers(model)), rng)
    told_bike = _read(bike, Bike, "bike")
    told_rider = _read(renamed(case.rider, dict(numbers(Rider)), rng), Rider, "rider")
    assert told(Question(told_bike, told_rider, question.wishes, ""), other) == told(
        question, plain
    )


def _read(raw: dict[str, Any], model: Any, name: str) -> Any:
    facts, faults = canonical(raw, model, name, "test")
    record, more = validate(facts, model, name, "test")
    assert not faults
    assert not more
    return record


def test_a_quantity_of_the_case_is_exact() -> None:
    """The units test compares exact facts only."""
    question, _ = base(random.Random(1)).open()
    assert question.bike.head.gap_mm == Quantity.exact(question.bike.head.gap_mm.low)
