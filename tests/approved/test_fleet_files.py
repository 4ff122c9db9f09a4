"""What a fleet file is read as, and every way in which one is refused, is what is kept: see
`test_questions`. Years and spares over small grids are too."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

from recommender.facts.problems import BadInput
from recommender.fleet.dropped import drop_record
from recommender.fleet.fleet import Fleet
from recommender.fleet.groups import fold
from recommender.fleet.reading import read_fleet
from recommender.fleet.rollout import rollout
from recommender.fleet.spares import Policy, Use, levels, spares
from recommender.fleet.task import Limits
from tests.approved.fleets import fleet
from tests.approved.kept import same_as_kept
from tests.approved.plain import lines, short

HEAD = "bike,model,count,rider_mass_with_kit_kg,spring_changes,present_shock,condition,due\n"
FILES = {
    "plain": HEAD + "a,glade,2,60 to 85,yes,none,good,2027-03-15\nb,heath,,75,no,,broken,\n"
    ",moor,1,55 to 90,,,?,?\n",
    "another order and unit": "count;rider_mass_with_kit_lb;model\n1;120 to 200;glade\n",
    "nothing": "",
    "no bike": HEAD,
    "no model": "bike,count\na,1\n",
    "unknown columns": "model,cout,bike,bike\nglade,1,a,b\n",
    "bad cells": HEAD + "a,glade,0,60 to 85,maybe,,god,2027-13-01\nb,,1.5,10,no,,,1.3.2027\n"
    "c,moor,2 to 3,85 to 60,no,,,\nd,moor,200000,300,no,,,\n",
    "too many cells": HEAD + "a,glade,2,60 to 85,yes,none,good,2027-03-15,more\n",
    "names twice": HEAD
    + "a,glade,2,75,,,,\na/1,heath,1,75,,,,\nb,moor,1,75,,,,\nB,moor,1,75,,,,\n",
    "names that look alike": HEAD + "gamma,glade,1,75,,,,\ng\u0430mma,heath,1,75,,,,\n",
    "too many bikes": HEAD + "".join(f"a{k},glade,7000,75,,,,\n" for k in range(3)),
    "unknown model": HEAD + "a,glad,1,75,,,,\nb,../glade,1,75,,,,\n",
    "unknown shock": HEAD + "a,glade,1,75,,s birhc,,\n",
    "no mass": HEAD + "a,glade,1,,,,,\n",
}
MAPPINGS = {
    "words and units": '[fleet]\ndecimal = ","\nseparator = ";"\n[columns]\nmodel = "Typ"\n'
    'bike = "rad"\ncount = { from = "Zahl" }\n'
    'rider_mass_with_kit_kg = { from = "Fahrer", unit = "lb" }\n'
    'condition = { from = "Zustand", words = { "kaputt" = "broken", "gut" = "good" } }\n',
    "unknown field": '[columns]\nmodl = "Typ"\n[flet]\n',
    "unknown column": '[fleet]\nseparator = ";"\n[columns]\nmodel = "Type"\n',
    "bad values": '[fleet]\ndecimal = ";"\nsheet = 3\n[columns]\nmodel = { form = "Typ" }\n',
}
MAPPED = (
    "Rad;Typ;Zahl;Fahrer;Zustand\nx;glade;2;132,3;kaputt\ny;moor;1;120 to 150;gut\nz;moor;1;9;so\n"
)
LIMITS: tuple[dict[str, Any], ...] = (
    {"share": 0.0}, {"share": 1.5}, {"builds": 0}, {"budget": -1.0}, {"budget": float("nan")},
    {"share": 1.0, "builds": 1, "budget": 0.0, "suppliers": 2, "in_stock": True},
)  # fmt: skip
NO_PLAN: tuple[dict[str, Any], ...] = (
    {"suppliers": 5}, {"builds": 50}, {"suppliers": 5, "builds": 2}, {"suppliers": 5, "builds": 50},
    {"suppliers": 5, "budget": 1000.0, "in_stock": True}, {"on_hand": {"s nothing": 2}},
)  # fmt: skip
POLICIES: tuple[dict[str, Any], ...] = (
    {}, {"level": 0.9, "measure": "fill"}, {"lead_days": 0.0, "turnaround_days": 12.0},
    {"level": 1.0}, {"level": 0.0}, {"hours_between_failures": 0.0, "hours_between_kits": -1.0},
    {"hours_between_services": float("inf")}, {"lead_days": -1.0, "turnaround_days": float("nan")},
)  # fmt: skip
USES = (
    Use("s ash", "shock", 12, 4000.0, 420.0, 9.0), Use("k elm", "kit", 12, 4000.0, 20.5, 21.0),
    Use("k oak", "kit", 1, 120.0, 45.0, 3.0), Use("s yew", "shock", 1, 0.0, 300.0, 30.0),
    Use("s fir", "shock", 40, 15000.0, 560.25, 60.0),
)  # fmt: skip


def outcome(name: str, attempt: Callable[[], Any], folder: Path) -> Iterator[str]:
    """What comes of it, or every problem that is told."""
    try:
        yield from lines(attempt(), name)
    except BadInput as bad:
        yield name
        yield from (f"  ! {problem}".replace(str(folder), "...") for problem in bad.problems)


def written(path: Path, text: str) -> Path:
    path.write_text(text, encoding="utf-8")
    return path


def told(folder: Path) -> Iterator[str]:
    """Files, mappings, limits, years, what is dropped, policies."""
    made = fleet(16, folder)
    for name, text in FILES.items():
        path = written(folder / "read.csv", text)
        yield from outcome(name, lambda path=path: _read(path, made, folder), folder)
    path = written(folder / "mapped.csv", MAPPED)
    for name, text in MAPPINGS.items():
        mapping = written(folder / "mapping.toml", text)
        yield from outcome(name, lambda m=mapping: [r.facts for r in read_fleet(path, m)], folder)
    for some in LIMITS:
        yield from outcome(short(some), lambda some=some: _limits(**some), folder)
    for some in NO_PLAN:
        yield from outcome(short(some), lambda some=some: _plan(made, **some), folder)
    dear = max(one.cost for one in made.changes)
    for yearly in (None, dear, dear - 0.01, 2 * dear, 1e9):
        yield from outcome(f"a year: {short(yearly)}", lambda y=yearly: _years(made, y), folder)
    for part in ("s nothing", made.plan.numbers[0], "bought and dropped"):
        yield from outcome(f"without {part}", lambda part=part: drop_record(made, part), folder)
    for some in POLICIES:
        yield from outcome(f"kept for {short(some)}", lambda some=some: _kept(**some), folder)


def _read(path: Path, made: Fleet, folder: Path) -> Any:
    rows = read_fleet(path)
    groups = fold(rows, folder, made.catalogue)
    return [*((row.names(), row.hours, row.due and str(row.due), row.facts) for row in rows),
            *((one.name, one.bikes, one.riders_text, one.changes) for one in groups)]  # fmt: skip


def _limits(**some: Any) -> Any:
    made = Limits(**some)
    return made.names, made.alike, made.local, [made.most_on_one(n) for n in (1, 7, 10)]


def _plan(made: Fleet, **some: Any) -> Any:
    return replace(made, limits=Limits(**some)).plan.served


def _years(made: Fleet, yearly: float | None) -> Any:
    years, whole = rollout(made.changes, yearly)
    return whole, [(year.number, year.cost, [one.bike for one in year.changes]) for year in years]


def _kept(**some: Any) -> Any:
    policy = Policy(**some)
    found = [(one.use.part, one.failures, one.pool, one.stock, one.pool_only, one.cost)
             for one in spares(USES, policy)]  # fmt: skip
    return found, [(one.level, one.units, one.cost, one.more) for one in levels(USES, policy)]


def test_fleet_files_are_read_and_refused_as_before(tmp_path: Path) -> None:
    same_as_kept("fleet-files", told(tmp_path))
