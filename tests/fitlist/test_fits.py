"""A list says of a bike and shock what the commands for one bike say. [own] the engine itself, run
on each bike alone, is the reference; its own referees stand in tests/search."""

from dataclasses import replace

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from recommender.answer.answer import Case
from recommender.catalogue.catalogue import Catalogue
from recommender.catalogue.question import Question
from recommender.facts.bike import Bike, Size
from recommender.facts.quantity import Quantity
from recommender.fitlist.fits import STATES, Judge
from recommender.search.verdicts import FITS, RULED_OUT
from tests.bench.generate import make_catalogue
from tests.bench.question import question
from tests.search.random_market import cases


def _same(judge: Judge, asked: Question, catalogue: Catalogue, closer: bool) -> None:
    case, found = Case(asked, catalogue), judge.fits(asked)
    verdicts = case.verdicts
    state = case.refined.state if closer else verdicts.state
    np.testing.assert_array_equal(found.state, state)
    assert list(found.keys) == case.keys
    assert judge.rules == verdicts.rules.bits
    assert sum(found.counts()) == len(state)
    for shock, reasons in enumerate(found.reasons.tolist()):
        if state[shock] == FITS:
            assert reasons == 0
        elif verdicts.state[shock] == RULED_OUT:
            assert reasons
            # Broken whatever is chosen, so by the least-broken completion of that way too: at
            # most as many rules as that one breaks.
            ways = verdicts.factors(shock)
            always = [_always(way) for way in ways]
            assert reasons == int(verdicts.broken[shock]) or any(
                reasons & way == reasons for way in always
            )
        else:
            assert reasons == int(verdicts.doubtful[shock])


def _always(factors: list[tuple[list[int], list[int]]]) -> int:
    """The rules that every completion of one way of mounting breaks for certain."""
    out = 0
    for certain, _ in factors:
        least = ~0
        for one in certain:
            least &= one
        out |= least
    return out


@settings(max_examples=15)
@given(cases(), cases(), st.booleans())
def test_random_bikes_get_the_verdicts_of_single_runs(one, other, closer) -> None:  # type: ignore[no-untyped-def]
    asked, catalogue = one.open()
    second = Bike.model_validate(other.bike)
    judge = Judge(catalogue, asked.wishes, closer)
    # There and back: what the first bike left behind must not colour the second, nor the reverse.
    for bike in (asked.bike, second, asked.bike.model_copy(update={"name": "again"})):
        _same(judge, replace(asked, bike=bike), catalogue, closer)


def _variants(bike: Bike) -> list[Bike]:
    """Bikes that differ from one another in a single fact that a screening rule reads."""
    size = bike.sizes[0]
    longer = Size(length_mm=Quantity.exact(230.0), stroke_ceiling_mm=Quantity.exact(65.0))
    told: list[dict[str, object]] = [
        {}, {"mount": "trunnion"}, {"mount": None}, {"eyelet_axis": "crosswise"},
        {"eyelet_axis": None}, {"sizes": (longer,)}, {"sizes": (size, longer)}, {"sizes": ()},
        {"length_tolerance_mm": Quantity.exact(3.0)},
        {"allows": bike.allows.model_copy(update={"coil": "no"})},
        {"allows": bike.allows.model_copy(update={"end_for_end": "yes"})},
        {"allows": bike.allows.model_copy(update={"remote": "yes"})},
        {"limits": bike.limits.model_copy(update={"rider_mass_kg": Quantity.exact(70.0)})},
        {"head": bike.head.model_copy(update={"gap_mm": Quantity.exact(20.0)})},
        {"shaft": bike.shaft.model_copy(update={"gap_mm": Quantity.exact(11.0)})},
        {"head": bike.head.model_copy(update={"trunnion_width_mm": Quantity.exact(44.0)}),
         "mount": "trunnion"},
        {"tyre": bike.tyre.model_copy(update={"side_room_mm": Quantity.exact(1.0),
                                              "measured_width_mm": Quantity.exact(50.0)})},
    ]  # fmt: skip
    return [bike.model_copy(update=one) for one in told]


def test_bikes_that_share_a_screen_differ_where_they_should() -> None:
    asked, catalogue = question(), make_catalogue(250, 30, 20, springs=8, seed=8)
    judge = Judge(catalogue, asked.wishes, closer=False)
    found = []
    for bike in _variants(asked.bike):
        one = replace(asked, bike=bike)
        _same(judge, one, catalogue, closer=False)
        found.append(judge.fits(one).reasons.tobytes())
    assert len(set(found)) > 8


def test_alike_bikes_share_one_run() -> None:
    asked, catalogue = question(), make_catalogue(50, 20, 10, springs=5, seed=8)
    judge = Judge(catalogue, asked.wishes, closer=False)
    named = replace(asked, bike=asked.bike.model_copy(update={"name": "another", "source": "x"}))
    assert judge.fits(named) is judge.fits(asked)
    wider = asked.bike.model_copy(update={"linkage_stop_mm": Quantity.exact(40.0)})
    assert judge.fits(replace(asked, bike=wider)) is not judge.fits(asked)


def test_states_are_those_of_the_other_commands() -> None:
    assert STATES[:3] == ("fits", "open", "ruled out")
