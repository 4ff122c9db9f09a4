"""The list of the moved wishes tells of every bundle what the records tell: a figure with its ends,
sums from least to most, and what nobody told as such. Numbers are compared with Python's (D)."""

import random
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from recommender.answer.answer import Case
from recommender.answer.numbers import number, span
from recommender.cli.inputs import shipped
from recommender.cli.open import open_case
from recommender.output.page.page import page, source
from recommender.output.page.words import headline
from recommender.output.parts import part_words, priced
from tests.catalogue import build
from tests.cli.run import demo_case
from tests.explain.markets import asked

READ = """() => [...document.querySelectorAll('#list > details')].map(one => {
  one.open = true;
  one.dispatchEvent(new Event('toggle'));
  const words = (from, what) => [...from.querySelectorAll(what)].map(each => each.textContent);
  return {
    summary: one.querySelector('summary > span:last-child').textContent,
    figures: [...one.querySelectorAll('.figures > div')].map(each => [
      each.querySelector('dt').textContent, each.querySelector('dd').firstChild.textContent,
      each.querySelector('small')?.textContent ?? '']),
    lines: [...one.querySelectorAll('.lines tbody tr')].map(each => words(each, 'td')),
    whole: one.querySelector('.lines tfoot td').firstChild.textContent,
  };
})"""


def cases() -> dict[str, Any]:
    def shop(name: str) -> Any:
        files = sorted((shipped("demo") / name).glob("*.toml"))
        return lambda: open_case(files, None)

    return {
        "demo": demo_case, "counter": shop("counter"), "hinge": shop("questions/hinge"),
        "coil-or-air": shop("questions/coil-or-air"), "blanks": blanks,
    }  # fmt: skip


def blanks() -> Case:
    """A shock without a price, one whose days nobody told, a kit of which the mass is open."""
    supplier = {"supplier": build.SUPPLIERS[0]["supplier"]}
    made = asked(
        shocks=[
            build.shock(price="", **supplier),
            build.shock(part_number="S-2", delivery_days="", price="300 +/- 12", **supplier),
        ],
        kits=[build.kit("A", price=5, mass_g="", delivery_days="", **supplier),
              build.kit("B", price=13, mass_g="20 +/- 3", **supplier)],
        wishes={"budget": {"prefer": 400}},
    )  # fmt: skip
    return Case(made.question, made.catalogue)


@pytest.mark.parametrize("name", list(cases()))
def test_the_list_tells_what_the_records_tell(name: str, tmp_path: Path, watch: Any) -> None:
    case = cases()[name]()
    path = tmp_path / "answer.html"
    path.write_text(page(case, top=1, rejected=0, full=0), encoding="utf-8")
    seen = watch()
    rows = seen.open(path).evaluate(READ)
    assert seen.said == []
    assert len(rows) == len(case.order) > 0
    for place, row in enumerate(rows):
        record = case.record(place)
        items = {item[0]: item for item in headline(record)}
        cost, wait = items.pop("price of the whole")[1], items["days until it rides"][1]
        assert [tuple(one) for one in row["figures"]] == list(items.values())
        assert row["whole"] == cost
        days = {"not told": "days not told", "1": "1 day"}.get(wait, f"{wait} days")
        assert row["summary"] == f"{record.total_points:.2f} points, {cost}, {days}"
        lines = [
            [one.role, part_words(one), *priced(one, record.currency)]
            for one in record.parts
        ]
        assert sorted(row["lines"]) == sorted(lines)


def test_what_nobody_told_is_no_figure(tmp_path: Path, watch: Any) -> None:
    """The middle of what a blank may be is no amount and no wait."""
    path = tmp_path / "answer.html"
    path.write_text(page(blanks(), top=1, rejected=0, full=0), encoding="utf-8")
    rows = watch().open(path).evaluate(READ)
    told = " ".join(row["summary"] for row in rows)
    assert "or more" in told
    assert "to 3" in told
    assert "366" not in told
    assert any("not told" in cell for row in rows for line in row["lines"] for cell in line)


def test_numbers_are_written_as_the_program_writes_them(browser: Any) -> None:
    blank = browser.new_context().new_page()
    blank.goto("about:blank")
    blank.add_script_tag(content="\n".join(map(source, ("values.js", "numbers.js"))))
    rng = random.Random(5)
    numbers = [0.0, -0.0, 0.05, 0.949, 0.951, 0.5, 1.5, 2.5, 0.125, 2.675, 47.5, 1e5, -0.004]
    numbers += [round(rng.uniform(-20, 400), rng.choice((1, 2, 6))) for _ in range(300)]
    for unit, name in (("mm", "mm"), ("psi", "psi"), ("N/mm", "n_per_mm"), ("%", "percent"),
                       ("money", "money")):  # fmt: skip
        got = blank.evaluate("([xs, u]) => xs.map(x => Numbers.number(x, u))", [numbers, unit])
        assert got == [number(one, name) for one in numbers]
        pairs = list(pairwise(numbers))
        got = blank.evaluate("([xs, u]) => xs.map(x => Numbers.span(...x, u))", [pairs, unit])
        assert got == [span(*one, name) for one in pairs]
