"""What no single cell shows: columns of a row that contradict each other, tables that disagree.

Imprecise values are faulted only where every value they admit contradicts; unknown ones never.
"""

import math
from collections.abc import Mapping

import numpy as np

from recommender.catalogue.columns import Ints, Mask, NumberColumn, Table
from recommender.catalogue.faults import MOST_OF_A_KIND, Faults
from recommender.catalogue.settings import SAME, listed_settings
from recommender.facts import words
from recommender.facts.nearest import nearest
from recommender.facts.problems import BadInput, Problem
from recommender.facts.tables import JOBS
from recommender.facts.units import convert
from recommender.mechanics.air import AirSpring, extended_force

NOTHING = 1e-6
"""A pull at full extension below this, in N, is rounding."""


def check_tables(tables: Mapping[str, Table], most: int = MOST_OF_A_KIND) -> list[Problem]:
    """Every contradiction in the tables, those of one file together; at most `most` of a kind.

    Suppliers are looked up only if their table is there: an unread one would make all unknown.
    """
    problems: list[Problem] = []
    for name, table in tables.items():
        faults = Faults(table.file, most)
        if name == "shocks":
            _check_shocks(table, faults)
        if name == "tune_classes":
            _check_bands(table, faults)
            _in_order(table, "shaft_speed_low_m_per_s", "shaft_speed_high_m_per_s", faults)
            _all_present(table, words.CLASSES, faults)
        if name == "tastes":
            _all_present(table, words.TASTES, faults)
        if name == "jobs":
            _all_present(table, JOBS, faults)
            _known_tools(table, faults)
        if "suppliers" in tables and name in ("shocks", "kits", "services", "springs"):
            _refers(table, "supplier", tables["suppliers"], faults)
        if name == "kits":
            _refers(table, "pairs_with", table, faults)
        if name == "springs":
            _coil_round_its_bore(table, faults)
        if name == "delivered_tunes" and "shocks" in tables:
            _refers(table, "shock", tables["shocks"], faults)
        problems.extend(faults.problems())
    return problems


def _check_shocks(shocks: Table, faults: Faults) -> None:
    _stroke_in_length(shocks, faults)
    _settings_in_length(shocks, faults)
    _check_bands(shocks, faults)
    kind = shocks.choice("spring_kind")
    air, coil = kind.values.index("air"), kind.values.index("coil")
    not_coil, not_air = kind.codes != coil, kind.codes != air
    _in_order(shocks, "pressure_min_psi", "pressure_max_psi", faults, not_coil)
    _in_order(shocks, "preload_turns_min", "preload_turns_max", faults, not_air)
    _in_order(shocks, "spring_length_min_mm", "spring_length_max_mm", faults, not_air)
    _stays_extended(shocks, np.flatnonzero(kind.codes == air), faults)
    _spacers_in_chamber(shocks, kind.codes == air, faults)


def _check_bands(table: Table, faults: Faults) -> None:
    for way in ("rebound", "compression"):
        _in_order(table, f"{way}_low_n_s_per_m", f"{way}_high_n_s_per_m", faults)


def _stroke_in_length(shocks: Table, faults: Faults) -> None:
    stroke, length = shocks.number("stroke_mm"), shocks.number("length_mm")
    over = stroke.low > length.top / 2 + SAME
    for row in np.flatnonzero(stroke.is_known & length.is_known & over).tolist():
        message = f"stroke {stroke.low[row]:g} mm is over half the length {length.top[row]:g} mm"
        faults.add(message, shocks.place(row)[1], "stroke_mm")


def _settings_in_length(shocks: Table, faults: Faults) -> None:
    """Each setting is a stroke the length has room for. One above the delivered is allowed."""
    try:
        owner, stroke = listed_settings(shocks)
    except BadInput as bad:
        for problem in bad.problems:
            faults.add(problem.message, problem.row, problem.column, problem.value)
        return
    length = shocks.number("length_mm")
    over = length.is_known[owner] & (stroke > length.top[owner] / 2 + SAME)
    for i in np.flatnonzero(over).tolist():
        row = int(owner[i])
        message = f"setting {stroke[i]:g} mm is over half the length {length.top[row]:g} mm"
        faults.add(message, shocks.place(row)[1], "stroke_settings_mm")


def _in_order(
    table: Table, low_name: str, high_name: str, faults: Faults, where: Mask | None = None
) -> None:
    low, high = table.number(low_name), table.number(high_name)
    bad = low.is_known & high.is_known & (low.low > high.top)
    if where is not None:
        bad &= where
    for row in np.flatnonzero(bad).tolist():
        message = f"{low_name} {low.low[row]:g} is over {high_name} {high.top[row]:g}"
        faults.add(message, table.place(row)[1], low_name, kind="order")


