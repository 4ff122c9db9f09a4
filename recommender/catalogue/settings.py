"""The strokes a shock can be set to: its delivered stroke and those its manual allows."""

import re

import numpy as np

from recommender.catalogue.columns import Floats, Ints, Table
from recommender.facts.fields import numbers
from recommender.facts.parts import Shock
from recommender.facts.problems import BadInput, Problem
from recommender.facts.quantity import Number

SAME = 1e-6
"""Strokes closer than this, in mm, are one setting: 2.25 in and 57.15 mm."""

_STROKE: Number = numbers(Shock)["stroke_mm"]
_PLAIN = re.compile(r"[0-9]{1,3}(?:\.[0-9]{1,6})?")


def parse_settings(text: str) -> tuple[float, ...]:
    """The strokes of '50;52.5;55' in mm, as written; () for a blank. ValueError says what is."""
    if not text.strip():
        return ()
    strokes = []
    for part in text.split(";"):
        if not _PLAIN.fullmatch(part.strip()):
            raise ValueError(f"{part.strip()[:20]!r} is no stroke in mm; accepted: '50;52.5;55'")
        stroke = float(part)
        if not _STROKE.low <= stroke <= _STROKE.high:
            raise ValueError(
                f"{stroke:g} mm is outside what is accepted: {_STROKE.low:g} to {_STROKE.high:g} mm"
            )
        strokes.append(stroke)
    return tuple(strokes)


def listed_settings(shocks: Table) -> tuple[Ints, Floats]:
    """Row and stroke in mm of the listed settings, as written, row by row. Raises BadInput naming
    the rows of texts that are no list of strokes."""
    column = shocks.text("stroke_settings_mm")
    lists: list[tuple[float, ...]] = []
    wrong: dict[int, str] = {}
    for i, text in enumerate(column.words):
        try:
            lists.append(parse_settings(text))
        except ValueError as error:
            lists.append(())
            wrong[i] = str(error)
    if wrong and (rows := np.flatnonzero(np.isin(column.codes, list(wrong)))).size:
        raise BadInput(
            Problem(file, wrong[int(column.codes[row])], line, "stroke_settings_mm", column[row])
            for row in rows.tolist()
            for file, line in [shocks.place(row)]
        )
    counts = np.array([len(strokes) for strokes in lists], np.int64)
    starts = np.cumsum(counts) - counts
    flat = np.array([stroke for strokes in lists for stroke in strokes], np.float64)
    per_row = counts[column.codes]
    owner = np.repeat(np.arange(len(shocks), dtype=np.int64), per_row)
    within = np.arange(len(owner)) - np.repeat(np.cumsum(per_row) - per_row, per_row)
    return owner, flat[starts[column.codes][owner] + within]
