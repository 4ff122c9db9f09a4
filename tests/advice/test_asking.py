"""Answers into a file: units as they are written, don't-knows kept, and the way back."""

import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recommender.advice.asking import answered, bike_of, pending
from recommender.advice.measuring import how
from recommender.advice.questions import BY_NAME, MODELS, QUESTIONS, field_at
from recommender.advice.sanity import remarks
from recommender.advice.sheet import WIDTH, measuring_sheet
from recommender.advice.writing import toml_text
from recommender.catalogue.question import Question, read_question
from recommender.facts.quantity import Number, Quantity
from recommender.facts.standard_sizes import one_to_a_frame, resolved

ANSWERS = {
    "name": "Tess's bike", "frame": "?", "mount": "eyelet", "size": "8.5 x 2.5 in; 210x55",
    "head-gap": "22,2 x 8", "head-carbon": "n", "shaft-gap": "30.1 +/- 0.2 x 8", "axis": "parallel",
    "yoke": "?", "stroke": "50", "travel": "5.1 in", "leverage": "?", "wheel": "29", "tyre": "61",
    "tyre-gap": "12", "mass": "185lb", "taste": "plush", "tools": "hex keys; shock pump",
    "wanted-travel": "125 to 140", "sag": "30 %", "budget": "700", "days": "?",
    "adjusters": "rebound; lockout", "head-sleeve": "20x8",
}  # fmt: skip


def told(answers: dict[str, str]) -> dict[str, object]:
    document: dict[str, object] = {}
    for name, text in answers.items():
        document = answered(document, BY_NAME[name], text)
    return document


def read(tmp_path: Path, text: str) -> Question:
    path = tmp_path / "asked.toml"
    path.write_text(text, encoding="utf-8")
    return read_question([path], {})


def test_the_file_reads_back_as_it_was_answered(tmp_path: Path) -> None:
    got = read(tmp_path, toml_text(told(ANSWERS)))
    bike, rider, wishes = got.bike, got.rider, got.wishes
    # 1 in = 25.4 mm, 1 lb = 0.45359237 kg exactly (NIST SP 811) [C].
    assert bike.sizes[0].length_mm.low == pytest.approx(215.9)
    assert bike.sizes[0].stroke_ceiling_mm.low == pytest.approx(63.5)
    assert bike.sizes[1].length_mm == Quantity.exact(210)
    assert bike.head.gap_mm == Quantity.exact(22.2)
    assert bike.head.carbon_lugs == "no"
    assert (bike.shaft.gap_mm.low, bike.shaft.gap_mm.high) == (
        pytest.approx(29.9), pytest.approx(30.3))  # fmt: skip
    assert bike.leverage.travel_mm.low == pytest.approx(129.54)
    assert bike.tyre.bead_seat_mm == Quantity.exact(622)  # ISO 5775-1, in paraphrase [B]
    assert rider.mass_with_kit_kg.low == pytest.approx(83.91458845)
    assert rider.tools == ("hex keys", "shock pump")
    assert wishes.budget.must == 700
    assert wishes.days.must is None
    assert wishes.adjusters.must == ("rebound", "lockout")
    assert wishes.travel_mm.must is not None
    assert (wishes.travel_mm.must.low, wishes.travel_mm.must.high) == (125, 140)
    assert bike.yoke is None
    assert not bike.leverage.ratio_start.known
    assert bike.present_shock is not None
    assert bike.present_shock.head_sleeve.width_mm == Quantity.exact(20)


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda one: one.name)
def test_dont_know_is_an_answer_to_everything(tmp_path: Path, question: object) -> None:
    """It is kept: a resumed file does not ask again; and the file is valid."""
    for text in ("", "?", "don't know"):
        document = told({question.name: text})  # type: ignore[attr-defined]
        again = tomllib.loads(toml_text(document))
        names = [one.name for one in pending(again)]
        assert question.name not in names  # type: ignore[attr-defined]
        if "bike" in again:
            assert bike_of(again)[0] is not None


def test_a_half_done_file_is_gone_on_with_and_keeps_its_remarks() -> None:
    old = '# mine\n[bike]\nmount = "eyelet" # seen\n'
    document = tomllib.loads(old)
    assert "mount" not in [one.name for one in pending(document)]
    assert "head-width" not in [one.name for one in pending(document)]
    document = answered(document, BY_NAME["tyre"], "2.4 in")
    document = answered(document, BY_NAME["axis"], "p")
    text = toml_text(document, old)
    assert "# mine" in text
    assert "# seen" in text
    assert tomllib.loads(text)["bike"]["tyre"]["width_mm"] == "2.4 in"


def test_what_the_frame_tells_is_not_asked() -> None:
    frame = {
        "mount": "trunnion",
        "eyelet_axis": "parallel",
        "tyre": {"width_mm": Quantity.exact(60)},
    }
    names = [one.name for one in pending({"bike": {"frame": "x"}}, frame)]
    assert not {"mount", "axis", "tyre", "head-gap"} & set(names)
    assert "head-width" in names


