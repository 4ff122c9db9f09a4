"""One loose fact, all others exact: the verdict against every value of a fine grid along it."""

import random
from dataclasses import replace

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from recommender.facts.quantity import Quantity
from recommender.rules.market import open_market
from recommender.search.judging import judge
from recommender.search.verdicts import STATES
from tests.search.examples import examples
from tests.search.fitting import fitting, state_along
from tests.search.random_market import BIKE_CELLS, CELLS, RIDER_CELLS, Case, base, twisted

PLACES = [
    *((name, cell) for name, cells in CELLS.items() for cell in cells),
    *(("bike", cell) for cell in BIKE_CELLS), *(("rider", cell) for cell in RIDER_CELLS),
]  # fmt: skip
TELLING_BLANKS = (
    "rider_mass_limit_kg", "linkage_stop_mm", "limits.rider_mass_kg", "head.grip_mm",
    "volume_spacer_price", "tyre.width_mm", "tyre.measured_width_mm", "tyre.gap_eye_to_eye_mm",
    "mass_kg", "rebound_low_n_s_per_m", "compression_high_n_s_per_m",
)  # fmt: skip
"""Where a blank says something (no limit is stated, the tyre stays) and is no unknown number."""
TOL = 0.4
SOUND = {
    "fits": {"fits"},
    "open": {"fits", "fits, the choice waits for a measurement", "open", "ruled out"},
    "ruled out": {"ruled out"},
}
"""What may be true where the engine says so."""


def crisp(seed: int) -> Case:
    """A case in which leverage and rider are exact too."""
    case = base(random.Random(seed))
    ratios = {"stroke_mm": 50, "ratio_start": 2.86, "ratio_end": 2.34}
    rider = {**case.rider, "mass_with_kit_kg": 80, "mass_kg": 74, "bike_mass_kg": 15}
    return replace(case, bike={**case.bike, "leverage": ratios}, rider=rider)


def grid(case: Case, name: str, cell: str, row: int, how: str) -> tuple[Case, list[Case]]:
    """The case with that cell loose, and with it at many values; none where it is no number."""
    loose = twisted(case, name, cell, row, how, TOL)
    known = cell_of(case, name, cell, row)
    if isinstance(known, str) or known is None or loose == case:
        return case, []
    if how == "blank" and cell in TELLING_BLANKS:
        return case, []
    if cell == "stroke_mm" and cell_of(case, name, "stroke_settings_mm", row):
        # A stroke that is not exactly known is taken as the listed setting that it may be.
        return case, []
    question, catalogue = loose.open()
    if name in case.tables:
        column = getattr(catalogue, name).number(cell)
        row %= len(case.tables[name])
        low, high = float(column.low[row]), float(column.top[row])
    else:
        thing = getattr(question, name)
        for part in cell.split("."):
            thing = getattr(thing, part)
        assert isinstance(thing, Quantity)
        low, high = thing.low, thing.high
    values = sorted({low, high, float(known), *np.linspace(low, high, 5).tolist()})
    return loose, [at(case, name, cell, row, value) for value in values]


def cell_of(case: Case, name: str, cell: str, row: int) -> object:
    if name in case.tables:
        rows = case.tables[name]
        return rows[row % len(rows)].get(cell) if rows else None
    thing: object = getattr(case, name)
    for part in cell.split("."):
        thing = thing.get(part) if isinstance(thing, dict) else None
    return thing


def at(case: Case, name: str, cell: str, row: int, value: float) -> Case:
    """The case with one cell at a value."""
    if name in case.tables:
        rows = [dict(one) for one in case.tables[name]]
        rows[row][cell] = value
        return replace(case, tables={**case.tables, name: rows})

    def put(inner: dict[str, object], path: list[str]) -> dict[str, object]:
        first, *rest = path
        deeper = inner[first]
        return {**inner, first: put(deeper, rest) if isinstance(deeper, dict) and rest else value}

    return replace(case, **{name: put(getattr(case, name), cell.split("."))})


@given(
    st.integers(0, 2**32 - 1), st.sampled_from(PLACES), st.integers(0, 3),
    st.sampled_from(("blank", "measured")),
)  # fmt: skip
@examples(40)
def test_the_verdict_is_sound(seed: int, place: tuple[str, str], row: int, how: str) -> None:
    """'Fits' holds by one completion at every value; 'ruled out' holds at every value."""
    loose, exact = grid(crisp(seed), *place, row, how)
    if not exact:
        return
    question, catalogue = loose.open()
    verdicts = judge(open_market(question, catalogue), question.wishes)
    opened = [case.open() for case in exact]
    for shock, state in enumerate(verdicts.state.tolist()):
        truth = state_along([fitting(*one, shock) for one in opened])
        assert truth in SOUND[STATES[state]], (STATES[state], truth)
