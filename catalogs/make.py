"""Writes the demonstration catalogue: `python catalogs/make.py [FOLDER]`, this folder by default.

Everything here is invented: makers, models, workshops, suppliers and figures. No row repeats a real
product. What the figures have in common with real ones is their order of magnitude and the physics
that ties them together; the modules in `invented/` say beside each choice whether it is common
practice without a source [cp] or from memory [mem].

    shocks.csv        all size families, both mount styles, air and coil      invented/shocks.py
                      models and makers                                       invented/models.py
                      air chambers that hold a shock out and carry a rider    invented/chambers.py
                      what the sheets leave out or was measured by hand       invented/blanks.py
    kits.csv          sleeves, bushings, bearing axles, trunnion bolts        invented/kits.py
    springs.csv       steel springs; rate in lbf/in, as they are stamped      invented/springs.py
    services.csv, tune_classes.csv, tastes.csv, jobs.csv, suppliers.csv       invented/workshop.py
    delivered_tunes.csv   what frames come with, by full part number          invented/delivered.py
    frames/*.toml     one frame a file                                        invented/frames.py

A blank cell means unknown, '22.2 +/- 0.2' measured. A column that no row uses is left out. Each
row's draws depend on its own name, so that the files are the same byte for byte on every run and an
added row changes no other. Only the standard library is used; the program itself is not, so that
its tests may check this catalogue against it.
"""

import csv
import io
import sys
from collections.abc import Callable, Mapping
from pathlib import Path

from invented import delivered, frames, kits, shocks, springs, workshop
from invented.chance import Row, text

TABLES: Mapping[str, Callable[[], list[Row]]] = {
    "shocks": shocks.rows,
    "kits": kits.rows,
    "services": workshop.services,
    "springs": springs.rows,
    "tune_classes": workshop.tune_classes,
    "tastes": workshop.tastes,
    "jobs": workshop.jobs,
    "suppliers": workshop.suppliers,
    "delivered_tunes": delivered.rows,
}


def as_csv(rows: list[Row]) -> str:
    """Columns in the order of their first use, each used by one row at least."""
    names = list(dict.fromkeys(name for row in rows for name, cell in row.items() if cell != ""))
    names.sort(key=lambda name: (name == "source", _place(name, rows)))
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(names)
    writer.writerows([text(row.get(name, "")) for name in names] for row in rows)
    return out.getvalue()


def _place(name: str, rows: list[Row]) -> int:
    """Where the row that tells most has the column, so that related columns stay together."""
    order = list(dict.fromkeys(own for row in sorted(rows, key=len, reverse=True) for own in row))
    return order.index(name)


def contents() -> dict[str, str]:
    """Path below the catalogue's folder -> text."""
    out = {f"{name}.csv": as_csv(rows()) for name, rows in TABLES.items()}
    return out | {f"frames/{name}": written for name, written in frames.files().items()}


def main(folder: Path) -> None:
    for name, written in contents().items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(written, encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent)