def _stays_extended(shocks: Table, air: Ints, faults: Faults) -> None:
    """At neither end of its pressure range may the negative chamber draw the shock in unladen.

    The force at full extension is linear in absolute pressure: the two ends settle the rest.
    """
    names = (
        "piston_area_mm2", "chamber_cm3", "negative_area_mm2", "negative_chamber_cm3",
        "equalise_at_mm",
    )  # fmt: skip
    area, volume, negative_area, negative_volume, meet = (shocks.number(name) for name in names)
    exact = np.logical_and.reduce(
        [_exact(column) for column in (area, volume, negative_area, negative_volume, meet)]
    )
    for limit in ("pressure_min_psi", "pressure_max_psi"):
        pressure = shocks.number(limit)
        rows = air[(exact & _exact(pressure))[air]]
        spring = AirSpring(
            convert(area.low[rows], "mm2", "m2"),
            convert(volume.low[rows], "cm3", "m3"),
            convert(negative_area.low[rows], "mm2", "m2"),
            convert(negative_volume.low[rows], "cm3", "m3"),
            convert(meet.low[rows], "mm", "m"),
        )
        force = extended_force(convert(pressure.low[rows], "psi", "pa"), spring)
        for i in np.flatnonzero(~(force >= -NOTHING)).tolist():
            row = int(rows[i])
            message = (
                f"at {limit} {pressure.low[row]:g} psi the negative chamber pulls the shock in "
                f"by {-force[i]:.0f} N: it would not extend unladen"
                if np.isfinite(force[i])
                else "the positive chamber has no volume left at equalise_at_mm"
            )
            faults.add(message, shocks.place(row)[1], "negative_area_mm2", kind="extended")


def _spacers_in_chamber(shocks: Table, air: Mask, faults: Faults) -> None:
    """With all the spacers it takes some air is left."""
    names = ("volume_spacers_max", "volume_spacer_cm3", "chamber_cm3")
    most, each, chamber = (shocks.number(name) for name in names)
    known = air & most.is_known & each.is_known & chamber.is_known
    for row in np.flatnonzero(known & (most.low * each.low >= chamber.top)).tolist():
        room, one = float(chamber.top[row]), float(each.low[row])
        message = (
            f"so many spacers of {one:g} cm3 leave nothing of chamber_cm3 {room:g}; accepted: "
            f"{math.ceil(room / one) - 1} or fewer"
        )
        faults.add(message, shocks.place(row)[1], names[0], f"{most.low[row]:g}", "spacers")


def _coil_round_its_bore(springs: Table, faults: Faults) -> None:
    inner, outer = springs.number("inner_diameter_mm"), springs.number("outer_diameter_mm")
    bad = inner.is_known & outer.is_known & (inner.low >= outer.top)
    for row in np.flatnonzero(bad).tolist():
        message = (
            f"no room for the wire; accepted: less than outer_diameter_mm {outer.top[row]:g}"
        )
        line = springs.place(row)[1]
        faults.add(message, line, "inner_diameter_mm", f"{inner.low[row]:g}", "order")


def _exact(column: NumberColumn) -> Mask:
    exact: Mask = column.is_known & (column.low == column.top)
    return exact


def _all_present(table: Table, wanted: tuple[str, ...], faults: Faults) -> None:
    keys = set(table.keys())
    for word in wanted:
        if word not in keys:
            faults.add(f"a row for {word!r} is wanted", column=table.key, kind="missing")


def _known_tools(jobs: Table, faults: Faults) -> None:
    for row, text in enumerate(jobs.text("tools").texts()):
        for tool in (part.strip() for part in text.split(";") if part.strip()):
            if tool not in words.TOOLS:
                near = nearest(tool[:80], words.TOOLS)
                message = f"no known tool; accepted: {', '.join(words.TOOLS)}{near}"
                faults.add(message, jobs.place(row)[1], "tools", tool)


def _refers(table: Table, column_name: str, target: Table, faults: Faults) -> None:
    """Every non-blank text of the column is a key of the target table."""
    column, keys = table.text(column_name), target.keys()
    known = set(keys)
    strange = [code for code, text in enumerate(column.words) if text and text not in known]
    if not strange:
        return
    rows = np.flatnonzero(np.isin(column.codes, strange))
    lines = np.array([table.place(row)[1] or 0 for row in rows.tolist()], np.int64)

    def fault(i: int) -> tuple[str, str]:
        text = column[int(rows[i])]
        return f"no such {target.key} in {target.file}{nearest(text, keys)}", text

    faults.add_each(lines, column_name, fault)
