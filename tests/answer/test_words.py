"""What is read aloud at a counter: sentences, plurals, headings, and the order of a screen."""

import html
import re
from dataclasses import replace
from pathlib import Path

import pytest
from rich.console import Console, RenderableType

from recommender.answer import answer as answers
from recommender.answer import explained as explaining
from recommender.answer.answer import Case, alternatives, answer
from recommender.answer.bundle import interchangeable
from recommender.answer.compare import compare
from recommender.answer.explained import explained
from recommender.answer.measured import _together, measure_next
from recommender.answer.names import by_text, fact_words, grouped_words
from recommender.answer.records import Part
from recommender.answer.replies import Measure, ValueRange
from recommender.answer.wording import sentence
from recommender.catalogue.catalogue import read_catalogue
from recommender.catalogue.question import read_question
from recommender.explain.refine import WAITS
from recommender.facts.fields import blanks
from recommender.facts.parts import Shock
from recommender.facts.problems import BadInput
from recommender.facts.rider import Rider
from recommender.output.explanations import measures
from recommender.output.page.words import headline
from recommender.output.papers.measuring import sheet_page
from recommender.output.parts import priced
from recommender.output.terminal import (
    at_least,
    counted,
    parts_table,
    rejections,
    rule_label,
    shortlist,
)
from recommender.rules.registry import RULES
from recommender.search.completion import Shown
from tests.catalogue import build
from tests.cli.test_schemas import QUESTION
from tests.explain.markets import asked

OPEN_JOB = "turn eyelet, only if it lies crosswise and the manual allows it"


def shown(screen: RenderableType) -> str:
    """The screen's words on one line."""
    console = Console(width=100, color_system=None)
    with console.capture() as got:
        console.print(screen)
    return " ".join(got.get().split())


@pytest.fixture
def case(tmp_path: Path) -> Case:
    """One shock that fits, one of which the axis is unknown, one too long, one not in stock."""
    firm = {"compression_class": "firm"}
    shocks = [
        build.shock("AIR-1", **firm, delivery_days=None),
        build.shock("AIR-2", **firm, eyelet_axis=None, eyelet_turnable="no"),
        build.shock("LONG", **firm, length_mm=240), build.shock("GONE", **firm, stock=0),
    ]  # fmt: skip
    kits = [build.kit("K-1"), build.kit("K-2", price=1)]
    folder = build.write_catalogue(tmp_path / "c", shocks=shocks, kits=kits)
    (tmp_path / "q.toml").write_text(QUESTION, encoding="utf-8")
    read = read_catalogue(folder)
    return Case(read_question([tmp_path / "q.toml"], read.frames), read)


@pytest.mark.parametrize(
    ("quantity", "unit", "told"),
    [
        (2 / 3, "share", "67 %"), (1, "share", "100 %"), (0, "workshop jobs", "no workshop job"),
        (1, "workshop jobs", "1 workshop job"), (2, "workshop jobs", "2 workshop jobs"),
        (0, "open rules", "no open rule"), (1, "days", "1 day"), (0, "days", "0 days"),
        (95.537, "mm", "95.54 mm"), (430, "EUR", "430 EUR"), (30, "percent", "30 %"),
    ],
)  # fmt: skip
def test_counts_as_they_are_said(quantity: float, unit: str, told: str) -> None:
    assert counted(quantity, unit) == told


class Loose:
    """A completion that knows each fact as an interval."""

    def __init__(self, **facts: tuple[float, float]) -> None:
        self.facts = facts

    def shown(self, name: str) -> Shown:
        low, high = self.facts[name]
        return Shown(low, high, (low + high) / 2)


def test_two_loose_values_make_one_span() -> None:
    text = "it takes {a_psi} to {b_psi} psi"
    loose = Loose(a_psi=(136, 220), b_psi=(140, 230))
    assert sentence(text, loose, 0.0, "psi") == "it takes 136 to 230 psi"  # type: ignore[arg-type]
    exact = Loose(a_psi=(136, 136), b_psi=(140, 140))
    assert sentence(text, exact, 0.0, "psi") == "it takes 136 to 140 psi"  # type: ignore[arg-type]


