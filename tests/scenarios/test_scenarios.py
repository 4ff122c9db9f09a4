"""Worked cases: each scenario's answer and its reasons.

A figure in expected.toml is compared within half a unit of the last digit it is written to, or
within its own `within`; each file says where its figures come from.
"""

from functools import reduce
from itertools import product
from operator import or_
from pathlib import Path
from typing import Any

import pytest

from recommender.answer.records import BundleRecord, Turned
from recommender.explain.refine import REFINED
from recommender.search.verdicts import RULED_OUT, STATES
from tests.scenarios.scenario import Outcome, folders, outcome, read, write_parts

ACCEPTED = {"about", "standing", "best", "order", "answered", "shock"}


@pytest.fixture(params=folders(), ids=lambda folder: folder.name)
def scenario(request: pytest.FixtureRequest, tmp_path: Path) -> tuple[dict[str, Any], Outcome]:
    folder: Path = request.param
    catalogue = write_parts(read(folder / "parts.toml"), tmp_path / "catalogue")
    return read(folder / "expected.toml"), outcome(folder / "question.toml", catalogue)


def test_answer_and_reasons_are_as_expected(scenario: tuple[dict[str, Any], Outcome]) -> None:
    expected, made = scenario
    assert set(expected) <= ACCEPTED
    assert expected["about"]
    assert expected["standing"]
    wanted = expected["shock"]
    assert {one["part_number"] for one in wanted} == set(made.case.keys)
    for one in wanted:
        key = one["part_number"]
        assert made.state(key) == one["state"], key
        assert made.case.state(made.case.row(key)) == one["state"]
        if "ways" in one:
            assert ways(made, key) == {frozenset(way) for way in one["ways"]}, key
        if one["state"] != "fits":
            _check_reasons(made.turned[key], one)
        if one["state"] != "ruled out":
            _check_bundle(made.bundles[key], one)
    order = [one.shock for one in made.answer.bundles]
    assert order[:1] == ([expected["best"]] if expected["best"] else [])
    if "order" in expected:
        assert order == expected["order"]
    answered = any(one["state"] != "ruled out" for one in wanted)
    assert made.case.answered is answered
    assert made.answer.counts == {
        state: sum(one["state"] == state for one in wanted) for state in REFINED
    }


def ways(made: Outcome, shock: str) -> set[frozenset[str]]:
    """Every least set of rules that a way of making the shock up breaks: one set of each factor,
    joined, over all ways of mounting it, less what contains another."""
    verdicts = made.case.verdicts
    unions = {
        reduce(or_, sets)
        for mounted in verdicts.factors(made.case.row(shock))
        for sets in product(*(certain for certain, _ in mounted))
    }
    least = [a for a in unions if not any(b != a and b & a == b for b in unions)]
    return {frozenset(verdicts.rules.names(mask)) for mask in least}


def _check_reasons(turned: Turned, expected: dict[str, Any]) -> None:
    """The broken rules are these and no others, each with its sentence, amount and certainty."""
    reasons = {one["rule"]: one for one in expected["broken"]}
    assert {one.rule for one in turned.broken} == set(reasons), [one.text for one in turned.broken]
    for one in turned.broken:
        reason = reasons[one.rule]
        assert one.certain is (expected["state"] == "ruled out")
        assert one.kind == reason["kind"]
        assert reason["says"] in one.text
        _close(one.short, reason.get("short", 0.0), reason.get("within"), one.rule)
        assert reason.get("fix", "") in one.fix
    for words in expected.get("missing", []):
        assert words in turned.missing, turned.missing


def _check_bundle(bundle: BundleRecord, expected: dict[str, Any]) -> None:
    """Parts, price and figures of the shock's best bundle."""
    parts = {part.role: part for part in bundle.parts}
    for role, told in expected.get("parts", {}).items():
        assert (parts[role].how, parts[role].name) == (told["how"], told["name"]), role
    for role in expected.get("without", []):
        assert role not in parts
    for name in ("price", "days"):
        if name in expected:
            assert getattr(bundle, name) == pytest.approx(expected[name], abs=1e-6)
    figures = {span.name: span for span in bundle.figures}
    for name, told in expected.get("figures", {}).items():
        value = told["value"] if isinstance(told, dict) else told
        within = told.get("within") if isinstance(told, dict) else None
        nominal = figures[name].nominal
        assert nominal is not None
        _close(nominal, value, within, name)
    for words in expected.get("cautions", []):
        assert any(words in caution for caution in bundle.cautions), bundle.cautions
    doubts = {doubt.rule for doubt in bundle.doubts}
    assert doubts == {one["rule"] for one in expected.get("broken", [])}


def _close(got: float, wanted: float, within: float | None, name: str) -> None:
    digits = len(f"{wanted!r}".partition(".")[2].rstrip("0"))
    assert got == pytest.approx(wanted, abs=within or 0.500001 * 10**-digits, rel=0), name


def test_every_scenario_has_its_own_reasons() -> None:
    """Between them the scenarios break rules of all three classes and reach all three states."""
    told = [read(folder / "expected.toml") for folder in folders()]
    assert len(told) >= 20
    shocks = [one for expected in told for one in expected["shock"]]
    assert {one["state"] for one in shocks} == set(STATES)
    ruled_out = [one for one in shocks if one["state"] == STATES[RULED_OUT]]
    kinds = {reason["kind"] for one in ruled_out for reason in one["broken"]}
    assert kinds == {"limit", "offer", "wish"}
