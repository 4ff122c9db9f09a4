"""The demo's fleet, opened once for the tests that read it."""

from functools import cache
from pathlib import Path

from recommender.catalogue.catalogue import Catalogue, read_catalogue
from recommender.fleet.fleet import Fleet
from recommender.fleet.groups import Group, fold
from recommender.fleet.reading import read_fleet

ROOT = Path(__file__).resolve().parents[2]
FOLDER = ROOT / "demo" / "fleet"


@cache
def catalogue() -> Catalogue:
    return read_catalogue(ROOT / "catalogs")


@cache
def groups() -> tuple[Group, ...]:
    return fold(read_fleet(FOLDER / "fleet.csv"), FOLDER, catalogue())


@cache
def demo_fleet() -> Fleet:
    return Fleet(groups(), catalogue())
