"""The feasible set against the engine's own whole completions, and the intervals of settings."""

from dataclasses import replace
from itertools import pairwise, product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recommender.facts.quantity import Quantity
from recommender.facts.wishes import Wish
from recommender.fleet import ways
from recommender.fleet.changes import Change
from recommender.fleet.charts import chart
from recommender.fleet.checked import JOINT, completion_of
from recommender.fleet.feasible import feasible
from recommender.fleet.groups import Group
from recommender.fleet.served import cheapest_cover
from recommender.fleet.task import Build, Fit, Part, Way
from recommender.fleet.trial import FIXED
from recommender.fleet.ways import make_task, mounting
from recommender.rules.choices import REUSED_HEAD, REUSED_SHAFT, SERVICED
from recommender.rules.market import FITTED, open_market
from recommender.rules.registry import RULES
from recommender.search.whole import completion_sets, wholes
from tests.fleet.demo import catalogue, demo_fleet, groups

NAMES = ("stroke", "tune", "head_kit", "shaft_kit")


def ridden(group: Group, low: float, high: float) -> Group:
    mass = Quantity.exact(low) if low == high else Quantity(low, high, "range")
    rider = group.question.rider.model_copy(update={"mass_with_kit_kg": mass})
    return replace(group, question=replace(group.question, rider=rider))


def by_completions(group: Group) -> set[tuple[str, float, str, str, str]]:
    """(shock, stroke, tune, head kit, shaft kit) of every completion that breaks nothing for the
    whole range, found by looking at every row of every group; stock and order minimums aside."""
    market = open_market(group.question, catalogue())
    kinds = market.shocks.choice("spring_kind").codes
    keys = market.shocks.keys()
    found = set()
    for kind in np.unique(kinds).tolist():
        for whole in wholes(market, group.question.wishes, np.flatnonzero(kinds == kind)):
            lists = []
            for k, pair in enumerate(whole.tables):
                rows = whole.rows(k)
                good = rows[pair.possible.sets[rows] == 0]
                lists.append([
                    (
                        tuple(
                            int(whole.option(k, np.array([row]), name)[0])
                            for name in whole.groups[k].choices if name in NAMES
                        ),
                        int(row),
                    )
                    for row in good.tolist()
                ])  # fmt: skip
            if not all(lists):
                continue
            names = [n for g in whole.groups for n in g.choices if n in NAMES]
            order = [names.index(name) for name in NAMES]
            ignored = sum(1 << whole.rules.bits.index(name) for name in JOINT[:2])
            for parts in product(*lists):
                flat = [value for options, _ in parts for value in options]
                stroke, tune, head, shaft = (flat[k] for k in order)
                labels = market.kits.labels
                if labels[head] == labels[shaft] and labels[head] in (REUSED_HEAD, REUSED_SHAFT):
                    continue
                choice = [np.array([row]) for _, row in parts]
                if int(completion_sets(whole, choice, False)[0]) & ~ignored:
                    continue
                found.add((
                    keys[whole.shock], float(market.stroke_mm.nominal.low[stroke]),
                    market.tunes.labels[tune], labels[head], labels[shaft],
                ))  # fmt: skip
    return found


def by_ways(group: Group) -> set[tuple[str, float, str, str, str]]:
    task = make_task([group], catalogue())
    keys = open_market(group.question, catalogue()).shocks.keys()
    out = set()
    for way in task.ways:
        how = mounting(way)
        for head in task.fits[way.head]:
            for shaft in task.fits[way.shaft]:
                out.add((
                    keys[how.row], how.stroke_mm, how.tune, head.part.name, shaft.part.name
                ))  # fmt: skip
    return out


@pytest.mark.parametrize("number", [0, 3, 7, 11])
def test_every_way_and_no_other(number: int) -> None:
    group = replace(groups()[number], changes=False)
    expected = by_completions(group)
    assert expected
    assert by_ways(group) == expected


def test_a_budget_holds_for_each_combination_of_kits() -> None:
    """A must on the price couples the kits of both ends with the shock."""
    group = groups()[3]
    wishes = group.question.wishes.model_copy(
        update={"budget": Wish(must=640.0), "mass_g": Wish(must=520.0)}
    )
    tight = replace(group, changes=False, question=replace(group.question, wishes=wishes))
    expected = by_completions(tight)
    assert 0 < len(expected) < len(by_completions(replace(group, changes=False)))
    assert by_ways(tight) == expected


