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
    best = case.record(case.order[0], 1).shock
    caption = f"<figure><svg></svg><figcaption><strong>Mine &amp; yours.</strong> of {best}"
    assert caption in text
    assert text.index(caption) < text.index("<strong>Size map.</strong>")
    assert "<strong>Leverage ratio.</strong>" not in text


def test_a_candidate_stands_where_its_facts_are(case: Case) -> None:
    """The demo's first candidate is a used shock of 209.6 +/- 0.5 mm."""
    first = case.record(case.order[0], 1)
    assert told_mm(case, first, "shock_length_mm") == pytest.approx(209.6)
    assert told_mm(case, first, "stroke_mm") == 50.0