def test_facts_that_belong_together_are_told_in_one() -> None:
    air = ["shock_piston_area_mm2", "shock_chamber_cm3", "shock_negative_area_mm2",
           "shock_pressure_max_psi"]  # fmt: skip
    told = grouped_words([*air, "shock_head_eye"])
    assert told == [
        "the shock's air spring (its areas, chambers and pressure limits)",
        "whether the shock's head eye holds a bushing or a bearing",
    ]
    assert len(grouped_words(air[:2])) == 2


def test_a_wish_is_told_with_one_colon() -> None:
    assert rule_label("wish: budget") == "budget wished for"
    assert rule_label("tyre gap") == "tyre gap"


def test_spacers_are_counted_once() -> None:
    part = Part(
        role="spring", name="1 volume spacer", text="1 volume spacer", how="buy", price=5,
        labour=0, price_ends=(5, 5), labour_ends=(0, 0), days=0,
    )  # fmt: skip
    fitted = type("Fitted", (), {"parts": (part,), "price": 5.0, "price_ends": None,
                               "blank": (), "currency": "EUR"})()
    told = shown(parts_table(fitted, "EUR"))
    assert "1 volume spacer" in told
    assert "spacers" not in told


def test_what_is_ruled_out_stands_before_what_cannot_be_said(case: Case) -> None:
    told = shown(rejections(answer(case, top=0)))
    out, doubt = told.index("Ruled out, the nearest"), told.index("Not turned down")
    assert out < told.index("LONG ") < doubt < told.index("AIR-2 ")


def test_a_short_list_of_rejections_is_of_what_was_turned_down(case: Case) -> None:
    assert [one.state for one in answer(case, top=0, rejected=2).turned_down] == ["ruled out"] * 2


def test_a_plus_is_explained_where_it_stands(case: Case) -> None:
    made = answer(case)
    assert at_least(next(one for one in made.bundles if one.shock == "AIR-1"), "days", "3") == "3+"
    assert "+: not every part's is told" in shown(shortlist(made))


def test_the_shop_is_asked_for_stock_once(case: Case) -> None:
    (way,) = explained(case, case.turned_of("GONE")).corrections
    assert (way.who, way.text) == ("shop", "more pieces in stock")


def test_a_shock_that_fits_has_an_empty_account(case: Case) -> None:
    account = explained(case, case.turned_of("AIR-1"))
    assert (account.state, account.broken, account.corrections) == ("fits", (), ())


