"""Hostile text in catalogue and question: shown as text, in page and papers, and never obeyed."""

import os
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from recommender.answer.answer import Case
from recommender.cli.open import open_case
from recommender.output.page.page import page
from recommender.output.papers.papers import Terms, papers
from tests.catalogue.build import kit, service, shock, tune_class, write_catalogue

PAYLOADS = (
    "</script><script>alert(1)</script>",
    '"><img src=x onerror=alert(2)>',
    "' onmouseover='alert(3)",
    "{{ 7 * 7 }}{% raw %}",
    "<!--<script>",
    "\u202egnp.exe",
    "javascript:alert(4)",
    "]]><svg/onload=alert(5)>",
    "<iframe srcdoc='<script>alert(6)</script>'>",
    "<style>*{display:none}</style>",
    "</style><script>alert(7)</script>",
    "<base href=https://example.invalid/>",
    "<meta http-equiv=refresh content=0;url=https://example.invalid/>",
    "<details open ontoggle=alert(8)>",
    "<math><mi xlink:href=javascript:alert(9)>x</mi></math>",
    "\\u003cscript\\u003ealert(10)\\u003c/script\\u003e",
    "${alert(11)}`${alert(12)}`",
    "&lt;script&gt;alert(13)&lt;/script&gt;",
    "<textarea><title><noscript>",
    "__proto__",
)
LONG = os.environ.get("HYPOTHESIS_PROFILE") == "long"
AT_ONCE = 1 if LONG else 4
"""How many of them stand in one text, one behind the other."""
BIKE = """
[bike]
name = '''{name}'''
mount = "eyelet"
eyelet_axis = "parallel"
sizes = [{{ length_mm = 210, stroke_ceiling_mm = 52.5 }}]
[bike.leverage]
stroke_mm = 50
ratio_start = 2.86
ratio_end = 2.34
[bike.tyre]
gap_mm = 20
gap_eye_to_eye_mm = 160
width_mm = 60
side_room_mm = 9
[bike.head]
gap_mm = 22
bolt_mm = 8
carbon_lugs = "no"
[bike.shaft]
gap_mm = 22
bolt_mm = 8
carbon_lugs = "no"
[bike.room]
measured = "whole travel"
{room}
[rider]
name = '''{name}'''
mass_with_kit_kg = 80
"""
ROOM = "\n".join(
    f"{third}_{side}_mm = 60" for third in ("head", "middle", "shaft")
    for side in ("up", "down", "left", "right")
)  # fmt: skip


@pytest.fixture(params=range(0, len(PAYLOADS), AT_ONCE))
def hostile(request: pytest.FixtureRequest, tmp_path: Path) -> tuple[Case, str]:
    text = " ".join(PAYLOADS[request.param : request.param + AT_ONCE])
    folder = write_catalogue(
        tmp_path / "catalogue",
        shocks=[
            shock("A", maker=text, model=text, source=text, supplier="Barn Lane Parts"),
            shock("B", maker=text, model=text, length_mm=230),
        ],
        kits=[kit(maker=text)],
        services=[service(workshop=text)],
        tune_classes=[tune_class(word, 500, 9000) for word in ("light", "medium", "firm")],
    )
    bike = tmp_path / "bike.toml"
    bike.write_text(BIKE.format(name=text.replace("'", "`"), room=ROOM), encoding="utf-8")
    return open_case([bike], folder), text


def test_hostile_text_is_only_shown(hostile: tuple[Case, str], watch: Any, tmp_path: Path) -> None:
    case, text = hostile
    assert case.order, "the shock must fit, or its texts reach no card"
    files = {"page.html": page(case), **papers(case, "A", Terms(date(2026, 1, 2), shop=text))}
    for name, html in files.items():
        path = tmp_path / name
        path.write_text(html, encoding="utf-8")
        seen = watch()
        view = seen.open(path)
        there = view.locator("body").inner_text() + view.content()
        assert all(one in there for one in text.replace("\u202e", "?").split()[:1]), name
        assert [one for one in seen.said if "dialog" in one or "error" in one] == [], name
        assert seen.asked == [path.as_uri()], name
        assert view.locator("img, iframe, object, embed, link, base").count() == 0, name
        assert view.evaluate(
            "[...document.querySelectorAll('*')].every(one =>"
            " [...one.attributes].every(each => !each.name.startsWith('on')))"
        ), name
        assert "\u202e" not in view.content(), name
    opened = seen.context.new_page()
    opened.goto((tmp_path / "page.html").as_uri())
    opened.locator("#list > details > summary").first.click()
    assert opened.locator("#list img, #list script").count() == 0
