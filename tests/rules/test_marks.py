"""What a blank says goes by the column's own mark, for every column that bears one."""

from pathlib import Path

import numpy as np
import pytest

from recommender.advice.questions import QUESTIONS
from recommender.catalogue.catalogue import read_catalogue
from recommender.catalogue.question import read_question
from recommender.facts.bike import Bike, Limits
from recommender.facts.fields import blanks, only
from recommender.facts.marks import NO_LEAST, NO_LIMIT
from recommender.facts.parts import Row, Shock
from recommender.rules.fact import Fact
from recommender.rules.market import open_market, owner_facts
from tests.catalogue.build import coil_shock, shock, write_catalogue
from tests.explain.markets import asked as asked_of
from tests.search.own_facts import question_facts
from tests.search.own_shocks import own_shocks, shock_facts

MADE = {
    ("spring_kind", "air"): shock, ("spring_kind", "coil"): coil_shock,
    ("head_mount", "eyelet"): shock, ("head_mount", "trunnion"): shock,
}  # fmt: skip
OTHER = {"air": "coil", "coil": "air", "eyelet": "trunnion", "trunnion": "eyelet"}


def _fact(folder: Path, row: dict[str, object], name: str) -> Fact:
    """That fact of the one shock."""
    folder.mkdir(exist_ok=True)
    question = folder / "question.toml"
    question.write_text('[bike]\nname = "b"\n', encoding="utf-8")
    catalogue = read_catalogue(write_catalogue(folder / "catalogue", shocks=[row]))
    market = open_market(read_question([question], catalogue), catalogue)
    return owner_facts(market, np.array([0]), np.array([False]))[f"shock_{name}"]


@pytest.mark.parametrize("name", sorted(only(Shock)))
def test_blank_is_unknown_only_where_the_part_has_it(name: str, tmp_path: Path) -> None:
    mark = only(Shock)[name]
    for k, (word, loose) in enumerate(((mark.word, True), (OTHER[mark.word], False))):
        row = MADE[mark.field, word](**{name: "unknown", mark.field: word})
        found = _fact(tmp_path / str(k), row, name)
        assert (found.loose is not None and bool(found.loose.any())) is loose


def test_of_an_unknown_kind_the_blank_stays_unknown(tmp_path: Path) -> None:
    row = shock(spring_seat_mm=None, spring_kind=None)
    assert _fact(tmp_path, row, "spring_seat_mm").loose is not None


@pytest.mark.parametrize("name", [n for n, m in blanks(Shock).items() if m.says == "no limit"])
def test_a_manual_that_states_no_limit_sets_none(name: str, tmp_path: Path) -> None:
    found = _fact(tmp_path, shock(**{name: None}), name)
    assert (found.loose, float(found.low[0])) == (None, blanks(Shock)[name].value)


@pytest.mark.parametrize("model", [Shock, Bike, Limits])
def test_a_lowest_value_that_nobody_states_lies_below_all(model: type[Row]) -> None:
    for name, mark in blanks(model).items():
        if mark.says == "no limit":
            lowest = bool({"min", "least", "lowest"} & set(name.split("_")))
            told = "bundles name it as not checked, by its title"
            assert model.model_fields[name].title, f"{name}: {told}"
            assert mark == (NO_LEAST if lowest else NO_LIMIT), f"{name}: NO_LEAST for a lowest"


def test_every_limit_that_the_frame_s_maker_may_state_is_asked_for() -> None:
    """Bundles say that it was not told, so there is a place to tell it."""
    asked = {place for question in QUESTIONS for place in question.fills}
    for model, before in ((Bike, "bike."), (Limits, "bike.limits.")):
        for name, mark in blanks(model).items():
            assert mark.says != "no limit" or before + name in asked, (
                f"{before}{name}: add a line to QUESTIONS in advice/questions.py"
            )


def test_the_referee_fills_every_limit_that_nobody_stated() -> None:
    made = asked_of({"limits": {}, "linkage_stop_mm": None})
    found = question_facts(made.question, made.catalogue)
    for model, before in ((Bike, "bike_"), (Limits, "bike_limits_")):
        for name, mark in blanks(model).items():
            if mark.says == "no limit":
                assert found[before + name].values == (mark.value,), "see tests/search/own_facts.py"
    silent = {name: None for name, mark in blanks(Shock).items() if mark.says == "no limit"}
    made = asked_of(shocks=[shock(**silent)])
    (row, *_) = own_shocks(made.question, made.catalogue)
    facts = shock_facts(made.question, made.catalogue, row, False)
    for name in silent:
        assert facts[f"shock_{name}"].values == (blanks(Shock)[name].value,), (
            "see tests/search/own_shocks.py"
        )


def test_a_shock_s_mass_limit_is_one_of_them() -> None:
    assert blanks(Shock)["rider_mass_limit_kg"] == NO_LIMIT
