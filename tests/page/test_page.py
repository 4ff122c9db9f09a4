"""The page in a real browser: content, moving, searching, access, and that nothing leaves it.

Accessibility is judged by axe-core (WCAG 2.1 A and AA): D, a reference library's own verdict.
"""

import re
from pathlib import Path
from typing import Any

import pytest

from recommender.answer.answer import Case

WIDTHS = (360, 768, 1280)


def test_the_answer_stands_first(sheet: Path, case: Case, watch: Any) -> None:
    seen = watch()
    page = seen.open(sheet)
    best = case.record(0)
    answer = page.locator("#answer").inner_text()
    assert best.shock in answer
    for part in best.parts:
        assert part.text in answer
    for caution in best.cautions:
        assert caution in answer
    assert page.locator("#side .card").count() == min(5, len(case.order))
    assert page.locator("#pictures svg[role=img]").count() == 6
    assert seen.said == []
    assert seen.asked == [sheet.as_uri()]


def test_every_rejection_has_its_account(sheet: Path, case: Case, watch: Any) -> None:
    page = watch().open(sheet)
    counts = case.state_counts()
    rows = page.locator("#turned > details")
    assert rows.count() == sum(counts.values()) - counts["fits"]
    first = rows.nth(5)
    first.locator("summary").click()
    assert first.locator("li").count() >= 1


def test_search_filter_and_sort(sheet: Path, watch: Any) -> None:
    page = watch().open(sheet)
    shown = page.locator("#turned > details:visible")
    every = shown.count()
    page.fill("#find", "trunnion")
    assert 0 < shown.count() < every
    assert all("trunnion" in text.lower() for text in shown.all_text_contents())
    page.fill("#find", "no such thing at all")
    assert shown.count() == 0
    page.fill("#find", "")
    page.select_option("#reason", "length")
    rules = page.locator("#turned > details:visible").evaluate_all(
        "rows => rows.map(one => one.dataset.rules.split('|'))"
    )
    assert rules
    assert all("length" in one for one in rules)
    page.select_option("#reason", "")
    page.select_option("#sort", "name")
    keys = shown.evaluate_all("rows => rows.map(one => one.dataset.key)")
    assert keys == sorted(keys)


def test_a_bundle_turned_down_comes_back_when_its_wish_moves(sheet: Path, watch: Any) -> None:
    seen = watch()
    page = seen.open(sheet)
    live, rows = page.locator("#live"), page.locator("#list > details")
    before, as_asked = live.inner_text(), rows.count()
    page.fill("[aria-label='Price of the whole: at most']", "1")
    page.wait_for_function(
        "text => document.getElementById('live').textContent !== text", arg=before
    )
    assert rows.count() < as_asked
    page.fill("[aria-label='Price of the whole: at most']", "")
    page.wait_for_function(
        "n => document.querySelectorAll('#list > details').length > n", arg=as_asked
    )
    page.click("#reset")
    page.wait_for_function(
        "text => document.getElementById('live').textContent === text", arg=before
    )
    assert rows.count() == as_asked
    assert seen.said == []


def test_weights_reorder_the_list(sheet: Path, watch: Any) -> None:
    page = watch().open(sheet)
    keys = "() => [...document.querySelectorAll('#list > details')].map(one => one.dataset.key)"
    before = page.evaluate(keys)
    page.evaluate(
        "() => { for (const one of document.querySelectorAll('[data-weight]')) {"
        " one.value = one.dataset.weight === 'price' ? 5 : 0;"
        " one.dispatchEvent(new Event('input')); } }"
    )
    page.wait_for_function(f"old => JSON.stringify(({keys})()) !== JSON.stringify(old)", arg=before)
    assert sorted(page.evaluate(keys)) == sorted(before)


@pytest.mark.parametrize(("width", "scheme"), [(360, "dark"), (1280, "light")])
def test_no_sideways_scroll_and_no_access_fault(
    width: int, scheme: str, sheet: Path, watch: Any
) -> None:
    """Both layouts and both schemes: what axe sees depends on them apart."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="needs axe-core")
    seen = watch(viewport={"width": width, "height": 900}, color_scheme=scheme, bypass_csp=True)
    page = seen.open(sheet)
    page.locator("#list > details > summary").first.click()
    page.locator("#turned > details > summary").first.click()
    for wide in WIDTHS:
        page.set_viewport_size({"width": wide, "height": 900})
        assert page.evaluate("document.documentElement.scrollWidth") <= wide
    page.set_viewport_size({"width": width, "height": 900})
    # What is turned down is told alike, row for row: the first of them stand for all.
    page.evaluate("[...document.querySelectorAll('#turned > details')].slice(20)"
                  ".forEach(one => one.remove())")  # fmt: skip
    found = axe.Axe().run(page, options={"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa"]})
    bad = [
        (one["id"], [node["target"] for node in one["nodes"]][:3])
        for one in found.response["violations"]
    ]
    assert bad == []


def test_every_control_is_reached_by_the_keyboard(sheet: Path, watch: Any) -> None:
    # As written, too: a control has its name before the script comes to it.
    assert "></button>" not in sheet.read_text(encoding="utf-8")
    page = watch().open(sheet)
    unlabelled = page.locator("input, select, button").evaluate_all(
        "all => all.filter(one => !one.ariaLabel && !one.labels?.length && !one.textContent.trim())"
        ".map(one => one.outerHTML)"
    )
    assert unlabelled == []
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "To the answer"
    first = page.locator("#list > details > summary").first
    first.focus()
    page.keyboard.press("Enter")
    assert page.locator("#list > details").first.get_attribute("open") is not None


def test_readable_without_javascript(sheet: Path, case: Case, watch: Any) -> None:
    page = watch(java_script_enabled=False).open(sheet)
    assert page.locator("#answer").is_visible()
    assert not page.locator("#wishes").is_visible()
    assert not page.locator("a[href='#wishes']").is_visible(), "a way to what is not there"
    assert page.locator("#turned > details").first.is_visible()
    assert case.keys[case.order[0][0].bundle.whole.shock] in page.locator("#answer").inner_text()


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_prints(paper: str, sheet: Path, watch: Any) -> None:
    page = watch().open(sheet)
    data = page.pdf(format=paper)
    assert data.startswith(b"%PDF")
    page.emulate_media(media="print")
    assert not page.locator("#wishes").is_visible()
    assert page.locator("#answer").is_visible()


def test_the_policy_lets_nothing_else_run(sheet: Path, watch: Any) -> None:
    text = sheet.read_text(encoding="utf-8")
    policy = re.search(r'Content-Security-Policy" content="([^"]*)"', text)
    assert policy
    assert "unsafe" not in policy[1]
    assert "default-src &#39;none&#39;" in policy[1]
    seen = watch()
    page = seen.open(sheet)
    page.evaluate(
        "() => { const one = document.createElement('script'); one.textContent = 'window.ran = 1';"
        " document.body.append(one); }"
    )
    assert page.evaluate("window.ran") is None
