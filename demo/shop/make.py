"""Writes the shop's exports: `python demo/shop/make.py [FOLDER]`, this folder by default.

Invented for the demonstration: the stock list of a small shop as its till program writes it, with
its own column names, semicolons, decimal commas and words (stock.csv, cp1252), and the hardware
drawer as a workbook with a title above the table (drawer.xlsx). A few rows are wrong on purpose.
Deterministic: the workbook's time stamps are fixed.
"""

import io
import sys
import zipfile
from datetime import datetime
from pathlib import Path

HEADER = (
    "Article", "Brand", "Type", "Built as", "Mount", "Measure", "Weight g", "Shelf price",
    "On hand", "Eye head", "Eye shaft", "Adjust", "Lever", "Family", "Compression", "Rebound",
)  # fmt: skip
SHOCKS = (
    ("SK-1041", "Sorvane", "Niddle", "air", "eye", "210 x 50", "340,5", "398,00 €", "2",
     "13 x 15", "13 x 15", "R", "with", "Sorvane plain", "M", "M"),
    ("SK-1042", "Sorvane", "Niddle", "air", "eye", "210 x 52,5", "345", "412,00 €", "1",
     "13 x 15", "13 x 15", "R", "with", "Sorvane plain", "M", "S"),
    ("SK-1043", "Mirkholt", "Lunt", "air", "eye", "7,5 x 2 in", "372", "249,90 €", "3",
     "12,7 x 15", "12,7 x 15", "R", "without", "Mirkholt plain", "M", "M"),
    ("SK-1044", "Mirkholt", "Brack coil", "steel", "eye", "215,9 x 63,5", "585", "1.049,00 €", "1",
     "12,7 x 15", "12,7 x 15", "R", "without", "Mirkholt plain", "F", "M"),
    ("SK-1045", "Tovasken", "Rill", "air", "bolts", "185 x 55", "455,0", "529,00 €", "0",
     "", "14 x 15", "R+L", "without", "Tovasken reservoir", "M", "M"),
    ("SK-1046", "Ubbeck", "Vetch", "air", "eye", "230 x 62,5", "430", "419,00 €", "",
     "14 x 16", "14 x 16", "R", "without", "Ubbeck plain", "L", "M"),
    ("Article", "Brand", "Type", "Built as", "Mount", "Measure", "Weight g", "Shelf price",
     "On hand", "Eye head", "Eye shaft", "Adjust", "Lever", "Family", "Compression", "Rebound"),
    ("SK-1047", "Valdreth", "Sundry", "air", "eye", "50 x 190", "325", "349,00 €", "1",
     "13 x 15", "13 x 15", "R", "with", "Valdreth plain", "M", "M"),
    ("SK-1048", "Valdreth", "Tallow", "gas", "eye", "210 x 55", "510", "599,00 €", "1",
     "13 x 15", "13 x 15", "R+L", "with", "Valdreth reservoir", "M", "M"),
    ("SK-1042", "Sorvane", "Niddle", "air", "eye", "210 x 52,5", "345", "412,00 €", "1",
     "13 x 15", "13 x 15", "R", "with", "Sorvane plain", "M", "S"),
    ("", "", "", "", "", "", "", "", "8", "", "", "", "", "", "", ""),
)  # fmt: skip
DRAWER = (
    ("No.", "Kind", "Wide", "Bolt", "Bush", "Price", "In drawer"),
    ("DR-01", "sleeve with bush", 22.2, 8, "plastic", 19.5, 4),
    ("DR-02", "sleeve with bush", 30, 8, "plastic", 21, 2),
    ("DR-03", "sleeve", 40, 8, "", 12.5, 6),
    ("DR-04", "sleeve with bush", "1.2 in", 8, "pressed", 24, 1),
    ("DR-05", "sleeve with bush", 24, 10, "plastic", "=C6*0.8", 1),
)


def stock_csv() -> bytes:
    lines = ["Skarrowdale Cycle Shop, stock list (invented for the demonstration)", ""]
    lines += [";".join(row) for row in (HEADER, *SHOCKS)]
    return ("\r\n".join(lines) + "\r\n").encode("cp1252")


def drawer_xlsx() -> bytes:
    import openpyxl

    book = openpyxl.Workbook()
    book.properties.created = book.properties.modified = datetime(2024, 1, 1)
    sheet = book.active
    sheet.title = "Drawer"
    sheet.append(["Hardware drawer (invented for the demonstration)"])
    sheet.merge_cells("A1:G1")
    for row in DRAWER:
        sheet.append(list(row))
    out = io.BytesIO()
    book.save(out)
    return _undated(out.getvalue())


def _undated(data: bytes) -> bytes:
    """The same parts under one fixed date, so that two runs give the same bytes."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w") as new:
        for part in old.infolist():
            content = old.read(part)
            if part.filename == "docProps/core.xml":
                head, _, tail = content.partition(b"<dcterms:modified")
                content = head + tail.partition(b"</dcterms:modified>")[2]
            info = zipfile.ZipInfo(part.filename, (1980, 1, 1, 0, 0, 0))
            info.compress_type = zipfile.ZIP_DEFLATED
            new.writestr(info, content)
    return out.getvalue()


def main(folder: Path) -> None:
    (folder / "stock.csv").write_bytes(stock_csv())
    (folder / "drawer.xlsx").write_bytes(drawer_xlsx())


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent)
