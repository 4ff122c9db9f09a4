"""What pages and papers say of what is not exactly known, and of which paper a printed page is."""

import json
import re
from pathlib import Path
from typing import Any

import pytest

from recommender.answer.answer import Case
from recommender.answer.numbers import number
from recommender.answer.records import BundleRecord
from recommender.cli.inputs import shipped
from recommender.cli.open import open_case
from recommender.output.html import css_text, keys
from recommender.output.page.page import page
from recommender.output.page.words import gains, headline, hinges, sure_words
from recommender.output.papers.papers import Terms, papers
from tests.page.test_list import blanks
from tests.page.test_papers import DAY, plain


@pytest.fixture(scope="module")
def counter() -> Case:
    """Two bundles of it cost what nobody can say to the cent."""
    return open_case(sorted((shipped("demo") / "counter").glob("*.toml")), None)


def records(case: Case) -> list[BundleRecord]:
    return [case.record(place) for place in range(len(case.order))]


def test_gains_over_the_fitted_shock_are_told_with_both_ends(case: Case, counter: Case) -> None:
    """The first bundle's gap is 10 to 11.6 mm, the fitted shock's 11.4: it may be less or more."""
    said = gains(case.record(0), case.kept)
    assert any(re.fullmatch(r"[\d.]+ mm less to [\d.]+ mm more tyre gap", one) for one in said)
    assert "34.3 to 34.7 mm less bottom-out reserve" in said
    kept = counter.kept
    assert kept is not None
    assert kept.price_ends == (30.0, 65.0)
    other = next(one for one in records(counter) if one.shock != kept.shock)
    least, most = other.price - 65, other.price - 30
    words = f"{number(least, 'money')} to {number(most, 'money')} EUR more than keeping it"
    assert any(one.startswith(words) for one in gains(other, kept))
    swapped = gains(kept.model_copy(update={"shock": "other"}), other)
    assert any(" EUR less than keeping it" in one for one in swapped)


def test_what_it_hinges_on_is_told_once_for_all_rules(counter: Case) -> None:
    best = records(counter)[0]
    together = hinges(best)
    assert len({text for _, text in together}) == len(together) < len(best.doubts)
    assert "5 rules" in sure_words(best)
    one = best.model_copy(update={"doubts": best.doubts[:1]})
    assert sure_words(one).endswith("one rule may still turn it down. It is named below.")


def test_what_no_supplier_tells_is_said_so_on_card_and_quote() -> None:
    case = blanks()
    found = {one.shock: one for one in records(case)}
    items = {name: {one[0]: one for one in headline(record)} for name, record in found.items()}
    cost = items["AIR-1"]["price of the whole"]
    assert cost[1].endswith(" EUR or more")
    assert cost[2] == "not every part's is told"
    wait = items["S-2"]["days until it rides"]
    assert wait[1:] == ("4 or more", "not every part's is told")
    quotes = {name: plain(papers(case, name, Terms(DAY))["quote.html"]) for name in found}
    assert "Not every price is told: the whole is that or more." in quotes["AIR-1"]
    assert "Not every price" not in quotes["S-2"]
    assert "Ready in 4 days or more: not every part's delivery is told" in quotes["S-2"].replace(
        "&#39;", "'")  # fmt: skip


def test_a_ruled_out_shock_is_not_said_to_be_settled_by_a_measurement(counter: Case) -> None:
    text = page(counter, top=1, rejected=None, full=0)
    rows = re.findall(r'<details class="row turned"[^>]*data-state="([^"]*)".*?</details>', text,
                      re.S)  # fmt: skip
    assert {"ruled out", "open"} <= set(rows)
    for row in re.findall(r'<details class="row turned".*?</details>', text, re.S):
        assert ("Would be settled by" in row) <= ('data-state="open"' in row)
    assert "Would be settled by" in text
    told = re.sub("<[^>]+>", "", text)
    assert "nobody can: it would break" in told
    assert "a limit; nobody can relax it; from memory" not in told
    assert "a limit from memory: the maker&#39;s own figure comes before it" in told


def test_every_printed_page_says_which_paper_it_is(case: Case, watch: Any, tmp_path: Path) -> None:
    """The foot holds the bike's name as text, whatever is in it."""
    name = "Tom's </style><script>x</script> \\ \"bike\" }"
    question = case.question
    named = question.bike.model_copy(update={"name": name})
    one = Case(type(question)(named, question.rider, question.wishes, ""), case.catalogue)
    made = papers(one, one.keys[one.order[0][0].bundle.whole.shock], Terms(DAY))
    foot = f"job card: {name}, {DAY.isoformat()}"
    assert f"@bottom-left {{ content: {css_text(foot)}; }}" in made["job-card.html"]
    assert "</style><script>" not in made["job-card.html"]
    path = tmp_path / "job-card.html"
    path.write_text(made["job-card.html"], encoding="utf-8")
    seen = watch()
    read = seen.open(path).evaluate(
        """text => { const one = document.createElement('p'); document.body.append(one);
        one.style.content = text;
        return [one.style.content, [...document.styleSheets[0].cssRules].at(-1).cssText]; }""",
        css_text(foot),
    )
    assert json.loads(read[0]) == foot
    assert "@bottom-left" in read[1]
    assert seen.said == []


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_quote_that_is_not_certain_yet_is_one_sheet(
    paper: str, counter: Case, watch: Any, tmp_path: Path
) -> None:
    path = tmp_path / "quote.html"
    made = papers(counter, "fitted", Terms(DAY, shop="Barn Lane", tax_percent=19))
    path.write_text(made["quote.html"], encoding="utf-8")
    assert watch().open(path).pdf(format=paper).count(b"/Type /Page\n") == 1


def test_a_part_number_stays_on_one_line_and_its_signs_stay_harmless(case: Case) -> None:
    assert keys("push-fit bushing (EM-P-8x30)") == (
        'push-fit bushing (<span class="part-number">EM-P-8x30</span>)'
    )
    assert keys("<b>A-1</b> & so") == (
        '&lt;b&gt;<span class="part-number">A-1</span>&lt;/b&gt; &amp; so'
    )
    assert keys("A-1" * 20) == "A-1" * 20, "one that no phone has room for may break"
    quote = papers(case, "VT-210x50-U", Terms(DAY))["quote.html"]
    assert '(<span class="part-number">EM-P-8x30</span>)' in quote
