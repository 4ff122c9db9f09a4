"""The rows of a fit list as the bytes of a CSV or Parquet file: bike, shock, verdict, reasons."""

import csv
import io
from collections.abc import Sequence
from typing import Any

import numpy as np
import pandas as pd

from recommender.facts.problems import BadInput, Problem
from recommender.files.cells import guarded
from recommender.fitlist.fits import STATES, Fits

COLUMNS = ("bike", "shock", "verdict", "reasons", "further")
FORMATS = ("csv", "parquet")
NAMED = 3
"""Reasons named in a row; how many more there are stands in the column `further`."""


def csv_bytes(bikes: Sequence[tuple[str, Fits]], rules: Sequence[str]) -> bytes:
    """A header and one row for every bike and shock; cells that look like formulas are guarded."""
    out = [",".join(COLUMNS), "\r\n"]
    keys: dict[int, list[str]] = {}
    for name, fits in bikes:
        shocks = keys.setdefault(id(fits.keys), [])
        if not shocks:
            shocks += [_cells(key) + "," for key in fits.keys]
        codes, ends = _endings(fits, rules)
        texts = [_cells(*end) + "\r\n" for end in ends]
        bike = _cells(name) + ","
        out += [
            part
            for shock, code in zip(shocks, codes.tolist(), strict=True)
            for part in (bike, shock, texts[code])
        ]
    return "".join(out).encode("utf-8")


def parquet_bytes(bikes: Sequence[tuple[str, Fits]], rules: Sequence[str]) -> bytes:
    """The same rows; every text column is a dictionary, so that a hundred million rows stay
    small. Texts stand as they are: no spreadsheet opens this."""
    pa, parquet = _pyarrow()
    schema = pa.schema(
        [(name, pa.dictionary(pa.int32(), pa.string())) for name in COLUMNS[:-1]]
        + [(COLUMNS[-1], pa.int16())]
    )
    out = io.BytesIO()
    with parquet.ParquetWriter(out, schema, compression="zstd") as writer:
        for name, fits in bikes:
            codes, ends = _endings(fits, rules)
            size = len(fits.keys)
            _, reasons, further = zip(*ends, strict=True)
            columns = [
                pa.DictionaryArray.from_arrays(np.zeros(size, np.int32), [name]),
                pa.DictionaryArray.from_arrays(np.arange(size, dtype=np.int32), list(fits.keys)),
                pa.DictionaryArray.from_arrays(fits.state.astype(np.int32), list(STATES)),
                _dictionary(pa, np.array(reasons, object)[codes]),
                pa.array(np.array([int(n or 0) for n in further], np.int16)[codes]),
            ]
            writer.write_table(pa.Table.from_arrays(columns, schema=schema))
    return out.getvalue()


def check_format(name: str) -> None:
    """BadInput for a format that there is not, or whose library is not installed."""
    if name not in FORMATS:
        raise BadInput([Problem("--format", f"accepted: {', '.join(FORMATS)}", value=name)])
    if name == "parquet":
        _pyarrow()


def _dictionary(pa: Any, texts: Any) -> Any:
    codes, words = pd.factorize(texts)
    return pa.DictionaryArray.from_arrays(codes.astype(np.int32), list(words))


def _endings(fits: Fits, rules: Sequence[str]) -> tuple[Any, list[tuple[str, str, str]]]:
    """Each row's code, and by code the verdict, the first reasons and the number of the others."""
    sets, distinct = pd.factorize(fits.reasons)
    codes, pairs = pd.factorize(sets * len(STATES) + fits.state)
    ends = []
    for set_, state in (divmod(int(pair), len(STATES)) for pair in pairs):
        mask = int(distinct[set_])
        named = [name for k, name in enumerate(rules) if mask >> k & 1]
        further = len(named) - NAMED
        first = "; ".join(named[:NAMED])
        ends.append((STATES[state], first, str(further) if further > 0 else ""))
    return codes, ends


def _cells(*texts: str) -> str:
    """Texts as cells of one CSV row."""
    line = io.StringIO()
    csv.writer(line, lineterminator="").writerow([guarded(text) for text in texts])
    return line.getvalue()


def _pyarrow() -> tuple[Any, Any]:
    try:
        import pyarrow as pa
        from pyarrow import parquet
    except ImportError:
        message = "pyarrow is not installed: pip install 'shock-recommender[parquet]', or take csv"
        raise BadInput([Problem("--format", message, value="parquet")]) from None
    return pa, parquet
