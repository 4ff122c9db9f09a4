"""The order list and the change records as an XLSX workbook; texts of data are guarded."""

import io
from collections.abc import Iterable, Sequence
from typing import Any

from recommender.files.cells import guarded
from recommender.fleet.rollout_records import RolloutRecord
from recommender.output.fleet_care import cautions

Value = str | float | int | None


def order_workbook(made: RolloutRecord) -> bytes:
    """Sheets 'orders', one line a part of each year, 'change records', one line a bike with the
    fields that are filled in when it is done, and 'cautions'."""
    import openpyxl
    from openpyxl.styles import Font

    book = openpyxl.Workbook()
    first: Any = book.active
    first.title = "orders"
    _fill(first, _order_head(made.currency), _order_rows(made), Font(bold=True))
    second: Any = book.create_sheet("change records")
    _fill(second, _CHANGE_HEAD, _change_rows(made), Font(bold=True))
    third: Any = book.create_sheet("cautions")
    _fill(third, ("caution",), ((text,) for text in cautions(made)), Font(bold=True))
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _fill(sheet: Any, head: Sequence[str], rows: Iterable[Sequence[Value]], bold: Any) -> None:
    sheet.append([guarded(name) for name in head])
    for cell in sheet[1]:
        cell.font = bold
    for row in rows:
        sheet.append([guarded(cell) if isinstance(cell, str) else cell for cell in row])
    sheet.freeze_panes = "A2"
    for column in sheet.columns:
        longest = max(len(str(cell.value or "")) for cell in column)
        sheet.column_dimensions[column[0].column_letter].width = min(60, longest + 2)


def _order_head(currency: str) -> Sequence[str]:
    each, cost = f"each {currency}", f"cost {currency}"
    return ("year", "supplier", "part", "pieces", "on hand", each, cost, "stock")


def _order_rows(made: RolloutRecord) -> Iterable[Sequence[Value]]:
    for year in made.years:
        for order in year.orders:
            for one in order.lines:
                yield (
                    year.year, order.supplier, one.part, one.pieces, one.on_hand, one.price,
                    one.cost, one.stock,
                )  # fmt: skip


_CHANGE_HEAD = (
    "bike", "model", "year", "next service", "condition", "new build", "parts",
    "size fitted, sizes approved", "maker's written word, if not an approved size",
    "torque to the frame maker's figure: done", "done by", "done on",
)  # fmt: skip


def _change_rows(made: RolloutRecord) -> Iterable[Sequence[Value]]:
    for year in made.years:
        for one in year.changes:
            yield (
                one.bike, one.model, one.year, one.due, one.condition, one.build,
                ", ".join(one.parts), one.sizes, "", "", "", "",
            )  # fmt: skip
