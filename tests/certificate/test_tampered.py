"""A certificate that claims what is not so is refused, and the claim is named."""

import copy
import json
import random
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recommender.certificate import combine
from recommender.certificate.best import of_completion
from recommender.certificate.order import value_of
from recommender.certificate.records import Certificate
from recommender.certificate.refused import Refused
from recommender.certificate.shown import shown
from recommender.certificate.way import Ways
from tests.certificate.cases import changed, checked, demo_case, demo_certificate, small_case
from tests.certificate.cases import small_certificate as small

Change = Callable[[Any], None]


def refused(change: Change, seal: bool = True) -> Refused:
    """What the checker says to the small certificate so changed."""
    with pytest.raises(Refused) as told:
        checked(changed(small(), change, seal), small_case())
    return told.value


def row(raw: Any, key: str) -> Any:
    """The claim of one shock."""
    return next(one for one in raw["rows"] if one["shock"] == key)


@pytest.mark.parametrize("what", ["catalogue", "question", "rules"])
def test_digests(what: str) -> None:
    told = refused(lambda raw: raw.update({f"{what}_digest": "f" * 64}))
    assert told.claim == f"{what} digest"


@given(st.data())
@settings(max_examples=60)
def test_any_change_breaks_the_seal(data: st.DataObject) -> None:
    """Every number, word and order counts towards the seal."""

    def change(raw: Any) -> None:
        places = list(_leaves(raw, ()))
        path = data.draw(st.sampled_from(places))
        inner = raw
        for step in path[:-1]:
            inner = inner[step]
        inner[path[-1]] = _other(inner[path[-1]])

    raw = json.loads(small().model_dump_json())
    before = copy.deepcopy(raw)
    change(raw)
    assert raw != before
    try:
        made = Certificate.model_validate_json(json.dumps(raw), strict=True)
    except ValueError:
        return
    with pytest.raises(Refused) as told:
        checked(made, small_case())
    assert told.value.claim == "seal"


def _leaves(value: Any, path: tuple[Any, ...]) -> Any:
    if isinstance(value, dict):
        for key, one in value.items():
            yield from _leaves(one, (*path, key))
    elif isinstance(value, list):
        for key, one in enumerate(value):
            yield from _leaves(one, (*path, key))
    else:
        yield path


def _other(value: Any) -> Any:
    if isinstance(value, bool):
        return not value
    if isinstance(value, int | float):
        return value + 1
    return f"{value}x" if isinstance(value, str) else 0


def test_rows() -> None:
    def missing(raw: Any) -> None:
        raw["rows"].pop(3)

    def twice(raw: Any) -> None:
        raw["rows"].append(raw["rows"][3])

    def strange(raw: Any) -> None:
        raw["rows"][3]["shock"] = "NO-SUCH"

    key = small().rows[3].shock
    assert refused(missing).claim == f"row {key}"
    assert "missing" in refused(missing).why
    assert "2 times" in refused(twice).why
    assert refused(strange).claim == "row NO-SUCH"


@given(st.data())
@settings(max_examples=40)
def test_another_state(data: st.DataObject) -> None:
    """Whatever state is claimed instead of the true one, for whichever shock."""
    which = data.draw(st.sampled_from(range(len(small().rows))))
    states = ["fits", "open", "ruled out", "fits, the choice waits for a measurement"]
    true = small().rows[which].state
    state = data.draw(st.sampled_from([one for one in states if one != true]))
    told = refused(lambda raw: raw["rows"][which].update(state=state))
    assert small().rows[which].shock in told.claim


def test_a_state_told_with_what_would_belong_to_it() -> None:
    """An open shock as fitting with its own completion, a fitting one as open or as ruled out."""

    def as_open(raw: Any) -> None:
        row(raw, "FITS")["state"] = "open"
        raw["order"].sort(key=lambda one: one["shock"] == "FITS")

    def as_fitting(raw: Any) -> None:
        row(raw, "OPEN")["state"] = "fits"
        raw["order"].sort(key=lambda one: -one["total_points"])

    def as_ruled_out(raw: Any) -> None:
        row(raw, "FITS").update({**row(raw, "LONG"), "shock": "FITS"})
        raw["order"] = [one for one in raw["order"] if one["shock"] != "FITS"]

    assert refused(as_open).claim == "row FITS, state"
    assert refused(as_fitting).claim == "row OPEN, state"
    assert refused(as_ruled_out).claim.startswith("row FITS, conflict 1")


