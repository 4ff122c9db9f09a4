"""Complaints into changes with figures, held against the trade's worked example."""

from pathlib import Path

import pytest

from recommender.advice.advice import advice, bench_of
from recommender.advice.brief import brief
from recommender.advice.complaints import COMPLAINTS, complaint
from recommender.answer.answer import Case
from recommender.answer.bundle import completion_of
from recommender.answer.cautions import AIR_OUT, PRESSURE, SUPPORT, TORQUE
from recommender.catalogue.catalogue import read_catalogue
from recommender.catalogue.question import read_question
from recommender.facts.problems import BadInput
from tests.catalogue.build import coil_shock, kit, shock, write_catalogue

# The worked example: ratio 2.86 to 2.34 over 50 mm, 80 kg rider, 5 kg of sprung bike, sag 30 %.
BIKE = """
[bike]
mount = "eyelet"
eyelet_axis = "parallel"
sizes = [{ length_mm = 210, stroke_ceiling_mm = 55 }]
leverage = { stroke_mm = 50, ratio_start = 2.86, ratio_end = 2.34 }
head = { gap_mm = 22, bolt_mm = 8, carbon_lugs = "no" }
shaft = { gap_mm = 22, bolt_mm = 8, carbon_lugs = "no" }
[bike.present_shock]
part_number = "NOW"
condition = "good"
"""
RIDER = "[rider]\nmass_with_kit_kg = 80\n"


def case(tmp_path: Path, part: dict[str, object], more: str = "volume_spacers = 0\n") -> Case:
    folder = write_catalogue(tmp_path / "catalogue", shocks=[part], kits=[kit()])
    path = tmp_path / "question.toml"
    path.write_text(BIKE + more + RIDER, encoding="utf-8")
    read = read_catalogue(folder)
    return Case(read_question([path], read.frames), read)


def test_air_figures_are_those_of_the_worked_example(tmp_path: Path) -> None:
    """A derivation of our own, recomputed apart [D]: 171.1 psi, reserve 0.101 m; 10 and 20 cm3 of
    spacers pumped again to sag: 166.7 and 161.8 psi, 0.112 and 0.129 m; wheel rate 12.30 N/mm;
    zeta 0.25 and 0.50 need 2951 and 5902 N s/m; wheel sag 41.73 mm."""
    bench = bench_of(case(tmp_path, shock("NOW")))
    setups = [bench.air(30.0, count) for count in (0, 1, 2)]
    assert [one.fill_psi for one in setups] == pytest.approx([171.1, 166.7, 161.8], abs=0.05)
    assert [one.reserve_mm for one in setups] == pytest.approx([101, 112, 129], abs=0.6)
    assert setups[0].wheel_sag_mm == pytest.approx(41.73, abs=0.005)
    assert setups[0].wheel_rate_n_per_mm == pytest.approx(12.30, abs=0.005)
    assert setups[0].critical_n_s_per_m * 0.25 == pytest.approx(2951, abs=1)
    assert setups[0].critical_n_s_per_m * 0.50 == pytest.approx(5902, abs=1)


def test_coil_figures_are_those_of_the_worked_example(tmp_path: Path) -> None:
    """550 lbf/in without preload: sag 14.61 mm, reserve 0.102 m, 13.87 N/mm at the wheel [D]."""
    part = coil_shock("NOW", preload_turns_min=0)
    bench = bench_of(case(tmp_path, part, "spring_rate_lbf_per_in = 550\n"))
    got = bench.coil(550 * 0.1751268)
    assert got.sag_mm == pytest.approx(14.61, abs=0.005)
    assert got.reserve_mm == pytest.approx(102, abs=0.6)
    assert got.wheel_rate_n_per_mm == pytest.approx(13.87, abs=0.02)


