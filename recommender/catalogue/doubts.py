"""What looks wrong in a catalogue without being an error: near twins, implausible combinations.

The bounds are what nearly all shocks and hardware keep. From memory, no source.
"""

import re
from itertools import pairwise

import numpy as np

from recommender.catalogue.catalogue import Catalogue
from recommender.catalogue.columns import Floats, Ints, NumberColumn, Table
from recommender.catalogue.faults import Faults
from recommender.catalogue.settings import SAME, listed_settings
from recommender.facts.nearest import nearest
from recommender.facts.problems import Problem
from recommender.facts.standard_sizes import SAME_TO_A_FRAME_MM, SIZES

STROKE_OVER_LENGTH = (0.17, 0.36)
BARE_MASS_G = (150.0, 1200.0)
PER_ROW = ("price", "currency", "supplier", "stock", "delivery_days", "source")
"""Columns in which two offers of one part may differ."""

SHORTEST = 4
"""Letters of a name from which on another letter in it is taken for a slip. From memory."""

_DIGIT = re.compile(r"[0-9]")
_SEPARATORS = re.compile(r"[ ._/+-]")
_LOOKALIKES = str.maketrans("OoIlL", "00111")


def doubts(catalogue: Catalogue) -> list[Problem]:
    """Every doubt, table by table, each with its place."""
    out: list[Problem] = []
    for table in (catalogue.shocks, catalogue.kits, catalogue.services, catalogue.springs):
        faults = Faults(table.file)
        _near_keys(table, faults)
        _same_rows(table, faults)
        _unsourced(table, faults)
        _free(table, faults)
        if table is catalogue.shocks:
            _shocks(table, faults)
            _unserved(table, catalogue.services, faults)
        if table is catalogue.services:
            _serves_nothing(table, catalogue.shocks, faults)
        if table is catalogue.kits:
            _kits(table, faults)
        out += faults.problems()
    return out


def near_key(key: str) -> str:
    """The key as a reader mistakes it: no separators, letters in one case, 0 for O and 1 for l."""
    return _SEPARATORS.sub("", key).translate(_LOOKALIKES).casefold()


def _near_keys(table: Table, faults: Faults) -> None:
    """Keys that differ by what is easily mistyped; decimal points in sizes are no separators."""
    keys = table.keys()
    first: dict[str, int] = {}
    for row, key in enumerate(keys):
        dotted = re.sub(r"(?<=[0-9])[.](?=[0-9])", "point", key)
        other = first.setdefault(near_key(dotted), row)
        if other != row:
            line = table.place(other)[1]
            message = (
                f"nearly the same as {keys[other]!r} in row {line}: one part under two numbers?"
            )
            faults.add(message, table.place(row)[1], table.key, key, "near")


def _same_rows(table: Table, faults: Faults) -> None:
    """Rows alike in every fact but the key and what an offer may differ in."""
    codes = []
    for name, column in table.columns.items():
        if name in (table.key, *PER_ROW):
            continue
        if isinstance(column, NumberColumn):
            codes += [_codes(column.low), _codes(column.top)]
        else:
            codes.append(np.asarray(column.codes, np.int64))
    if not len(table):
        return
    _, first, inverse = np.unique(
        np.stack(codes, axis=1), axis=0, return_index=True, return_inverse=True
    )
    earliest = first[inverse.ravel()]
    keys = table.keys()
    for row in np.flatnonzero(earliest != np.arange(len(table))).tolist():
        other = int(earliest[row])
        message = f"alike in every fact to {keys[other]!r} in row {table.place(other)[1]}"
        faults.add(message, table.place(row)[1], table.key, keys[row], "alike")


def _codes(values: Floats) -> Ints:
    return np.unique(values, return_inverse=True)[1].ravel().astype(np.int64)


def _unsourced(table: Table, faults: Faults) -> None:
    source = table.text("source")
    blank = [code for code, text in enumerate(source.words) if not text]
    for row in np.flatnonzero(np.isin(source.codes, blank)).tolist():
        faults.add("no source is told", table.place(row)[1], "source", kind="source")


def _free(table: Table, faults: Faults) -> None:
    price = table.number("price")
    for row in np.flatnonzero(price.is_known & (price.top == 0)).tolist():
        faults.add("a price of nothing: blank means unknown", table.place(row)[1], "price")


def _shocks(shocks: Table, faults: Faults) -> None:
    length, stroke = shocks.number("length_mm"), shocks.number("stroke_mm")
    known = length.is_known & stroke.is_known
    share = stroke.low / length.low
    low, high = STROKE_OVER_LENGTH
    for row in np.flatnonzero(known & ((share < low) | (share > high))).tolist():
        message = (
            f"stroke is {share[row]:.0%} of the length; nearly all shocks lie within {low:.0%} and "
            f"{high:.0%}"
        )
        faults.add(message, shocks.place(row)[1], "stroke_mm", kind="share")
    _sizes(shocks, faults)
    _beyond_settings(shocks, faults)
    mass = shocks.number("mass_g")
    light, heavy = BARE_MASS_G
    for row in np.flatnonzero(mass.is_known & ((mass.top < light) | (mass.low > heavy))).tolist():
        message = f"{mass.low[row]:g} g; nearly all lie within {light:g} and {heavy:g} g"
        faults.add(message, shocks.place(row)[1], "mass_g", kind="mass")
    kinds = shocks.choice("spring_kind")
    for word, names in (("air", ("spring_seat_mm",)), ("coil", ("piston_area_mm2", "chamber_cm3"))):
        for name in names:
            told = shocks.number(name).is_known & (kinds.codes == kinds.values.index(word))
            for row in np.flatnonzero(told).tolist():
                faults.add(f"a fact that no {word} shock has", shocks.place(row)[1], name)


