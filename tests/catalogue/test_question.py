"""Bike, rider and wishes from TOML."""

from collections.abc import Sequence
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from recommender.catalogue.frames import FrameFile, read_frames
from recommender.catalogue.question import Question, read_question
from recommender.facts.bike import Bike
from recommender.facts.problems import BadInput, Problem
from recommender.facts.quantity import Quantity
from recommender.facts.rider import Rider
from recommender.facts.wishes import Wishes

HILL = """
[bike]
name = "Hill"
mount = "eyelet"
length_tolerance_mm = 0.5
sizes = [{length_mm = 210, stroke_ceiling_mm = 52.5}, {length_mm = 205}]
[bike.head]
gap_mm = 22
bolt_mm = 8
[bike.leverage]
stroke_mm = 50
travel_mm = 130
[bike.tyre]
gap_mm = {value = 12, tolerance = 1}
"""


@pytest.fixture(name="ask")
def _ask(tmp_path: Path) -> "Ask":
    return Ask(tmp_path)


class Ask:
    """Writes files and reads the question, over the frame 'hill'."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        (folder / "frames").mkdir()
        (folder / "frames" / "hill.toml").write_text(HILL)
        self.frames = read_frames(folder / "frames")

    def __call__(self, *texts: str | bytes) -> Question:
        paths = []
        for i, text in enumerate(texts):
            path = self.folder / f"{i}.toml"
            path.write_bytes(text.encode() if isinstance(text, str) else text)
            paths.append(path)
        return read_question(paths, self.frames)

    def problems(self, *texts: str | bytes) -> Sequence[Problem]:
        with pytest.raises(BadInput) as caught:
            self(*texts)
        return caught.value.problems

    def told(self, *texts: str | bytes) -> list[str]:
        return [str(p).replace(f"{self.folder}/", "") for p in self.problems(*texts)]


def test_defaults(ask: Ask) -> None:
    question = ask("[bike]\n")
    assert question.bike == Bike.model_validate({})
    assert question.rider == Rider.model_validate({})
    assert question.wishes == Wishes.model_validate({})


def test_one_file_or_three(ask: Ask) -> None:
    bike, rider = '[bike]\nname = "A"\n', "[rider]\nmass_with_kit_lb = 180\n"
    wishes = "[wishes]\nbudget = {must = 400}\ntravel_mm = {prefer = [130, 140]}\n"
    together, apart = ask(bike + rider + wishes), ask(wishes, rider, bike)
    assert (together.bike, together.rider, together.wishes) == (
        apart.bike, apart.rider, apart.wishes,
    )  # fmt: skip
    # 1 lb = 0.45359237 kg (NIST SP 811 [C, equal to scipy, pint]).
    assert together.rider.mass_with_kit_kg.low == pytest.approx(81.6466266, rel=1e-12)
    assert together.wishes.travel_mm.aim is not None
    assert together.wishes.travel_mm.aim.high == 140
    assert len(together.digest) == 64
    assert together.digest != apart.digest
    assert ask(bike + rider + wishes).digest == together.digest


def test_wishes_and_readings_in_other_units(ask: Ask) -> None:
    told = ask(
        "[bike.leverage]\nreading_error_in = 0.02\ntable = [\n"
        "{ compression_in = 0, wheel_travel_in = 0 }, { compression_mm = 20, wheel_travel_cm = 5 "
        "},\n{ compression_in = 1.5, wheel_travel_in = 4 },\n"
        '{ compression_mm = "2 in", wheel_travel_mm = "5.2 in" },\n]\n'
        '[wishes]\ntravel_in = { must = [5, 5.5], prefer = "5.1 to 5.4", weight = 3 }\n'
        "sag_fraction = { must = { low = 0.25 } }\nsag_target_fraction = 0.28\n"
        'reserve_in = { prefer = "25 mm" }\nmass_lb = { must = 1.2 }\n'
    )
    # 1 in = 25.4 mm, 1 lb = 453.59237 g, exact (NIST SP 811, appendix B).
    travel = told.wishes.travel_mm
    assert travel.must is not None
    assert travel.prefer is not None
    assert (travel.must.low, travel.must.high) == pytest.approx((127.0, 139.7))
    assert (travel.prefer.low, travel.prefer.high) == pytest.approx((129.54, 137.16))
    assert travel.weight == 3
    assert told.wishes.sag_percent.must is not None
    assert told.wishes.sag_percent.must.low == pytest.approx(25.0)
    assert told.wishes.sag_percent.must.high is None
    assert told.wishes.sag_target_percent == pytest.approx(28.0)
    assert told.wishes.reserve_mm.prefer == pytest.approx(25.0)
    assert told.wishes.mass_g.must == pytest.approx(544.310844)
    leverage = told.bike.leverage
    assert leverage.reading_error_mm == pytest.approx(0.508)
    assert [one.compression_mm for one in leverage.table] == pytest.approx([0, 20, 38.1, 50.8])
    assert [one.wheel_travel_mm for one in leverage.table] == pytest.approx([0, 50, 101.6, 132.08])


def test_a_frame_stands_where_the_bike_is_silent_or_blank(ask: Ask) -> None:
    bike = ask(
        '[bike]\nframe = "hill"\nmount = "?"\nsizes = [{length_mm = 200}]\n'
        '[bike.head]\ngap_in = 0.9\nbolt_mm = ""\n[bike.tyre]\ngap_mm = {from = 10, to = 11}\n'
        "[bike.shaft]\ngap_mm = 30\n"
    ).bike
    assert (bike.frame, bike.name, bike.mount) == ("hill", "Hill", "eyelet")
    assert bike.length_tolerance_mm == Quantity.exact(0.5)
    assert [size.length_mm.low for size in bike.sizes] == [200]
    assert bike.head.gap_mm.low == pytest.approx(22.86)
    assert bike.head.bolt_mm == Quantity.exact(8)
    assert bike.shaft.gap_mm == Quantity.exact(30)
    assert bike.tyre.gap_mm == Quantity(10, 11, "range")
    assert bike.leverage.travel_mm == Quantity.exact(130)


def test_frame_and_bike_must_agree_together(ask: Ask) -> None:
    (problem,) = ask.problems(
        '[bike]\nframe = "hill"\n[bike.leverage]\nratio_start = 3.5\nratio_end = 3\n'
    )
    assert problem.column == "bike.leverage"
    assert "must agree within 2 %" in problem.message


def test_unknown_frame(ask: Ask) -> None:
    assert ask.told('[bike]\nframe = "hil"\n') == [
        "0.toml, bike.frame: 'hil': no frame of the catalogue has this id; nearest: hill"
    ]


def test_all_problems_at_once_with_their_places(ask: Ask) -> None:
    assert ask.told(
        "[bike]\nmout = 1\nyoke = 'maybe'\nsizes = [{length_mm = 210}, {length_mm = 20},"
        " {lenght_mm = 1}]\n[bike.head]\ngap_furlong = 2\nbolt_mm = true\n"
        "[bike.tyre]\ngap_mm = nan\nwidth_in = 0.1\nwidth_mm = 60\n",
        "[rider]\ntools = ['hammer']\ntaste = 'plus'\nrear_share = 0.4\nname = 3\n[wishez]\n",
        "[wishes]\ncurrency = 'euro'\nweight = 1\nbudget = 500\nmass_g = {must = true}\n"
        "travel_mm = {must = 130}\nremote = {must = 'perhaps'}\nsag_target_percent = inf\n"
        "rates = {USD = true, eur = 1.0}\nyears_of_use = 0\n"
        "lockout = {must = 'soft', weigth = 2}\n",
    ) == [
        "0.toml, bike.mout: '1': no such field; nearest: mount",
        "0.toml, bike.sizes[2].length_mm: '20': 20 mm is outside what is accepted: 100 to 350 mm",
        "0.toml, bike.sizes[3].lenght_mm: '1': no such field; nearest: length_mm",
        "0.toml, bike.head.gap_furlong: '2': unknown unit; accepted: gap_mm, gap_cm, gap_m, gap_in",
        "0.toml, bike.head.bolt_mm: 'true': a number in mm is wanted, not true",
        "0.toml, bike.tyre.gap_mm: 'nan': NaN and infinity are not accepted",
        "0.toml, bike.tyre.width_in: '0.1': 2.54 mm is outside what is accepted: 28 to 130 mm",
        "0.toml, bike.tyre.width_mm: '60': width_in and width_mm both give width_mm: keep one",
        "0.toml, bike.yoke: 'maybe': accepted: no, yes, or blank for unknown; nearest: yes",
        "1.toml, wishez: no such table; accepted: [bike], [rider], [wishes]; nearest: wishes",
        "1.toml, rider.rear_share: '0.4': 0.4 is outside what is accepted: 0.5 to 0.65",
        "1.toml, rider.name: '3': a text in quotation marks is wanted",
        "1.toml, rider.taste: 'plus': accepted: plush, neutral, firm, or blank for unknown; "
        "nearest: plush",
        "1.toml, rider.tools: 'hammer' is no known tool; accepted: hex keys, torque wrench, "
        "shock pump, bushing tool, bushing press, eyelet driver, air can tool, bearing press, "
        "spring scale",
        "2.toml, wishes.weight: '1': no such field; nearest: weights",
        "2.toml, wishes.mass_g.must: 'true': a number is wanted",
        "2.toml, wishes.sag_target_percent: 'inf': NaN and infinity are not accepted",
        "2.toml, wishes.rates.USD: 'true': a number is wanted",
        "2.toml, wishes.lockout.weigth: '2': no such field; nearest: weight",
        "2.toml, wishes.currency: 'euro': a currency code of three capital letters is wanted, "
        "such as EUR",
        "2.toml, wishes.rates: 'eur' is no currency code such as EUR",
        "2.toml, wishes.travel_mm.must: '130': a range is wanted, such as [25, 32]",
        "2.toml, wishes.lockout.must: 'soft': 'soft' is not accepted; accepted: none, light, "
        "medium, firm",
        "2.toml, wishes.remote.must: 'perhaps': true or false is wanted",
        "2.toml, wishes.budget: '500': a wish is wanted: {must = ...}, {prefer = ...} or both",
        "2.toml, wishes.years_of_use: '0': must be more than 0",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("texts", "told"),
    [
        (["[rider]\n"], '0.toml: no table [bike]: the bike\'s facts are wanted, or frame = "id"'),
        ([], 'no file given: no table [bike]: the bike\'s facts are wanted, or frame = "id"'),
        (["[bike]\n", "[bike]\n"], "1.toml, bike: a table [bike] stands in 0.toml already"),
        (["bike = 3\n"], "0.toml, bike: '3': a table [bike] is wanted"),
        (["[bike]\nname = \n"], "0.toml, row 2: not valid TOML: Invalid value (column 8)"),
        (["[bike]\nlength_tolerance_mm = 1,5\n"],
         "0.toml, row 2: not valid TOML: Expected newline or end of document after a statement "
         "(column 24); with a decimal point: 1.5"),
        (["[bike]\nname = Hill bike\n"],
         "0.toml, row 2: not valid TOML: Invalid value (column 8); "
         'text stands in quotes: "Hill bike"'),
        (['[bike]\nname = "'], "0.toml, row 2: not valid TOML: "),
        ([b"[bike]\nname = '\xff'"], "0.toml, row 2: byte 0xFF is no UTF-8"),
        ([b"[bike]\n\0"], "0.toml, row 2: a NUL byte"),
        (["[bike]\nlength_tolerance_mm = " + "9" * 5000], "0.toml, row 2: not valid TOML: "),
        (["[bike]\nsizes = " + "[" * 5000], "0.toml, row 2: nested too deeply"),
        (["#" * (2**20 + 1)], "0.toml: the file is too large; at most 1 MiB are accepted"),
    ],
)
def test_files_that_are_no_question(ask: Ask, texts: list[str | bytes], told: str) -> None:
    assert ask.told(*texts)[0].startswith(told)


def test_a_file_that_does_not_parse_hides_no_others_and_asks_for_no_bike(ask: Ask) -> None:
    assert len(ask.told("[bike\n", "[rider]\ntaste = 'sour'\n")) == 2


def test_every_integer_is_a_number_or_an_error(ask: Ask) -> None:
    huge = "0x" + "f" * 9000
    assert len(ask.problems(f"[bike]\nlength_tolerance_mm = {huge}\nmount = {huge}\n")) == 2
    assert len(ask.problems(f"[bike]\n[wishes]\nsag_target_percent = {huge}\n")) == 1


def test_an_extended_measure_is_read_the_same_in_any_unit(ask: Ask) -> None:
    bike = ask("[bike.room]\nmeasured = 'extended'\nhead_up_mm = 25.4\nhead_down_in = 1\n").bike
    assert bike.room.head_up_mm == bike.room.head_down_mm == Quantity(0.0, 25.4, "measured")


@pytest.mark.parametrize(
    ("name", "text", "told"),
    [
        ("dale", "", "dale.toml: a table [bike] with the frame's facts is wanted"),
        ("dale", "[bike]\n[rider]\n", "dale.toml, rider: no such table; accepted: [bike]"),
        ("dale", '[bike]\nframe = "hill"\n', "dale.toml, bike.frame: 'hill': a frame of the"),
        ("da le", "[bike]\n", "da le.toml: 'da le.toml': the file's name is the frame's id"),
        ("dale", "[bike]\nmount = 'yoke'\n", "dale.toml, bike.mount: 'yoke': accepted: eyelet"),
    ],
)
def test_frame_files_that_are_refused(tmp_path: Path, name: str, text: str, told: str) -> None:
    (tmp_path / f"{name}.toml").write_text(text)
    with pytest.raises(BadInput) as caught:
        read_frames(tmp_path)
    assert str(caught.value).startswith(f"{tmp_path}/{told}")


def test_no_frames_folder_is_no_frames(tmp_path: Path) -> None:
    assert read_frames(tmp_path / "frames") == {}


@settings(max_examples=200, deadline=None)
@given(st.binary(max_size=200))
@example(b"[bike]\ntyre.gap_mm.a.b.c = 1")
@example(b"[bike]\nhead = [1, true]\nsizes = {}\nleverage.table = [1, [2], {}]")
@example(b"[bike]\nname = 2020-01-01\nmount = 1979-05-27T07:32:00Z\nlength_tolerance_mm = 07:32:00")
@example(b"[wishes]\nrates = [1]\ntravel_mm = [1, 2]\nadjusters = {must = 'rebound'}\n[bike]")
@example(b"[bike]\npresent_shock.facts = {}\n")
@example(b"bike.name = " + b'"' * 3 + b"\\ud800" + b'"' * 3)
def test_any_bytes_read_or_raise_bad_input(
    tmp_path_factory: pytest.TempPathFactory, data: bytes
) -> None:
    folder = tmp_path_factory.mktemp("fuzz")
    for content in (data, b"[bike]\n" + data, b"[bike.head]\n" + data):
        (folder / "q.toml").write_bytes(content)
        assert isinstance(_attempt(folder / "q.toml", {}), Question | BadInput)


FIELDS = sorted({*Bike.model_fields, *Rider.model_fields, *Wishes.model_fields})
VALUES = st.recursive(
    st.sampled_from(["1", "22.5", "true", "nan", "-inf", '"x"', '"22 +/- 1"', '"?"', "07:30:00"]),
    lambda inner: (
        st.lists(inner, max_size=3).map(lambda items: f"[{', '.join(items)}]")
        | st.dictionaries(st.sampled_from(["gap_mm", "must", "value", "a"]), inner, max_size=2).map(
            lambda d: "{" + ", ".join(f"{k} = {v}" for k, v in d.items()) + "}"
        )
    ),
    max_leaves=4,
)


@settings(max_examples=300, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.sampled_from(["bike", "rider", "wishes"]),
            st.sampled_from(FIELDS),
            VALUES,
        ),
        max_size=4,
        unique_by=lambda entry: entry[:2],
    )
)
def test_any_value_in_any_field_reads_or_is_told_with_its_place(
    tmp_path_factory: pytest.TempPathFactory, entries: list[tuple[str, str, str]]
) -> None:
    path = tmp_path_factory.mktemp("fuzz") / "q.toml"
    path.write_text("bike.mount = ''\n" + "".join(f"{t}.{f} = {v}\n" for t, f, v in entries
                                                  if (t, f) != ("bike", "mount")))  # fmt: skip
    got = _attempt(path, {})
    if isinstance(got, BadInput):
        assert all(p.column.startswith(("bike.", "rider.", "wishes")) for p in got.problems)
        assert not any("pydantic" in str(p) or "http" in str(p) for p in got.problems)


def _attempt(path: Path, frames: dict[str, FrameFile]) -> Question | BadInput:
    try:
        return read_question([path], frames)
    except BadInput as bad:
        return bad