def test_the_bench_agrees_with_the_rules_figures(tmp_path: Path) -> None:
    """The kept shock's bundle is computed by the engine; its figures must be these."""
    wide = {"compression_low_n_s_per_m": 500, "compression_high_n_s_per_m": 5000}
    made = case(tmp_path, shock("NOW", **wide))
    for found in made.order:
        for ranked in found:
            completion = completion_of(ranked)
            if ranked.bundle.whole.shock != made.market.present:
                continue
            spacers = round(completion.number("spring_spacers"))
            got = bench_of(made).air(30.0, spacers)
            for name in ("fill_psi", "sag_mm", "reserve_mm", "wheel_rate_n_per_mm"):
                assert getattr(got, name) == pytest.approx(completion.number(name), rel=1e-6), name
            return
    pytest.fail("the engine keeps no bundle of the fitted shock")


def test_a_measured_sag_tells_what_is_in_the_shock(tmp_path: Path) -> None:
    """At the worked example's 30 % sag of 15 mm, its 171 psi."""
    now = advice(case(tmp_path, shock("NOW"), "volume_spacers = 0\nsag_mm = 15\n"), ()).now
    assert now.endswith("measured on the bike: sag 15 mm (30 %), by the figures 171 psi")


@pytest.mark.parametrize(("measured", "doubted"), [(14.6, False), (20.0, True), (9.0, True)])
def test_a_coil_s_measured_sag_is_held_against_its_figures(
    tmp_path: Path, measured: float, doubted: bool
) -> None:
    part = coil_shock("NOW", preload_turns_min=0)
    more = f"spring_rate_lbf_per_in = 550\nsag_mm = {measured}\n"
    now = advice(case(tmp_path, part, more), ()).now
    assert f"measured on the bike: sag {measured:g} mm" in now
    assert ("so check the coil's rate" in now) == doubted


def test_every_complaint_has_its_steps_and_figures(tmp_path: Path) -> None:
    made = advice(case(tmp_path, shock("NOW")), list(COMPLAINTS))
    steps = made.complaints["bottoms out"]
    assert steps[0].figures.startswith("167 psi, 1 spacer")
    assert "112 mm instead of 101 mm" in steps[0].figures
    assert all(steps for steps in made.complaints.values())
    assert made.now.startswith("171 psi, no spacer")
    assert any("within it" in text for text in made.damping)


def test_steps_of_the_other_spring_are_left_out(tmp_path: Path) -> None:
    made = advice(
        case(tmp_path, coil_shock("NOW"), "spring_rate_n_per_mm = 96\n"), list(COMPLAINTS)
    )
    told = " ".join(one.step for steps in made.complaints.values() for one in steps)
    assert "spacer" not in told.replace("travel spacer", "")
    stiffer = made.complaints["bottoms out"]
    assert any("100.4 N/mm" in one.figures for one in stiffer)  # 96 + 25 lbf/in (NIST SP 811)


def test_a_damper_out_of_its_depth_is_told_which_way(tmp_path: Path) -> None:
    for low, high, words in (
        (100, 900, "too fast"),
        (9000, 9900, "too slow"),
        (1000, 9000, "within"),
    ):
        part = shock("NOW", rebound_low_n_s_per_m=low, rebound_high_n_s_per_m=high)
        made = advice(case(tmp_path, part), [])
        assert words in made.damping[0]


def test_missing_facts_leave_the_steps_without_figures(tmp_path: Path) -> None:
    made = advice(case(tmp_path, shock("NOW", chamber_cm3=None)), ["bottoms out"])
    assert made.missing == ("chamber_cm3",)
    assert {one.figures for one in made.complaints["bottoms out"]} == {""}


def test_no_shock_or_no_mass_is_asked_for(tmp_path: Path) -> None:
    made = case(tmp_path, shock("NOW"))
    path = tmp_path / "bare.toml"
    path.write_text("[bike]\nname = 'x'\n")
    bare = Case(read_question([path], {}), made.catalogue)
    with pytest.raises(BadInput) as told:
        advice(bare, [])
    assert [one.column for one in told.value.problems] == [
        "bike.present_shock", "rider.mass_with_kit_kg",
    ]  # fmt: skip


def test_complaints_by_their_beginning() -> None:
    assert complaint("Bottoms") == "bottoms out"
    for text in ("", "b", "squeaks"):
        with pytest.raises(BadInput, match="accepted"):
            complaint(text)


