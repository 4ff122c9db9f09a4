"""What a customer signs for: whose work it is, what it costs apart, and the figures as rounded."""

from dataclasses import replace
from html import unescape

import pytest

from recommender.answer.answer import Case
from recommender.answer.records import Span
from recommender.facts.quantity import Quantity
from recommender.facts.rider import Rider
from recommender.output.page.words import headline
from recommender.output.papers.papers import NEW_BUSHING, OWN_BUSHING, Terms, own_work, papers
from recommender.output.terminal import figure_text
from recommender.rules.market import FITTED
from tests.catalogue import build
from tests.explain.markets import asked
from tests.page.test_papers import DAY, plain


def paper(case: Case, shock: str, name: str) -> str:
    return " ".join(plain(unescape(papers(case, shock, Terms(DAY))[f"{name}.html"])).split())


def told(rider: Rider | None = None) -> Case:
    made = asked()
    question = made.question if rider is None else replace(made.question, rider=rider)
    return Case(question, made.catalogue)


MASS = Quantity.exact(80.0)
OWN = "Not in the price, the customer's own work: fit shock (done here: 25 EUR)."
TAKEN = "No tools were told: the customer is taken to have hex keys, torque wrench and shock pump."


@pytest.mark.parametrize(
    ("rider", "said"),
    [(Rider(mass_with_kit_kg=MASS), [OWN, TAKEN]),
     (Rider(mass_with_kit_kg=MASS, tools=("hex keys", "torque wrench")), [OWN]),
     (Rider(mass_with_kit_kg=MASS, tools=("hex keys",)), [])],
)  # fmt: skip
def test_the_quote_tells_which_work_is_the_customers_own(rider: Rider, said: list[str]) -> None:
    case = told(rider)
    record, _ = case.bundle_of("AIR-1")
    assert own_work(case, record) == said
    quote, card = (paper(case, "AIR-1", name) for name in ("quote", "job-card"))
    assert all(one in quote for one in said)
    assert ("own work" in quote) == bool(said)
    done = "By the rider or here, 30 min. Tools: hex keys, torque wrench. Done here: 25 EUR, not in"
    assert (f"fit shock. {done} the sum" in card) == bool(said)


def kept(**facts: object) -> Case:
    """A shock that may be kept with its sleeves."""
    sleeve = {"width_mm": 22, "bore_mm": 8, "diameter_mm": 12.7, "condition": "good"}
    present = {"part_number": "AIR-1", "head_sleeve": sleeve, "shaft_sleeve": sleeve, **facts}
    made = asked({"present_shock": present}, shocks=[build.shock(), build.shock("AIR-2")])
    return Case(made.question, made.catalogue)


def test_a_service_that_is_due_stands_on_quote_and_job_card() -> None:
    case = kept(condition="service due")
    apart = "have it done before riding on (it is not in this price: about 25 EUR, 0 days)."
    assert apart in paper(case, FITTED, "quote")
    card = paper(case, FITTED, "job-card")
    assert apart in card
    line = "service shock, which is due, if it is ordered. At a workshop, 30 min"
    assert f"{line}. 25 EUR, not in the sum" in card


def test_a_riders_mass_is_rounded_as_every_other(case: Case) -> None:
    """1 lb = 0.45359237 kg exactly (NIST SP 811) [C]: 190 lb are 86.1826 kg."""
    for mass, words in (
        (Quantity.exact(190 * 0.45359237), "86.2"), (Quantity(80.04, 90.06), "80 to 90.1")
    ):  # fmt: skip
        rider = case.question.rider.model_copy(update={"mass_with_kit_kg": mass})
        one = Case(replace(case.question, rider=rider), case.catalogue)
        shock = one.order.firsts[0].name
        assert f"Rider with kit: {words} kg." in paper(one, shock, "quote")
        assert f"{words} kg" in paper(one, shock, "tuner-brief")


def test_the_quote_says_whose_bushing_a_reused_sleeve_goes_into() -> None:
    assert NEW_BUSHING in paper(kept(), "AIR-2", "quote")
    assert OWN_BUSHING in paper(kept(), FITTED, "quote")
    assert "bushing" not in paper(told(), "AIR-1", "quote").split("What was assumed")[1]


def test_room_that_is_not_exactly_known_is_told_by_both_ends(case: Case) -> None:
    """The least counts: the demonstration's first bundle leaves 10 to 11.6 mm."""
    record = case.record(0)
    (gap,) = [one for one in record.figures if one.name == "tyre_gap_mm"]
    assert gap.text == figure_text(record, "tyre_gap_mm") == "10 to 11.6 mm"
    assert gap.told is None
    assert ("tyre gap left", "10 to 11.6 mm", "") in headline(record)
    assert "tyre gap left 10 to 11.6 mm" in paper(case, record.shock, "quote")
    exact = Span(name="tyre_gap_mm", unit="mm", low=9.0, high=9.0, nominal=9.0, text="9 mm")
    assert exact.told == 9.0