def test_a_shock_that_fits_only_turned_about_its_axis_is_told_so() -> None:
    """The room that the shock of some way leaves itself when it is turned, and no more."""
    group = next(one for one in groups() if one.model == "guide")
    shocks = catalogue().shocks
    name = next(way.shock for way in make_task([group], catalogue()).ways if way.shock)
    row = shocks.keys().index(name)
    over = {"up": "down", "down": "up", "left": "right", "right": "left"}
    room = {
        f"{third}_{side}_mm": Quantity.exact(
            3.0 + float(shocks.number(f"body_{third}_{over[side]}_mm").low[row])
        )
        for third in ("head", "middle", "shaft") for side in over
    }  # fmt: skip
    bike = group.question.bike
    tight = bike.model_copy(update={"room": bike.room.model_copy(update=room)})
    made = replace(group, question=replace(group.question, bike=tight))
    task = make_task([made], catalogue())
    mine = [way for way in task.ways if way.shock == name]
    assert mine
    assert all(mounting(way).clocked for way in mine)
    for way in task.ways:
        one = Change("bike", made, made.rows[0], way, task.fits[way.head][0],
                     task.fits[way.shaft][0])  # fmt: skip
        whole = completion_of(one, mounting(way).settings[0], catalogue())
        assert whole.margin(RULES["room for the body"])[0] >= 0


@pytest.mark.parametrize("number", [0, 5, 9])
def test_changes_add_ways_and_take_none_away(number: int) -> None:
    group = groups()[number]
    fixed = by_ways(replace(group, changes=False))
    free = by_ways(replace(group, changes=True))
    assert fixed <= free


def test_settings_cover_the_range_and_each_holds_at_its_ends() -> None:
    """A coil on the long-travel bikes: several springs, one after another, each held at its ends by
    whole completions of the engine; no spring of its own serves the range."""
    group = ridden(replace(groups()[0], changes=True), 62.0, 92.0)
    task = make_task([group], catalogue())
    several = [way for way in task.ways if len(mounting(way).settings) > 1]
    assert several
    for way in several[:6]:
        spans = mounting(way).settings
        assert (spans[0].low, spans[-1].high) == (62.0, 92.0)
        assert all(a.high == b.low for a, b in pairwise(spans))
        head, shaft = task.fits[way.head][0], task.fits[way.shaft][0]
        one = Change("bike", group, group.rows[0], way, head, shaft)
        for setting in spans:
            completion = completion_of(one, setting, catalogue())
            choice = [np.array([row]) for row in completion.choice]
            mask = int(completion_sets(completion.whole, choice, False)[0])
            broken = set(completion.whole.rules.names(mask)) - set(JOINT[:2])
            assert not broken
        bought = [p for p in way.parts if p.name in {s.spring for s in spans}]
        assert len(bought) == len(spans)


def test_a_bike_of_which_nothing_is_bought_or_paid_needs_nothing() -> None:
    group, build = groups()[0], Build("kept", 50.0, "as delivered")
    reused = Fit(Part("on the bike", 1, 0.0), 0.0, False)
    cases = ((None, 0.0, False), (None, 0.01, True), (Part("K", 1, 0.0), 0.0, True))
    for part, work, needed in cases:
        head = reused if part is None else Fit(part, 0.0)
        way = Way(0, build, "", (), work, 0.0, 0, 0)
        assert Change("bike", group, group.rows[0], way, head, reused).needed is needed


def test_the_middle_of_a_setting_holds_too() -> None:
    """Both ends are asked; the margins go one way with the mass, so what lies between holds."""
    for found in feasible(groups()[0].question, catalogue(), True, 0.0):
        for k in range(0, len(found.owner), 7):
            for rows, low, high in zip(
                found.springs[k], found.ends[k], found.ends[k][1:], strict=False
            ):
                for share in (0.25, 0.5, 0.75):
                    mass = float(low + share * (high - low))
                    trial = _trial(found)
                    assert trial.passes(mass)[rows]


def _trial(found):  # type: ignore[no-untyped-def]
    from recommender.fleet.trial import Trial

    return Trial(groups()[0].question, catalogue(), found.market, found.rules, found.made)


