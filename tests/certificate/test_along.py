"""States that one fact decides: for every value it may have, though not for all of them at once."""

from collections.abc import Callable
from typing import Any

import pytest

from recommender.certificate.refused import Refused
from recommender.certify.certify import certify
from tests.catalogue import build
from tests.certificate.cases import case_of, changed, checked
from tests.explain.markets import Asked, asked

WAITS = "fits, the choice waits for a measurement"


def by_the_gap() -> Asked:
    """Either sleeve suits a part of what the gap may be; no sleeve suits all of it."""
    return asked(
        {"shaft": {"gap_mm": "22 +/- 0.5"}},
        kits=[build.kit("A"), build.kit("B", width_mm=22.5), build.kit("C", width_mm=21.6)],
    )


def by_the_eye() -> Asked:
    """Nobody knows whether the eye has a bushing or a bearing; a kit is there for either."""
    axle = build.kit("AXLE", kind="bearing axle", bushing="none")
    return asked(shocks=[build.shock(head_eye=None)], kits=[build.kit("SLEEVE"), axle])


def by_the_rider() -> Asked:
    """Too heavy for the shock's limit, or too light for its least pressure."""
    return asked(
        rider={"mass_with_kit_kg": ""},
        shocks=[build.shock(rider_mass_limit_kg=70, pressure_min_psi=200, volume_spacers_max=0)],
    )  # fmt: skip


def by_the_sleeve() -> Asked:
    """The only sleeve's width is blank: the eye asks for 21.9 at least, the bolt holds 21.7."""
    return asked(
        {"head": {"grip_mm": 21.7}},
        shocks=[build.shock(head_eye_width_mm=21.9)],
        kits=[build.kit("BLANK", width_mm=None), build.kit("SHAFT", bore_mm=8, width_mm=22)],
    )


@pytest.mark.parametrize(
    ("make", "state", "place", "fact"),
    [
        (by_the_gap, WAITS, "question", "bike_shaft_gap_mm"),
        (by_the_eye, WAITS, "shocks", "head_eye"),
        (by_the_rider, "ruled out", "question", "rider_mass_with_kit_kg"),
        (by_the_sleeve, "ruled out", "kits", "width_mm"),
    ],
)
def test_borne_out_piece_by_piece(
    make: Callable[[], Asked], state: str, place: str, fact: str
) -> None:
    case = case_of(make())
    made = certify(case)
    (row,) = made.rows
    assert row.state == state
    assert row.along is not None
    assert (row.along.place, row.along.fact) == (place, fact)
    assert len(made.order) == (state == WAITS)
    checked(made, case)


def _without_cuts(along: Any) -> None:
    along["cuts"] = [0.0, 1.0]


def _not_all(along: Any) -> None:
    along["cuts"] = along["cuts"][1:]


def _falling(along: Any) -> None:
    along["cuts"].insert(1, along["cuts"][2])


def _another_fact(along: Any) -> None:
    along["fact"] = "bike_head_gap_mm"


def _no_place(along: Any) -> None:
    along["place"] = "kits"


@pytest.mark.parametrize(
    "change", [_without_cuts, _not_all, _falling, _another_fact, _no_place],
    ids=lambda one: one.__name__,
)  # fmt: skip
@pytest.mark.parametrize("make", [by_the_gap, by_the_rider])
def test_pieces_that_do_not_bear_it_out(
    make: Callable[[], Asked], change: Callable[[Any], None]
) -> None:
    case = case_of(make())
    made = changed(certify(case), lambda raw: change(raw["rows"][0]["along"]))
    with pytest.raises(Refused) as told:
        checked(made, case)
    assert told.value.claim == f"row {case.keys[0]}, state"


@pytest.mark.parametrize("make", [by_the_gap, by_the_eye, by_the_rider, by_the_sleeve])
@pytest.mark.parametrize("state", ["fits", "open", "ruled out", WAITS])
def test_another_state_along_the_fact(make: Callable[[], Asked], state: str) -> None:
    case = case_of(make())
    true = certify(case)
    if true.rows[0].state == state:
        return
    made = changed(true, lambda raw: raw["rows"][0].update(state=state))
    with pytest.raises(Refused) as told:
        checked(made, case)
    assert told.value.claim == f"row {case.keys[0]}, state"


def test_what_holds_outright_is_not_told_along_a_fact() -> None:
    """A shock that is too long is ruled out whatever the gap is, and needs its conflicts told."""
    one = asked(
        {"shaft": {"gap_mm": "22 +/- 0.5"}}, kits=[build.kit()],
        shocks=[build.shock(length_mm=230)],
    )  # fmt: skip
    case = case_of(one)

    def change(raw: Any) -> None:
        along = {"place": "question", "fact": "bike_shaft_gap_mm", "option": "", "cuts": [0, 1]}
        raw["rows"][0].update(along=along, completions=[], conflicts=[], corrections=[])

    with pytest.raises(Refused) as told:
        checked(changed(certify(case), change), case)
    assert "whatever the fact is" in told.value.why
