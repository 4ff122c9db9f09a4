"""Many candidates: so many are drawn as are asked for, the counts and the search are of all."""

import json
import re
from pathlib import Path
from typing import Any

import pytest

from recommender.output.page.data import as_json

TIMES = 30
DATA = re.compile(r'(<script type="application/json" id="data">)(.*?)(</script>)', re.S)


@pytest.fixture(scope="module")
def crowded(sheet: Path, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, Any]]:
    """The demo's page, every shock that may do standing there thirty times."""
    text = sheet.read_text(encoding="utf-8")
    found = DATA.search(text)
    assert found
    data = json.loads(found[2])
    shocks = [
        {**shock, "key": f"{shock['key']}-{k:02}"}
        for shock in data["shocks"] for k in range(TIMES)
    ]  # fmt: skip
    data |= {"shocks": shocks}
    path = tmp_path_factory.mktemp("many") / "answer.html"
    path.write_text(DATA.sub(lambda m: m[1] + as_json(data) + m[3], text), encoding="utf-8")
    return path, data


def test_so_many_are_drawn_as_are_asked_for(
    crowded: tuple[Path, dict[str, Any]], sheet: Path, watch: Any
) -> None:
    path, data = crowded
    few, seen = watch().open(sheet), watch()
    page = seen.open(path)
    rows = page.locator("#list > details")
    of_one = [int(one) for one in re.findall(r"\d+", few.locator("#live").inner_text())][:2]
    told = [int(one) for one in re.findall(r"\d+", page.locator("#live").inner_text())][:2]
    assert told == [TIMES * one for one in of_one]
    assert rows.count() == 50
    page.click("#more")
    assert rows.count() == 250
    assert page.locator("#more").inner_text() == f"Show {sum(told) - 250} more of the other " + str(
        sum(told) - 250
    )
    page.click("#more")
    assert rows.count() == sum(told)
    assert not page.locator("#more").is_visible()

    page.fill("[aria-label='Price of the whole: at most']", "1")
    page.wait_for_function("() => document.querySelectorAll('#moved > details').length > 0")
    away, shown = page.locator("#moved > details"), page.locator("#shown")
    assert away.count() == 50
    assert "more below" in shown.inner_text()
    page.click("#moved-more")
    assert away.count() == 250
    last = max(one["key"] for one in data["shocks"])
    page.fill("#find", last.lower())
    assert away.evaluate_all("rows => rows.map(one => one.dataset.key)") == [last]
    assert "costs at least" in away.first.text_content()
    page.fill("#find", "")
    page.select_option("#sort", "name")
    keys = away.evaluate_all("rows => rows.map(one => one.dataset.key)")
    assert keys == sorted(keys)
    page.select_option("#which", "open")
    assert away.count() == 0
    assert seen.said == []


def test_what_was_turned_down_comes_back_with_the_wishes_as_asked(sheet: Path, watch: Any) -> None:
    page = watch().open(sheet)
    told = page.locator("#turned > details:visible")
    before = told.count()
    page.fill("[aria-label='Price of the whole: at most']", "1")
    page.wait_for_function("() => document.querySelectorAll('#moved > details').length > 0")
    assert told.count() < before
    page.click("#reset")
    page.wait_for_function("() => document.querySelectorAll('#moved > details').length === 0")
    assert told.count() == before