@pytest.mark.parametrize(
    ("name", "text", "message"),
    [
        ("mount", "eylet", "nearest: eyelet"), ("mass", "185 st", "unknown unit"),
        ("mass", "900 kg", "outside"), ("size", "210x50x3", "length x stroke"),
        ("size", "210 x 150", "outside"), ("size", "150 x 80", "half the length"),
        ("tools", "hammer", "accepted"), ("budget", "much", "plain number"),
        ("wanted-travel", "130", "two numbers"), ("wanted-travel", "140 to 130", "backwards"),
        ("head-gap", "1x2x3", "one number, or two"), ("name", "x" * 300, "letters"),
    ],
)  # fmt: skip
def test_a_wrong_answer_says_what_is_accepted(name: str, text: str, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        answered({}, BY_NAME[name], text)


@given(st.sampled_from(QUESTIONS), st.text(max_size=30))
def test_any_answer_is_taken_or_refused(question: object, text: str) -> None:
    try:
        document = answered({}, question, text)  # type: ignore[arg-type]
    except ValueError:
        return
    assert tomllib.loads(toml_text(document)) == document


@given(
    st.floats(8.0, 80.0).map(lambda x: round(x, 2)),
    st.sampled_from([("mm", 1.0), ("cm", 10.0), ("in", 25.4)]),
    st.booleans(),
)
def test_every_unit_of_a_length_means_the_same(
    mm: float, unit: tuple[str, float], comma: bool
) -> None:
    name, size = unit
    text = f"{mm / size:.6f}{name if name != 'mm' else ''}"
    document = answered({}, BY_NAME["head-gap"], text.replace(".", ",") if comma else text)
    field = field_at("bike.head.gap_mm")
    assert isinstance(field, Number)
    assert field.parse(document["bike"]["head"]["gap_mm"]).low == pytest.approx(mm, abs=1e-4)


def test_a_measured_length_is_resolved_with_its_uncertainty() -> None:
    # 190.3 +/- 0.5 may be 190 mm or 7.5 in (190.5 mm): one size to a frame [cp].
    found = resolved(Quantity(189.8, 190.8, "measured"), "eyelet")
    assert [one.length_mm for one in found] == [pytest.approx(190.5), pytest.approx(190.0)]
    assert one_to_a_frame(found)
    assert resolved(Quantity(173.0, 175.0, "measured")) == ()
    # 165 mm is an eyelet of 6.5 in and a trunnion: every size names its mount [cp].
    assert {one.mount for one in resolved(Quantity.exact(165.0))} == {"eyelet", "trunnion"}
    bike, _ = bike_of(told({"size": "190.3 +/- 0.5 x 50"}))
    assert bike is not None
    assert "the same size to a frame" in remarks(bike)[0]


def test_odd_figures_are_queried() -> None:
    for travel, odd in (("130", False), ("200", True), ("80", True)):
        bike, _ = bike_of(told({"stroke": "50", "travel": travel}))
        assert bike is not None
        assert any("average leverage" in text for text in remarks(bike)) is odd
    bike, _ = bike_of(told({"head-gap": "30 x 8", "head-sleeve": "22 x 6", "tyre-gap": "3"}))
    assert bike is not None
    text = " ".join(remarks(bike))
    assert "8.0 mm narrower" in text
    assert "thicker" in text
    assert "tyre gap" in text
    assert "unit" in remarks(bike, Quantity.exact(185.0))[-1]


def test_a_bike_that_contradicts_itself_is_told_so() -> None:
    with pytest.raises(ValueError, match="must agree"):
        told({"stroke": "50", "travel": "100", "leverage": "2.9 to 2.3"})
    frame = {"leverage": {"ratio_start": Quantity.exact(2.9), "ratio_end": Quantity.exact(2.3)}}
    bike, why = bike_of(told({"stroke": "50", "travel": "100"}), frame)
    assert bike is None
    assert "must agree" in why[0]


def test_the_sheet_prints_and_holds_what_is_asked_at_the_bike() -> None:
    text = measuring_sheet()
    assert max(map(len, text.splitlines())) <= WIDTH
    for name in ("size", "head-gap", "shaft-gap", "axis", "tyre-gap", "shock", "head-thread"):
        assert BY_NAME[name].ask in text
    assert "Photographs" in text


def test_every_measured_fact_says_how() -> None:
    silent = {one.name for one in QUESTIONS if not one.how}
    assert silent == {"name", "rider"}
    assert how("no.such") == ""
    for question in QUESTIONS:
        for place in question.fills:
            top, *path = place.split(".")
            assert path[0] in MODELS[top].model_fields
    assert len({one.name for one in QUESTIONS}) == len(QUESTIONS)


def test_a_row_of_numbers_and_a_unit_for_all() -> None:
    room = answered({}, BY_NAME["room-head"], "2.4 x 1.8 x 40 mm x 1.6 in")
    assert room["bike"]["room"] == {
        "head_up_mm": "2.4 in", "head_down_mm": "1.8 in", "head_left_mm": "40 mm",
        "head_right_mm": "1.6 in",
    }  # fmt: skip
    sleeve = answered({}, BY_NAME["shaft-sleeve"], "22,2 x 8 x 12.7")
    assert sleeve["bike"]["present_shock"]["shaft_sleeve"] == {
        "width_mm": 22.2, "bore_mm": 8, "diameter_mm": 12.7,
    }  # fmt: skip
    assert answered({}, BY_NAME["room-shaft"], "45")["bike"]["room"] == {"shaft_up_mm": 45}


def test_the_sheet_has_a_blank_for_every_number() -> None:
    lines = measuring_sheet().splitlines()
    at = next(k for k, line in enumerate(lines) if BY_NAME["room-middle"].ask in line)
    assert "_____ x _____ x _____ x _____" in " ".join(lines[at : at + 2])