def test_fixed_choices_leave_the_spring_out() -> None:
    assert "spring" not in FIXED


def test_keeping_and_buying_the_same_shock_is_one_build() -> None:
    task = demo_fleet().task
    kept = {way.build for way in task.ways if not way.shock}
    assert kept & {way.build for way in task.ways if way.shock}
    assert not any({FITTED, SERVICED} & {*way.build} for way in task.ways)


@settings(max_examples=60, deadline=None)
@given(
    st.integers(0, 10**6), st.integers(2, 5), st.integers(2, 5)
)  # fmt: skip
def test_cheapest_cover_equals_trying_every_sequence(seed: int, pieces: int, count: int) -> None:
    rng = np.random.default_rng(seed)
    cells = rng.random((pieces, count)) < 0.6
    cells[:, 0] |= ~cells.any(axis=1)
    price = rng.integers(1, 9, count).astype(float)
    masses = np.arange(pieces + 1.0)
    chosen, ends = cheapest_cover(cells, price, masses)
    runs = [int(a) for a in ends]
    assert runs[0] == 0
    assert runs[-1] == pieces
    for one, a, b in zip(chosen.tolist(), runs, runs[1:], strict=False):
        assert cells[a:b, one].all()
    best = min(
        (1 + sum(a != b for a, b in pairwise(path)),
         sum(price[one] for k, one in enumerate(path) if k == 0 or path[k - 1] != one))
        for path in product(range(count), repeat=pieces)
        if all(cells[k, one] for k, one in enumerate(path))
    )  # fmt: skip
    assert (len(chosen), price[chosen].sum()) == pytest.approx(best)


def test_chart_marks_the_ends_and_pressure_rises_with_mass() -> None:
    """The pressure of trade.md's formulas rises with the rider; sag stays at its target."""
    fleet = demo_fleet()
    way = next(w for w, _ in fleet.plan.taken if fleet.groups[w.group].model == "descent")
    made = chart(fleet.groups[way.group], way, catalogue())
    assert [line.mass_kg for line in made.lines if line.end] == [60.0, 95.0]
    pressures = [line.pressure_psi for line in made.lines]
    assert None not in pressures
    assert pressures == sorted(pressures)  # type: ignore[type-var]
    for reach in made.reaches:
        assert reach.low_kg <= 60.0
        assert reach.high_kg >= 95.0


def test_the_end_of_a_settings_interval_is_where_a_rule_breaks() -> None:
    """Bisection: what it returns holds, and a tenth of a kilogram further does not."""
    fleet = demo_fleet()
    way = next(w for w, _ in fleet.plan.taken if fleet.groups[w.group].model == "descent")
    group = fleet.groups[way.group]
    reach = chart(group, way, catalogue()).reaches[0]
    build = way.build

    def serves(mass: float) -> bool:
        some = make_task([ridden(group, mass, mass)], catalogue())
        return any(
            one.build == build and mounting(one).settings[0].spring == reach.spring
            for one in some.ways
        )

    assert serves(reach.low_kg)
    assert serves(reach.high_kg)
    assert not serves(reach.high_kg + 0.1)


def test_ways_are_the_same_from_two_processes(monkeypatch: pytest.MonkeyPatch) -> None:
    """Large fleets are shared out; here a small one is, as if it were large."""
    some = groups()[:3]
    alone = make_task(some, catalogue())
    monkeypatch.setattr(ways, "LARGE", 0)
    monkeypatch.setattr("os.cpu_count", lambda: 2)
    assert make_task(some, catalogue()) == alone


def test_a_bike_that_keeps_its_shock_loses_points_against_its_own_best_only() -> None:
    """Another shock may score more; where the fitted one stays that is no loss."""
    some = groups()
    free, kept = (make_task(some, catalogue(), keep=keep) for keep in (False, True))
    better_elsewhere = 0
    for number in range(len(some)):
        mine = [way for way in kept.ways if way.group == number]
        every = [way for way in free.ways if way.group == number]
        if all(way.shock for way in every):
            assert mine == every
            continue
        assert not any(way.shock for way in mine)
        most = max(mounting(way).points for way in mine)
        assert [way.loss for way in mine] == [
            pytest.approx(most - mounting(way).points, abs=1e-6) for way in mine
        ]
        better_elsewhere += min(way.loss for way in every if not way.shock) > 0
    assert better_elsewhere
