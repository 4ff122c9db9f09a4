"""Catalogues of any size: seeded, invented, of the usual order, every row physically sound.

`make_catalogue` makes the tables as columns; `write_folder` writes them as the CSV files that the
commands read. Size families, mounts, chambers, services and springs are drawn as in the trade
(common practice and memory, no source); one share of the cells is loose: half of those blank, half
measured with a tolerance. Keys, spring kind and mount style are always known; nothing is short in
stock and no supplier has an order minimum, so that no joint rule decides.

    python -m tests.bench.generate FOLDER --shocks 100000 --kits 5000 --services 2000
"""

import csv
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any

import numpy as np
import typer
from pydantic import BaseModel

from recommender.catalogue.catalogue import Catalogue
from recommender.catalogue.columns import (
    ChoiceColumn,
    Column,
    Floats,
    Ints,
    Mask,
    NumberColumn,
    Table,
    TextColumn,
)
from recommender.facts import words
from recommender.facts.fields import choice_of, numbers
from recommender.facts.tables import JOBS, TABLES

SOURCE = "invented for measuring speed"
FAMILIES: tuple[tuple[str, float, tuple[float, ...]], ...] = (
    ("eyelet", 190.0, (37.5, 40.0, 42.5, 45.0)), ("eyelet", 210.0, (47.5, 50.0, 52.5, 55.0)),
    ("eyelet", 230.0, (57.5, 60.0, 62.5, 65.0)), ("eyelet", 250.0, (67.5, 70.0, 72.5, 75.0)),
    ("trunnion", 165.0, (37.5, 40.0, 42.5, 45.0)), ("trunnion", 185.0, (47.5, 50.0, 52.5, 55.0)),
    ("trunnion", 205.0, (57.5, 60.0, 62.5, 65.0)), ("trunnion", 225.0, (67.5, 70.0, 72.5, 75.0)),
    ("eyelet", 165.1, (38.1,)), ("eyelet", 184.2, (44.5,)), ("eyelet", 190.5, (50.8,)),
    ("eyelet", 200.0, (50.8,)), ("eyelet", 200.7, (57.2,)), ("eyelet", 215.9, (63.5,)),
    ("eyelet", 222.3, (66.0, 69.9)), ("eyelet", 241.3, (76.2,)),
)  # fmt: skip
TOLERANCE = {"mm": 0.2, "g": 5.0, "money": 5.0, "psi": 5.0, "cm3": 2.0, "mm2": 20.0, "kg": 5.0,
             "n_s_per_m": 100.0, "n_per_mm": 2.0, "days": 1.0, "count": 0.5}  # fmt: skip
USUAL_WIDTHS = (18, 20, 21.8, 22.2, 24, 25, 26, 28, 30, 32, 35, 38, 40, 44, 50, 54, 60)
ATMOSPHERE, PSI = 0.101325, 0.006894757293168  # MPa
SUPPLIERS = tuple(f"Supplier {k}" for k in range(1, 7))
CLASS_RANGES = {"light": (1200, 4000, 500, 1900), "medium": (2700, 6300, 1300, 2900),
                "firm": (4600, 9500, 2200, 5000)}  # fmt: skip
TASTES = {"plush": (0.30, 0.12), "neutral": (0.37, 0.17), "firm": (0.45, 0.22)}
JOB_COSTS = {
    "fit shock": 30,
    "press bushing": 15,
    "change stroke": 55,
    "set volume spacers": 15,
    "fit spring": 12,
    "turn eyelet": 10,
    "send for revalve": 20,
    "service shock": 95,
}
JOB_TOOLS = {"fit shock": "hex keys;torque wrench;shock pump", "press bushing": "bushing press",
             "set volume spacers": "air can tool", "fit spring": "spring scale",
             "turn eyelet": "eyelet driver"}  # fmt: skip


def _texts(codes: np.ndarray, words: tuple[str, ...]) -> TextColumn:
    return TextColumn(codes.astype(np.int32), words)


