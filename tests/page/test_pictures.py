"""What the page draws comes from one list, caption and all."""

from collections.abc import Iterator

import pytest
from markupsafe import Markup

from recommender.answer.answer import Case
from recommender.answer.records import Answer
from recommender.output.page import page as made
from recommender.output.page.pictures.picture import Picture, told_mm


def test_pictures_come_in_order_with_their_captions(
    case: Case, monkeypatch: pytest.MonkeyPatch
) -> None:
    def mine(case: Case, answer: Answer) -> Iterator[Picture]:
        yield Picture("Mine & yours", f"of {answer.bundles[0].shock}", Markup("<svg></svg>"))

    monkeypatch.setattr(made, "PICTURES", (mine, made.size_map))
    text = made.page(case, top=1, rejected=1, full=0)
    best = case.record(0).shock
    caption = f"<figure><svg></svg><figcaption><strong>Mine &amp; yours.</strong> of {best}"
    assert caption in text
    assert text.index(caption) < text.index("<strong>Size map.</strong>")
    assert "<strong>Leverage ratio.</strong>" not in text


def test_a_candidate_stands_where_its_facts_are(case: Case) -> None:
    """In the middle of what is known: the demo's first candidate is a used shock, measured."""
    first, shocks = case.record(0), case.market.shocks
    length, row = shocks.number("length_mm"), case.keys.index(first.shock)
    middle = (length.low[row] + length.top[row]) / 2
    assert told_mm(case, first, "shock_length_mm") == pytest.approx(middle)
    assert told_mm(case, first, "stroke_mm") == float(first.size.split(" x ")[1].split()[0])