OUT = [one.shock for one in small().rows if one.state == "ruled out"]


@pytest.mark.parametrize("key", OUT)
@given(data=st.data())
@settings(max_examples=12)
def test_conflicts(key: str, data: st.DataObject) -> None:
    """One left out, one told twice, one with a rule too many, too few, or another one."""
    made = next(one for one in small().rows if one.shock == key)
    which = data.draw(st.integers(0, len(made.conflicts) - 1))
    spare = sorted({rule for one in made.conflicts for rule in one.rules} | {"length", "tyre gap"})
    spare = [rule for rule in spare if rule not in made.conflicts[which].rules]

    def change(raw: Any) -> None:
        conflicts = row(raw, key)["conflicts"]
        one = conflicts[which]
        kind = data.draw(st.sampled_from(("out", "twice", "more", "less", "other", "name")))
        if kind == "out":
            conflicts.pop(which)
        elif kind == "twice":
            conflicts.append(one)
        elif kind == "more":
            one["rules"].append(data.draw(st.sampled_from(spare)))
            one["shown_by"].append(0)
        elif kind == "less":
            place = data.draw(st.integers(0, len(one["rules"]) - 1))
            one["rules"].pop(place)
            one["shown_by"].pop(place)
        else:
            place = data.draw(st.integers(0, len(one["rules"]) - 1))
            one["rules"][place] = "no rule" if kind == "name" else data.draw(st.sampled_from(spare))

    assert f"row {key}" in refused(change).claim


def test_swapped_members_of_a_conflict() -> None:
    """Each member's own completion breaks it alone, so two members can't change places."""
    tried = 0
    for made in small().rows:
        for k, one in enumerate(made.conflicts):
            if len(one.rules) < 2:
                continue

            def change(raw: Any, key: str = made.shock, k: int = k) -> None:
                rules = row(raw, key)["conflicts"][k]["rules"]
                rules[0], rules[1] = rules[1], rules[0]

            told = refused(change)
            assert told.claim == f"row {made.shock}, conflict {k + 1}"
            tried += 1
    assert tried


@pytest.mark.parametrize("key", OUT)
@given(data=st.data())
@settings(max_examples=12)
def test_corrections(key: str, data: st.DataObject) -> None:
    """One left out, twice, with a rule too many or too few, for somebody else, surer than it is."""
    made = next(one for one in small().rows if one.shock == key)
    which = data.draw(st.integers(0, len(made.corrections) - 1))

    def change(raw: Any) -> None:
        corrections = row(raw, key)["corrections"]
        one = corrections[which]
        kind = data.draw(st.sampled_from(("out", "twice", "more", "less", "who", "sure", "index")))
        if kind == "out":
            corrections.pop(which)
        elif kind == "twice":
            corrections.append(one)
        elif kind == "more":
            one["rules"].append("tyre gap" if "tyre gap" not in one["rules"] else "linkage stop")
            one["needed_by"].append(0)
        elif kind == "less":
            one["rules"].pop()
            one["needed_by"].pop()
        elif kind == "who":
            people = [who for who in ("rider", "shop", "nobody") if who != one["who"]]
            one["who"] = data.draw(st.sampled_from(people))
        elif kind == "sure":
            one["sure"] = not one["sure"]
        else:
            one["shown_by"] = data.draw(st.sampled_from((-1, 10**6)))

    told = refused(change)
    assert f"row {key}" in told.claim


def test_cut_short_is_a_claim_too() -> None:
    told = refused(lambda raw: row(raw, "DEAR").update(truncated=True))
    assert told.claim.startswith("row DEAR")


@given(st.data())
@settings(max_examples=60)
def test_numbers_of_the_order(data: st.DataObject) -> None:
    """Quantities, values, points, totals and weights."""
    which = data.draw(st.integers(0, len(small().order) - 1))
    by = data.draw(st.sampled_from((1e-5, 0.01, 1.0, -1.0, 37.0)))

    def change(raw: Any) -> None:
        one = raw["order"][which]
        names = ["price", "mass_g", "days", "total_points", "workshop_jobs"]
        name = data.draw(st.sampled_from([*names, "quantity", "value", "points"]))
        if name in names:
            step = round(by) or 1 if name == "workshop_jobs" else by
            one[name] += step
            return
        scores = [score for score in one["scores"] if score[name] is not None]
        data.draw(st.sampled_from(scores))[name] += by

    assert small().order[which].shock in refused(change).claim