def _sizes(shocks: Table, faults: Faults) -> None:
    """Lengths that are no usual size of their mount."""
    length, mounts = shocks.number("length_mm"), shocks.choice("head_mount")
    for code, mount in enumerate(mounts.values):
        usual = np.array([size.length_mm for size in SIZES if size.mount == mount])
        off = np.maximum(usual[None, :] - length.top[:, None], length.low[:, None] - usual[None, :])
        strange = (off.min(axis=1) > SAME_TO_A_FRAME_MM) & length.is_known & (mounts.codes == code)
        for row in np.flatnonzero(strange).tolist():
            faults.add(
                f"{length.low[row]:g} mm is no usual length of a shock with {mount} head",
                shocks.place(row)[1], "length_mm", kind="size",
            )  # fmt: skip


def _beyond_settings(shocks: Table, faults: Faults) -> None:
    """Delivered strokes longer than every setting that is listed."""
    owner, listed = listed_settings(shocks)
    longest = np.zeros(len(shocks))
    np.maximum.at(longest, owner, listed)
    stroke = shocks.number("stroke_mm")
    beyond = stroke.is_known & (longest > 0) & (stroke.low > longest + SAME)
    for row in np.flatnonzero(beyond).tolist():
        message = (
            f"longer than every setting in stroke_settings_mm, up to {longest[row]:g} mm: list it "
            "there, or tell the stroke as delivered"
        )
        line = shocks.place(row)[1]
        faults.add(message, line, "stroke_mm", f"{stroke.low[row]:g}", "beyond")


def _families(table: Table) -> dict[str, Ints]:
    """The damper families that a table names, each with its rows."""
    column = table.text("damper")
    order = np.argsort(column.codes, kind="stable")
    codes, first = np.unique(column.codes[order], return_index=True)
    named = zip(codes.tolist(), np.split(order, first[1:]), strict=True) if len(codes) else ()
    return {column.words[code]: rows for code, rows in named if column.words[code]}


def _unserved(shocks: Table, services: Table, faults: Faults) -> None:
    """Families that no service is offered for, but for one of nearly that name."""
    offered = _families(services)
    meant = {spelt: name for name in sorted(offered) for spelt in _spellings(name)}
    for name, rows in _families(shocks).items():
        if name in offered:
            continue
        like = next((meant[spelt] for spelt in sorted(_spellings(name)) if spelt in meant), None)
        for row in rows.tolist() if like else ():
            message = f"no service is offered for it, but for {like!r}: the same damper?"
            faults.add(message, shocks.place(row)[1], "damper", name, "damper")


def _spellings(name: str) -> set[tuple[str, str]]:
    """The name as a reader mistakes it, whole and without any one letter: two names of which one is
    the other misspelt share one. Digits tell names apart."""
    key, digits = near_key(name[:80]), "".join(_DIGIT.findall(name))
    short = (key[:k] + key[k + 1 :] for k in range(len(key))) if len(key) >= SHORTEST else ()
    return {(digits, key), *((digits, one) for one in short)}


def _serves_nothing(services: Table, shocks: Table, faults: Faults) -> None:
    """Services for a family that no shock is of."""
    there, column = _families(shocks), services.text("damper")
    strange = [rows for name, rows in _families(services).items() if name not in there]
    rows = np.sort(np.concatenate([np.array([], np.int64), *strange]))
    lines = np.array([services.place(row)[1] or 0 for row in rows.tolist()], np.int64)

    def fault(i: int) -> tuple[str, str]:
        name = column[int(rows[i])]
        return f"no shock has that damper{nearest(name, list(there))}", name

    faults.add_each(lines, "damper", fault)


def _kits(kits: Table, faults: Faults) -> None:
    """Diameters that cannot stand inside each other: bore, sleeve, bushing."""
    kind = kits.choice("kind")
    sleeve = kind.codes == kind.values.index("sleeve")
    for inner, outer in pairwise(("bore_mm", "sleeve_diameter_mm", "bushing_diameter_mm")):
        a, b = kits.number(inner), kits.number(outer)
        bad = sleeve & a.is_known & b.is_known & (a.low >= b.top)
        for row in np.flatnonzero(bad).tolist():
            message = f"{inner} {a.low[row]:g} does not go into {outer} {b.top[row]:g}"
            faults.add(message, kits.place(row)[1], inner, kind="order")
