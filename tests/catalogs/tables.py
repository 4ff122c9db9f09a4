"""The demonstration's files as the tests read them: plain texts, nothing checked."""

import csv
import tomllib
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
CATALOGUE = ROOT / "catalogs"
DEMO = ROOT / "demo"
TITLE = "# Invented for the demonstration: no real person, maker or product.\n"


def rows(name: str) -> list[dict[str, str]]:
    with (CATALOGUE / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def number(cell: str) -> float:
    """The figure of an exact or a measured cell."""
    return float(cell.split("+/-")[0])


SHOCKS, KITS, SERVICES, SPRINGS = (rows(n) for n in ("shocks", "kits", "services", "springs"))
FRAMES = sorted((CATALOGUE / "frames").glob("*.toml"))
SCENARIO = sorted(path for path in DEMO.rglob("*.toml") if path.parent.name != "shop")


def frame(path: Path) -> dict[str, Any]:
    bike: dict[str, Any] = tomllib.loads(path.read_text(encoding="utf-8"))["bike"]
    return bike


def merged(under: dict[str, Any], over: dict[str, Any]) -> dict[str, Any]:
    out = dict(under)
    for name, value in over.items():
        inner = isinstance(value, dict) and isinstance(out.get(name), dict)
        out[name] = merged(out[name], value) if inner else value
    return out