def test_the_brief_tells_what_a_tuner_asks(tmp_path: Path) -> None:
    made = brief(
        case(tmp_path, shock("NOW")), ["bottoms out"], works="climbs well", where="the steps"
    )
    text = " ".join(line for lines in made.blocks.values() for line in lines)
    for wanted in ("80 kg", "2.86", "2.34", "rebound: medium", "171 psi", "N s/m", "bottoms out",
                   "climbs well", "the steps", "after riding"):  # fmt: skip
        assert wanted in text


@pytest.mark.parametrize(
    ("low", "high", "opening", "closing"),
    [(1200, 4000, True, False), (2700, 6300, False, False), (4600, 9500, False, True)],
)
def test_a_turn_that_the_figures_speak_against_says_so(
    tmp_path: Path, low: float, high: float, opening: bool, closing: bool
) -> None:
    """The worked example needs about 4,367 N s/m at zeta 0.37: above what the first damper was
    measured to cover, within the second's, below the third's."""
    part = shock("NOW", rebound_low_n_s_per_m=low, rebound_high_n_s_per_m=high)
    asked = case(tmp_path, part)
    told = advice(asked, ["packs down on repeated hits", "bucks on jumps"]).complaints
    against = [
        any(one.against for one in told[name])
        for name in ("packs down on repeated hits", "bucks on jumps")
    ]
    assert against == [opening, closing]


def test_what_the_figures_speak_against_stands_last(tmp_path: Path) -> None:
    """Too fast even fully closed by what was measured: opening it more cannot help."""
    part = shock("NOW", rebound_low_n_s_per_m=1200, rebound_high_n_s_per_m=4000)
    steps = advice(case(tmp_path, part), ["harsh on small bumps"]).complaints
    told = [(one.step.split()[0], one.against) for one in steps["harsh on small bumps"]]
    calm = [("Equalise", False), ("Look", False), ("Let", False)]
    assert told == [*calm, ("Open", True), ("Open", True)]


def test_an_adjuster_that_is_not_there_is_not_turned(tmp_path: Path) -> None:
    names = ("low_speed_compression_adjuster", "lockout_lever", "remote_lockout")
    lacks = dict.fromkeys(names, "no")
    for facts, wanted in (
        (lacks, ["A little less sag."]),
        (lacks | {"remote_lockout": "yes"}, ["A little less sag.", "Use the lockout"]),
        (lacks | {"lockout_lever": None}, ["A little less sag.", "If there is an adjuster: use"]),
    ):
        made = advice(case(tmp_path, shock("NOW", **facts)), ["wallows or bobs"])
        steps = made.complaints["wallows or bobs"]
        assert len(steps) == len(wanted)
        assert all(one.step.startswith(text) for one, text in zip(steps, wanted, strict=True))


@pytest.mark.parametrize(("most", "inside", "told"), [(3, 1, "both"), (1, 1, "less"),
                                                      (3, 0, "more"), (0, None, "")])  # fmt: skip
def test_spacers_are_told_of_where_there_may_be_some(
    tmp_path: Path, most: int, inside: int | None, told: str
) -> None:
    more = "" if inside is None else f"volume_spacers = {inside}\n"
    asked = case(tmp_path, shock("NOW", volume_spacers_max=most), more)
    made = advice(asked, ["bottoms out", "never uses full travel"]).complaints
    text = " ".join(one.step for steps in made.values() for one in steps)
    assert ("one more volume spacer" in text) == (told in ("both", "more"))
    assert ("volume spacer less" in text) == (told in ("both", "less"))


def test_cautions_go_with_the_steps_each_once(tmp_path: Path) -> None:
    asked = case(tmp_path, shock("NOW"))
    assert advice(asked, ["bottoms out", "never uses full travel"]).cautions == (AIR_OUT, PRESSURE)
    assert advice(asked, ["sits deep in mid-travel"]).cautions == (PRESSURE,)
    assert advice(asked, ["bucks on jumps"]).cautions == ()
    coil = case(tmp_path / "coil", coil_shock("NOW"), "spring_rate_n_per_mm = 96\n")
    assert advice(coil, ["bottoms out"]).cautions == (SUPPORT, TORQUE)