@pytest.mark.parametrize("name", [one.name for one in small().criteria])
def test_weights(name: str) -> None:
    def change(raw: Any) -> None:
        next(one for one in raw["criteria"] if one["name"] == name)["weight"] += 0.5

    assert name in refused(change).claim


def test_breakpoints() -> None:
    """What counts, by which points and in which order, is the question's."""

    def moved(raw: Any) -> None:
        raw["criteria"][0]["breakpoints"][0][0] -= 50
        raw["criteria"][0]["breakpoints"][-1][0] += 50

    def falling(raw: Any) -> None:
        raw["criteria"][0]["breakpoints"].reverse()

    def swapped(raw: Any) -> None:
        raw["criteria"][0], raw["criteria"][1] = raw["criteria"][1], raw["criteria"][0]

    def twice(raw: Any) -> None:
        raw["criteria"].append(raw["criteria"][0])

    def gone(raw: Any) -> None:
        raw["criteria"].pop()

    def more(raw: Any) -> None:
        raw["criteria"].append({**raw["criteria"][-1], "name": "beauty"})

    def another(raw: Any) -> None:
        raw["criteria"][-1]["fact"] = "price"

    last = small().criteria[-1].name
    assert refused(swapped).claim == refused(twice).claim == "criteria"
    assert refused(gone).claim == refused(another).claim == f"criterion {last}"
    assert refused(more).claim == "criterion beauty"
    assert refused(moved).claim == "criterion price"
    assert refused(falling).claim == "criterion price"


def test_order() -> None:
    def swapped(raw: Any) -> None:
        raw["order"][0], raw["order"][1] = raw["order"][1], raw["order"][0]

    def missing(raw: Any) -> None:
        raw["order"].pop()

    def twice(raw: Any) -> None:
        raw["order"].append(raw["order"][-1])

    assert refused(swapped).claim == "order"
    assert refused(missing).claim.startswith("order, ")
    assert refused(twice).claim.startswith("order, ")


def test_a_worse_bundle_of_the_same_shock() -> None:
    """Worse, but all its own figures right: it is not the shock's best."""
    case, made = small_case(), small()
    ways = Ways(case.market, case.question.wishes)

    def change(raw: Any) -> None:
        one = next(bundle for bundle in raw["order"] if bundle["shock"] == "FITS")
        one["made"]["options"]["tune"] = "REV-1"
        record = next(one for one in made.order if one.shock == "FITS").made
        worse = record.model_copy(update={"options": one["made"]["options"]})
        amounts = of_completion(shown("", worse, list(ways.of(case.row("FITS")))))
        totals = amounts.totals
        one.update(
            price=totals["price"], mass_g=totals["mass"], days=totals["days"],
            workshop_jobs=int(totals["workshop"]),
        )
        for score, criterion in zip(one["scores"], made.criteria, strict=True):
            score["quantity"] = amounts.of(criterion.fact)
            score["value"] = float(value_of(criterion, score["quantity"]))
            score["points"] = round(criterion.weight * score["value"], 6)
        one["total_points"] = round(sum(score["points"] for score in one["scores"]), 6)
        states = {claim["shock"]: claim["state"] for claim in raw["rows"]}
        raw["order"].sort(
            key=lambda b: (states[b["shock"]] != "fits", -b["total_points"], b["price"])
        )

    told = refused(change)
    assert told.claim == "bundle of FITS"


@given(st.randoms(use_true_random=False))
@settings(max_examples=2)
def test_the_demo_with_a_word_changed(rng: random.Random) -> None:
    """A completion with an option that there is not, or the wrong way round, at random."""
    certificate = demo_certificate()
    shown = [k for k, one in enumerate(certificate.rows) if one.completions]
    which = rng.choice(shown)

    def change(raw: Any) -> None:
        one = raw["rows"][which]["completions"][0]
        name = rng.choice(sorted(one["options"]))
        if rng.random() < 0.5:
            one["options"][name] += "-X"
        else:
            one["options"].pop(name)

    with pytest.raises(Refused) as told:
        checked(changed(certificate, change), demo_case())
    assert certificate.rows[which].shock in told.value.claim


def test_more_than_can_be_looked_at_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """What would take for ever is not taken on trust."""
    monkeypatch.setattr(combine, "MOST", 1)
    with pytest.raises(Refused, match="cannot be checked"):
        checked(small(), small_case())