@dataclass(frozen=True)
class Draw:
    """Draws the columns of one table of `size` rows; `loose` is the share of cells not exact."""

    rng: np.random.Generator
    model: type[BaseModel]
    size: int
    loose: float

    def pick(self, values: Sequence[float], weights: Sequence[float] | None = None) -> Floats:
        share = None if weights is None else np.array(weights) / sum(weights)
        return self.rng.choice(np.array(values, float), self.size, p=share)

    def between(self, low: float, high: float, step: float) -> Floats:
        return low + step * self.rng.integers(0, round((high - low) / step) + 1, self.size)

    def blurred(self, where: Mask) -> tuple[Mask, Mask]:
        """Cells left blank, and cells measured with a tolerance."""
        chance = self.rng.random(self.size)
        return where & (chance < self.loose / 2), where & (chance >= 1 - self.loose / 2)

    def number(self, name: str, values: Floats, where: Mask | None = None) -> NumberColumn:
        """The field's column; outside `where` the row has no such fact, and its cell is blank."""
        field = numbers(self.model)[name]
        has = np.ones(self.size, bool) if where is None else where
        blank, measured = self.blurred(has)
        blank |= ~has
        if not (blank.any() or measured.any()):
            return NumberColumn.of(values)
        spread = np.where(measured, TOLERANCE.get(field.unit, 0.0), 0.0)
        low = np.where(blank, field.low, np.clip(values - spread, field.low, field.high))
        high = np.where(blank, field.high, np.clip(values + spread, field.low, field.high))
        return NumberColumn.of(low, high, ~blank if blank.any() else None)

    def choice(self, name: str, codes: Any, where: Mask | None = None) -> ChoiceColumn:
        found = choice_of(self.model.model_fields[name])
        if found is None:
            raise TypeError(f"{name} is no choice")
        has = np.ones(self.size, bool) if where is None else where
        blank, measured = self.blurred(has)
        return ChoiceColumn(
            np.where(has & ~blank & ~measured, codes, -1).astype(np.int16), found.values
        )

    def word(self, name: str, weights: Sequence[float], where: Mask | None = None) -> ChoiceColumn:
        return self.choice(name, self.pick(range(len(weights)), weights), where)

    def offer(self, price: Floats) -> dict[str, Column]:
        zero = np.zeros(self.size, np.int64)
        return {
            "price": self.number("price", price),
            "currency": _texts(zero, ("EUR",)),
            "supplier": _texts(self.rng.integers(0, len(SUPPLIERS), self.size), SUPPLIERS),
            "stock": self.blank("stock"),
            "delivery_days": self.number("delivery_days", self.between(1, 12, 1)),
            "source": _texts(zero, (SOURCE,)),
        }

    def blank(self, name: str) -> NumberColumn:
        field = numbers(self.model)[name]
        shape = self.size
        return NumberColumn.of(
            np.full(shape, field.low), np.full(shape, field.high), np.zeros(shape, bool)
        )

    def keys(self, mark: str) -> TextColumn:
        return _texts(np.arange(self.size), tuple(f"{mark}{k}" for k in range(self.size)))

    def text(self, codes: Ints, accepted: Sequence[str]) -> TextColumn:
        return _texts(codes, tuple(accepted))


