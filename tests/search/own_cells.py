"""Tables as the referee reads them: row by row and cell by cell."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from recommender.catalogue.catalogue import Catalogue
from recommender.catalogue.columns import ChoiceColumn, NumberColumn, Table, TextColumn
from recommender.catalogue.question import Question
from recommender.facts.quantity import Quantity

INFINITE = float("inf")


@dataclass(frozen=True)
class Leaf:
    """A fact: one value, or the corners of what it may be; a served range is every one of them."""

    values: tuple[Any, ...]
    served: bool = False
    kind: str = "number"


@dataclass(frozen=True)
class Piece:
    """One thing ordered: for the rules about an order as a whole."""

    part: str
    supplier: str
    price: tuple[float, float]
    stock: float


@dataclass(frozen=True)
class Option:
    """One thing that may be chosen: its facts, what it adds to price and mass, and its piece."""

    label: str
    facts: Mapping[str, Leaf]
    cost: tuple[float, float] = (0.0, 0.0)
    mass: tuple[float, float] = (0.0, 0.0)
    piece: Piece | None = None
    pairs_with: str = ""


@dataclass(frozen=True)
class OwnRow:
    """One row of a table, cell by cell; numbers as Quantity, words and texts as str."""

    key: str
    cells: Mapping[str, Any]
    codes: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    present: bool = False

    def word(self, name: str) -> str | None:
        word: str | None = self.cells[name]
        return word

    def number(self, name: str) -> Quantity:
        quantity: Quantity = self.cells[name]
        return quantity

    def leaf(self, name: str) -> Leaf:
        cell = self.cells[name]
        if isinstance(cell, Quantity):
            return ends(cell.low, cell.high)
        accepted = self.codes[name]
        codes = range(len(accepted)) if cell is None else [accepted.index(cell)]
        return Leaf(tuple(codes), kind="word")


def ends(low: float, high: float) -> Leaf:
    return Leaf((low,) if low == high else (low, high))


def sure(value: float) -> Leaf:
    return Leaf((float(value),))


def rows_of(table: Table) -> list[OwnRow]:
    """The rows of a table."""
    out = []
    codes = {n: c.values for n, c in table.columns.items() if isinstance(c, ChoiceColumn)}
    for row, key in enumerate(table.keys()):
        cells: dict[str, Any] = {}
        for name, column in table.columns.items():
            if isinstance(column, NumberColumn):
                low = float(column.low[row])
                high = float(column.top[row])
                known = column.known is None or bool(column.known[row])
                kind = "unknown" if not known else "exact" if low == high else "measured"
                cells[name] = Quantity(low, high, kind)  # type: ignore[arg-type]
            elif isinstance(column, ChoiceColumn):
                code = int(column.codes[row])
                cells[name] = None if code < 0 else column.values[code]
            elif isinstance(column, TextColumn):
                cells[name] = column.words[int(column.codes[row])]
        out.append(OwnRow(key, cells, codes))
    return out


@dataclass(frozen=True)
class Job:
    """Price in the wishes' currency, 1 if a workshop does it, and its days; nothing at home."""

    price: tuple[float, float] = (0.0, 0.0)
    work: float = 0.0
    days: tuple[float, float] = (0.0, 0.0)


def job(question: Question, catalogue: Catalogue, name: str) -> Job:
    row = next(one for one in rows_of(catalogue.jobs) if one.key == name)
    tools = [tool.strip() for tool in row.cells["tools"].split(";") if tool.strip()]
    if row.word("place") == "home" and set(tools) <= set(question.rider.tools):
        return Job()
    days = row.number("work_days")
    return Job(money(question, row, "price"), 1.0, (days.low, days.high))


def money(question: Question, row: OwnRow, name: str) -> tuple[float, float]:
    rate = {question.wishes.currency: 1.0, **question.wishes.rates}[row.cells["currency"]]
    return row.number(name).low * rate, row.number(name).high * rate