def test_another_bundle_of_a_shock_is_told_by_its_number(
    case: Case, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = case.order[0]
    assert len(first) > 1
    monkeypatch.setattr(answers, "variety", lambda order: [("the cheapest", order[0][1])])
    (told,) = alternatives(case)
    assert told.reason == "the cheapest (its --variant 2)"
    assert told.bundle.price == case.bundle_of(told.bundle.shock, 1)[0].price


def test_sides_of_the_room_are_one_item() -> None:
    values = (ValueRange(text="0 to 20 mm", fits=(), out=("A",), fits_count=0, out_count=1),)

    def one(fact: str, first: bool | None = None) -> Measure:
        return Measure(
            fact=fact, shock="", how="Measure.", settles=1, first_may_change=first, values=values
        )

    found = [
        ("bike_room_head_up_mm", one("up")), ("bike_mount", one("mount")),
        ("bike_room_head_down_mm", one("down", first=False)),
    ]  # fmt: skip
    sides, mount = _together(found)
    assert sides.fact == "the frame's room for the shock on 2 sides"
    assert "head third, down side" in sides.how
    assert sides.first_may_change is False
    assert mount.fact == "mount"


def test_what_to_measure_says_what_follows(case: Case) -> None:
    told = shown(measures(measure_next(case)))
    assert "crosswise: AIR-2 is ruled out" in told
    assert "parallel: AIR-2 fits" in told


def test_the_sheet_to_print_holds_every_question_and_fetches_nothing() -> None:
    from recommender.advice.sheet import PHOTOS, asked

    page = html.unescape(sheet_page())
    assert page.count("<tr><td>") == len(asked())
    assert all(photo in page for photo in PHOTOS)
    assert "default-src 'none'" in page
    assert "@page" in page


def test_a_bundle_s_amounts_are_in_the_wishes_currency(case: Case) -> None:
    best = case.record(0)
    assert headline(best)[0][1].endswith(f" {case.question.wishes.currency}")
    assert priced(best.parts[0], best.currency)[0].endswith(f" {best.currency}")


def test_what_the_rider_wished_for_has_words_for_each_side_that_gives() -> None:
    for rule in RULES.values():
        assert {fact for fact, _ in rule.gives} <= explaining._WISHED.keys(), rule.name
        assert all(fact in rule.reads for fact, _ in rule.gives), rule.name
    assert explaining._WISHED.keys() == {fact for one in RULES.values() for fact, _ in one.gives}


def test_a_pressure_that_hangs_on_an_untold_rider_is_told_by_its_ends(case: Case) -> None:
    question = case.question
    untold = Case(replace(question, rider=Rider()), case.catalogue)
    record = untold.record(0)
    told = shown(shortlist(answer(untold, top=1)))
    fill = next(one for one in record.figures if one.name == "fill_psi")
    assert fill.wide
    assert fill.text in told
    assert re.fullmatch(r"\d+ to \d+ psi", fill.text)
    exact = next(one for one in case.record(0).figures if one.name == "fill_psi")
    assert not exact.wide
    assert re.fullmatch(r"\d+( \(\d+ to \d+\))? psi", exact.text)
    assert re.search(r"\D\d+ psi", shown(shortlist(answer(case, top=1))))


def test_every_limit_that_nobody_told_is_named_as_not_checked(case: Case) -> None:
    told, market = " ".join(case.record(0).cautions), case.market
    limits = [name for name, mark in blanks(Shock).items() if mark.says == "no limit"]
    known = {
        fact_words(f"shock_{name}"): bool(
            market.shocks.number(name).is_known[case.order.firsts[0].shock]
        )
        for name in limits
    } | {
        "the frame's highest rider mass": market.bike.limits.rider_mass_kg.known,
        "where the linkage stops": market.bike.linkage_stop_mm.known,
    }
    assert {words: words not in told for words in known} == known
    assert set(known.values()) == {True, False}


def test_a_shock_is_not_compared_with_itself(case: Case) -> None:
    name = case.order.firsts[0].name
    with pytest.raises(BadInput, match="name two different shocks"):
        compare(case, name, name)


@pytest.mark.parametrize(
    ("price", "told"),
    [("", "can't be said yet: not every part's price is told"),
     ("380 to 900", "at worst the whole costs 9")],
)  # fmt: skip
def test_a_budget_is_in_doubt_where_a_price_is_not_told_or_loose(price: str, told: str) -> None:
    made = asked(shocks=[build.shock(price=price)], wishes={"budget": {"must": 850}})
    record = Case(made.question, made.catalogue).record(0)
    (doubt,) = [one for one in record.doubts if one.rule == "wish: budget"]
    assert doubt.text.startswith(told)
    assert doubt.hinges_on == ("the shock's price",)


def test_a_pressure_that_is_not_known_lies_near_no_limit(case: Case) -> None:
    question = case.question
    told = Case(replace(question, rider=Rider()), case.catalogue).record(0).cautions
    assert not [one for one in told if one.startswith("The fill pressure")]


def test_rules_of_which_the_same_is_said_stand_in_one_line() -> None:
    told = by_text([("sag", "it hinges on a"), ("wish: days", "b"), ("length", "it hinges on a")])
    assert told == [("sag and length", "it hinges on a"), ("days wished for", "b")]


AXES = [
    ("parallel", "parallel", "no", []), ("crosswise", "parallel", "yes", ["turn eyelet"]),
    (None, "parallel", "no", []), ("parallel", None, "yes", [OPEN_JOB]),
    (None, "parallel", "yes", [OPEN_JOB]), ("crosswise", "parallel", None, [OPEN_JOB]),
]  # fmt: skip


@pytest.mark.parametrize(("axis", "wanted", "turnable", "jobs"), AXES)
def test_an_eyelet_is_turned_where_it_must_be_and_may_be(
    axis: str | None, wanted: str | None, turnable: str | None, jobs: list[str]
) -> None:
    shocks = [build.shock(eyelet_axis=axis, eyelet_turnable=turnable)]
    made = asked({"eyelet_axis": wanted}, shocks=shocks)
    record = Case(made.question, made.catalogue).record(0)
    assert [one.job for one in record.jobs if "eyelet" in one.job] == jobs
    labour = record.parts[0].labour_ends
    assert labour is not None
    assert (labour[1] > 0) == bool(jobs)


def test_sizes_in_inches_are_rounded_as_other_figures() -> None:
    """9.06 in are 230.124 mm."""
    made = asked({"sizes": [{"length_mm": 9.06 * 25.4, "stroke_ceiling_mm": 63.5}]})
    case = Case(made.question, made.catalogue)
    told = " ".join(one.text for one in answer(case).turned_down[0].broken)
    assert "230.1 x 63.5 mm" in told


def test_what_another_kit_adds_holds_its_labour() -> None:
    kits = [build.kit("A", price=10), build.kit("B", price=12)]
    made = asked(kits=kits)
    case = Case(made.question, made.catalogue)
    bundles = case.order[0]
    told = interchangeable(bundles[0], "EUR")
    facts = made.market.kits.facts
    row = made.market.kits.labels.index("B")
    chosen = bundles[0].bundle.option("head_kit")
    cost = [facts[name].nominal.low for name in ("price", "labour")]
    more = sum(float(one[row] - one[chosen]) for one in cost)
    assert f"head kit: B ({more:+.2f} EUR)" in told


def test_a_shock_whose_price_nobody_told_is_not_said_to_be_beaten() -> None:
    shocks = [build.shock("A"), build.shock("B", price="", mass_g=900)]
    made = asked(shocks=shocks)
    case = Case(made.question, made.catalogue)
    assert case.beaten
    for place in range(len(case.order)):
        record = case.record(place)
        assert not (record.blank and record.beaten_by)


def test_a_broken_shock_that_is_kept_is_told_as_one() -> None:
    conditions = {"good": None, "service due": "service is due", "broken": "repair"}
    for condition, told in conditions.items():
        bike = {"present_shock": {"part_number": "A", "condition": condition}}
        made = asked(bike, shocks=[build.shock("A")])
        case = Case(made.question, made.catalogue)
        said = " ".join(case.record(case.place("fitted")).cautions)
        assert (told in said) if told else ("The fitted shock" not in said)


def test_the_figure_to_show_lies_within_what_it_may_be() -> None:
    blank = dict.fromkeys(("piston_area_mm2", "chamber_cm3", "negative_area_mm2"))
    made = asked(shocks=[build.shock(**blank)])
    for one in Case(made.question, made.catalogue).record(0).figures:
        if one.said is not None and one.low is not None and one.high is not None:
            assert one.low <= one.said <= one.high, one.name


def test_what_the_choice_of_parts_waits_for_is_told(case: Case) -> None:
    """Either of two kits suits for some gap; for every gap one of the two does."""
    kits = [build.kit("NARROW", width_mm=21.8), build.kit("WIDE", width_mm=22.2)]
    gap = {"gap_mm": "22.1 +/- 0.3"}
    made = asked({"head": gap, "shaft": {"gap_mm": 21.9}}, kits=kits)
    told = measure_next(Case(made.question, made.catalogue))
    found = {one.fact: one.shocks for one in told.choosing}
    states = Case(made.question, made.catalogue).refined.state.tolist()
    assert sum(map(len, found.values())) == states.count(WAITS)
    assert found == {"the frame's gap at the head end": (build.shock()["part_number"],)}
    assert "Which parts fit waits for the frame's gap at the head end" in shown(measures(told))


def test_each_variant_has_its_own_record() -> None:
    made = asked(kits=[build.kit("A", price=10), build.kit("B", price=40, mass_g=1)])
    case = Case(made.question, made.catalogue)
    found = case.order[0]
    assert len(found) > 1
    told = [case.record(0, which) for which in range(len(found))]
    assert [one.total_points for one in told] == [one.points for one in found]
    assert [one.price for one in told] == [one.price for one in found]
    assert len({(one.price, one.mass_g) for one in told}) > 1