def make_catalogue(
    shocks: int, kits: int, services: int, springs: int = 60, seed: int = 1, loose: float = 0.05
) -> Catalogue:
    """A catalogue of that many rows; the same arguments always give the same one."""
    counts = {"shocks": shocks, "kits": kits, "services": services, "springs": springs}
    dampers = max(3, services // 5)
    made: dict[str, Table] = {}
    for place, (name, size) in enumerate(counts.items()):
        draw = Draw(np.random.default_rng([seed, place]), TABLES[name][0], size, loose)
        columns = {
            "shocks": lambda: _shocks(draw, dampers), "kits": lambda: _kits(draw),  # noqa: B023
            "services": lambda: _services(draw, dampers), "springs": lambda: _springs(draw),  # noqa: B023
        }[name]()  # fmt: skip
        made[name] = _table(name, _untold(draw) | columns)
    return Catalogue(**made, **_small(), frames={}, folder=Path(), digest="")


def _table(name: str, columns: dict[str, Column]) -> Table:
    model, key = TABLES[name]
    return Table(name, key, {field: columns[field] for field in model.model_fields})


def _untold(draw: "Draw") -> dict[str, Column]:
    """Of the numbers that nothing here draws: blanks."""
    return {name: draw.blank(name) for name in numbers(draw.model)}


def _shocks(draw: Draw, dampers: int) -> dict[str, Column]:
    rng, size = draw.rng, draw.size
    family = rng.integers(0, len(FAMILIES), size)
    strokes = np.array([row + row[-1:] * (4 - len(row)) for _, _, row in FAMILIES])
    place = rng.integers(0, 4, size)
    stroke = strokes[family, place]
    trunnion = np.array([mount == "trunnion" for mount, _, _ in FAMILIES])[family]
    coil = rng.random(size) < 0.25
    eyelet, air = ~trunnion, ~coil
    lists = ["", *(";".join(f"{s:g}" for s in row[: k + 1]) for _, _, row in FAMILIES
                   for k in range(4))]  # fmt: skip
    settings = np.where(rng.random(size) < 0.4, 1 + 4 * family + place, 0)
    damper = rng.integers(0, dampers, size)
    out: dict[str, Column] = {
        "part_number": draw.keys("S-"),
        "maker": draw.text(rng.integers(0, 10, size), [f"Maker {k}" for k in range(10)]),
        "model": draw.text(damper, [f"Model {k}" for k in range(dampers)]),
        "spring_kind": ChoiceColumn(coil.astype(np.int16), words.SPRING_KINDS),
        "head_mount": ChoiceColumn(trunnion.astype(np.int16), words.MOUNTS),
        "length_mm": draw.number("length_mm", np.array([row[1] for row in FAMILIES])[family]),
        "stroke_mm": draw.number("stroke_mm", stroke),
        "stroke_settings_mm": draw.text(settings, lists),
        "mass_g": draw.number("mass_g", draw.between(300, 650, 5)),
        "trunnion_width_mm": draw.number("trunnion_width_mm", np.full(size, 54.0), trunnion),
        "trunnion_thread": draw.choice("trunnion_thread", 2, trunnion),
        "trunnion_thread_depth_mm": draw.number(
            "trunnion_thread_depth_mm", draw.pick((10, 11, 12)), trunnion
        ),
        "eyelet_axis": draw.word("eyelet_axis", (9, 1)),
        "eyelet_turnable": draw.word("eyelet_turnable", (6, 4)),
        "end_for_end": draw.word("end_for_end", (8, 2)),
        "damper": draw.text(damper, [f"Damper {k}" for k in range(dampers)]),
        "compression_class": draw.word("compression_class", (1, 2, 1)),
        "rebound_class": draw.word("rebound_class", (1, 2, 1)),
        "lockout_class": draw.word("lockout_class", (4, 2, 2, 2)),
        "rider_mass_limit_kg": draw.number("rider_mass_limit_kg", draw.pick((110, 120, 130))),
        "rider_mass_limit_basis": ChoiceColumn(
            np.full(size, words.BASES.index("rider with kit"), np.int16), words.BASES
        ),
        **draw.offer(draw.between(250, 900, 5)),
    }
    for end, has in (("head", eyelet), ("shaft", np.ones(size, bool))):
        out[f"{end}_eye"] = draw.word(f"{end}_eye", (19, 1), has)
        out |= {
            name: draw.number(name, values, has)
            for name, values in (
                (f"{end}_eye_width_mm", draw.pick((12.7, 13.0, 14.0, 15.0))),
                (f"{end}_eye_bore_mm", draw.pick((15.0, 16.0), (9, 1))),
                (f"{end}_sleeve_diameter_mm", draw.pick((12.7, 12.0, 15.0), (18, 1, 1))),
            )
        }
    radius = {"head": np.where(coil, 22.0, 27.0), "middle": np.where(coil, 22.0, 27.0),
              "shaft": np.full(size, 19.0)}  # fmt: skip
    for third, usual in radius.items():
        for side in ("up", "down", "left", "right"):
            more = draw.pick((0, 6, 20), (6, 3, 1)) if (third, side) == ("head", "up") else 0.0
            name = f"body_{third}_{side}_mm"
            out[name] = draw.number(name, usual + draw.between(-3, 3, 0.5) + more)
    for name, share in (("rebound_adjuster", 19), ("low_speed_compression_adjuster", 12),
                        ("high_speed_compression_adjuster", 6), ("lockout_lever", 10),
                        ("remote_lockout", 2)):  # fmt: skip
        out[name] = draw.word(name, (20 - share, share))
    tested = rng.random(size) < 0.05
    for name, low, high in (
        ("rebound_low", 1000, 3000),
        ("rebound_high", 5000, 8000),
        ("compression_low", 400, 1500),
        ("compression_high", 2200, 4000),
    ):
        field = f"{name}_n_s_per_m"
        out[field] = draw.number(field, draw.between(low, high, 100), tested)
    out |= _air(draw, stroke, air)
    long = stroke > 60
    for name, values in (
        ("spring_seat_mm", draw.pick((36.0, 38.0))),
        ("spring_length_min_mm", np.where(long, 125.0, 105.0)),
        ("spring_length_max_mm", np.where(long, 150.0, 135.0)),
        ("collar_pitch_mm", draw.pick((1.0, 1.25, 1.5))),
        ("preload_turns_min", draw.pick((0.5, 1.0), (3, 1))),
        ("preload_turns_max", draw.pick((2.0, 2.5, 3.0))),
    ):
        out[name] = draw.number(name, values, coil)
    out["volume_spacer_price"] = draw.number("volume_spacer_price", draw.between(4, 12, 1), air)
    return out


def _air(draw: Draw, stroke: Floats, air: Mask) -> dict[str, Column]:
    """Chambers, redrawn until every shock stands extended at both ends of its pressure range."""
    size = draw.size
    least, most = draw.pick((50.0, 60.0)), draw.pick((300.0, 325.0, 350.0))
    columns = np.zeros((5, size))
    todo = np.arange(size)
    while len(todo):
        rows = Draw(draw.rng, draw.model, len(todo), 0.0)
        area = rows.between(1300, 1900, 10)
        ratio = rows.between(2.2, 3.2, 0.05)
        volume = np.round(area * stroke[todo] * ratio / (ratio - 1) / 1000)
        negative_area = np.round(area * rows.between(0.55, 0.75, 0.01) / 10) * 10
        meet = rows.between(3, 6, 0.5)
        negative = np.maximum(
            np.round(negative_area * meet / rows.between(0.10, 0.24, 0.01) / 1000), 1.0
        )
        columns[:, todo] = area, volume, negative_area, negative, meet
        unladen = [
            _extended(psi[todo], area, volume, negative_area, negative, meet)
            for psi in (least, most)
        ]
        todo = todo[np.minimum(*unladen) < 0]
    names = ("piston_area_mm2", "chamber_cm3", "negative_area_mm2", "negative_chamber_cm3",
             "equalise_at_mm")  # fmt: skip
    out: dict[str, Column] = {
        name: draw.number(name, values, air) for name, values in zip(names, columns, strict=True)
    }
    out["pressure_min_psi"] = draw.number("pressure_min_psi", least, air)
    out["pressure_max_psi"] = draw.number("pressure_max_psi", most, air)
    spacer = draw.pick((5.0, 6.0, 8.0, 10.0))
    free = columns[1] - columns[0] * stroke / 1000 * 4.5 / 3.5  # cm3 until a volume ratio of 4.5
    out["volume_spacer_cm3"] = draw.number("volume_spacer_cm3", spacer, air)
    out["volume_spacers_max"] = draw.number(
        "volume_spacers_max", np.clip(np.floor(free / spacer), 0, 5), air
    )
    return out


def _extended(
    psi: Floats, area: Floats, volume: Floats, negative_area: Floats, negative: Floats, meet: Floats
) -> Floats:
    """Force at full extension, N, after the negative chamber equalised at `meet`."""
    absolute = psi * PSI + ATMOSPHERE
    equal = absolute * volume * 1000 / (volume * 1000 - area * meet)
    inside = equal * (negative * 1000 + negative_area * meet) / (negative * 1000)
    return area * (absolute - ATMOSPHERE) - negative_area * (inside - ATMOSPHERE)


def _kits(draw: Draw) -> dict[str, Column]:
    kind = draw.pick((0, 1, 2), (76, 12, 12)).astype(np.int64)
    bolts, bushing = kind == 2, draw.pick((0, 1, 2), (4, 4, 2)).astype(np.int64)
    bushing[kind > 0] = 0
    sleeved, size = ~bolts, draw.size
    usual = draw.rng.random(size) < 0.6
    width = np.where(usual, draw.pick(USUAL_WIDTHS), draw.between(18, 60, 0.1).round(1))
    return {
        "part_number": draw.keys("K-"),
        "maker": draw.text(draw.rng.integers(0, 8, size), [f"Maker {k}" for k in range(8)]),
        "kind": draw.choice("kind", kind),
        "width_mm": draw.number("width_mm", width, sleeved),
        "bore_mm": draw.number("bore_mm", draw.pick((6.0, 8.0, 10.0, 12.0), (1, 6, 3, 1)), sleeved),
        "sleeve_diameter_mm": draw.number(
            "sleeve_diameter_mm", draw.pick((12.7, 12.0, 15.0), (18, 1, 1)), sleeved
        ),
        "bushing": draw.choice("bushing", bushing),
        "bushing_diameter_mm": draw.number(
            "bushing_diameter_mm", draw.pick((15.0, 16.0), (9, 1)), bushing > 0
        ),
        "thread": draw.choice("thread", 2, bolts),
        "protrusion_mm": draw.number("protrusion_mm", draw.between(8, 12, 1), bolts),
        "pieces": draw.number("pieces", draw.pick((1, 2, 3, 5))),
        "mass_g": draw.number("mass_g", draw.between(12, 45, 1)),
        "pairs_with": draw.text(np.zeros(size), ("",)),
        **draw.offer(draw.between(10, 60, 1)),
    }


def _services(draw: Draw, dampers: int) -> dict[str, Column]:
    damper = np.arange(draw.size) % dampers
    return {
        "service_number": draw.keys("R-"),
        "workshop": draw.text(draw.rng.integers(0, 3, draw.size), SUPPLIERS[:3]),
        "damper": draw.text(damper, [f"Damper {k}" for k in range(dampers)]),
        "compression_class": draw.word("compression_class", (1, 1, 1)),
        "rebound_class": draw.word("rebound_class", (1, 1, 1)),
        "lockout_class": draw.word("lockout_class", (1, 1, 1, 1)),
        "work_days": draw.number("work_days", draw.between(3, 14, 1)),
        **draw.offer(draw.between(90, 220, 5)),
    }


def _springs(draw: Draw) -> dict[str, Column]:
    inner, long = draw.pick((36.0, 38.5)), draw.pick((0.0, 1.0))
    rate = draw.between(300, 700, 25) * 0.17512683524647636
    return {
        "part_number": draw.keys("C-"),
        "maker": draw.text(draw.rng.integers(0, 4, draw.size), [f"Maker {k}" for k in range(4)]),
        "rate_n_per_mm": draw.number("rate_n_per_mm", rate),
        "inner_diameter_mm": draw.number("inner_diameter_mm", inner),
        "outer_diameter_mm": draw.number("outer_diameter_mm", inner + 2 * draw.between(7, 10, 0.1)),
        "free_length_mm": draw.number("free_length_mm", 128.0 + 18 * long),
        "usable_travel_mm": draw.number("usable_travel_mm", 66.5 + 11.5 * long),
        "mass_g": draw.number("mass_g", draw.between(250, 500, 5)),
        **draw.offer(draw.between(35, 120, 5)),
    }


def _small() -> dict[str, Table]:
    """Tune classes, tastes, jobs and suppliers: as the demonstration's, all exact."""

    def table(name: str, columns: dict[str, Column], size: int) -> Table:
        draw = Draw(np.random.default_rng(0), TABLES[name][0], size, 0.0)
        texts = {"source": SOURCE, "currency": "EUR", "tools": "", "standing": ""}
        for field in TABLES[name][0].model_fields:
            if field in texts and field not in columns:
                columns[field] = TextColumn.of([texts[field]] * size)
            elif field not in columns:
                columns[field] = draw.blank(field)
        return _table(name, columns)

    def exact(rows: Any) -> list[NumberColumn]:
        return [NumberColumn.of(np.array(values, float)) for values in zip(*rows, strict=True)]

    ranges = exact(CLASS_RANGES.values())
    sides = ("rebound_low", "rebound_high", "compression_low", "compression_high")
    standing = ChoiceColumn(np.zeros(3, np.int16), words.STANDINGS)
    classes = {f"{side}_n_s_per_m": one for side, one in zip(sides, ranges, strict=True)}
    tastes = dict(zip(("rebound_ratio", "compression_ratio"), exact(TASTES.values()), strict=True))
    three = np.arange(3, dtype=np.int16)
    price = NumberColumn.of(np.array([float(JOB_COSTS[job]) for job in JOBS]))
    workshop = np.array([job not in JOB_TOOLS for job in JOBS])
    days = NumberColumn.of(np.where(workshop, 2.0, 0.0))
    minimum = NumberColumn.of(np.zeros(len(SUPPLIERS)))
    return {
        "tune_classes": table(
            "tune_classes",
            {"tune_class": ChoiceColumn(three, words.CLASSES), "standing": standing, **classes}, 3),
        "tastes": table("tastes", {"taste": ChoiceColumn(three, words.TASTES), **tastes}, 3),
        "jobs": table(
            "jobs",
            {"job": TextColumn.of(list(JOBS)), "price": price, "work_days": days,
             "tools": TextColumn.of([JOB_TOOLS.get(job, "") for job in JOBS]),
             "place": ChoiceColumn(workshop.astype(np.int16), words.PLACES)}, len(JOBS)),
        "suppliers": table(
            "suppliers",
            {"supplier": TextColumn.of(list(SUPPLIERS)), "order_minimum": minimum}, len(SUPPLIERS)),
    }  # fmt: skip


def write_folder(catalogue: Catalogue, folder: Path) -> None:
    """The catalogue's tables as the CSV files of a catalogue's folder."""
    folder.mkdir(parents=True, exist_ok=True)
    for name in TABLES:
        table: Table = getattr(catalogue, name)
        cells = [_cells(column) for column in table.columns.values()]
        with (folder / f"{name}.csv").open("w", encoding="utf-8", newline="") as file:
            writer = csv.writer(file, lineterminator="\n")
            writer.writerow(table.columns)
            writer.writerows(zip(*cells, strict=True))


def _cells(column: Column) -> list[str]:
    if isinstance(column, ChoiceColumn):
        return [word or "" for word in column.words()]
    if isinstance(column, TextColumn):
        return column.texts()
    return [
        "?" if not known
        else f"{low:.10g}" if low == high
        else f"{(low + high) / 2:.10g} +/- {(high - low) / 2:.10g}"
        for low, high, known in zip(
            column.low.tolist(), column.top.tolist(), column.is_known.tolist(), strict=True
        )
    ]  # fmt: skip


def main(
    folder: Path,
    shocks: Annotated[int, typer.Option(min=1, max=1_000_000)] = 1000,
    kits: Annotated[int, typer.Option(min=1, max=100_000)] = 200,
    services: Annotated[int, typer.Option(min=1, max=100_000)] = 100,
    springs: Annotated[int, typer.Option(min=1, max=10_000)] = 60,
    seed: int = 1,
) -> None:
    """Write an invented catalogue of that size into FOLDER."""
    write_folder(make_catalogue(shocks, kits, services, springs, seed), folder)


if __name__ == "__main__":
    typer.run(main)
