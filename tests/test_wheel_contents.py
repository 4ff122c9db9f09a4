"""What a wheel takes along: the package, and of catalogue and demonstration what is read."""

import tomllib
from pathlib import Path

ROOT = Path(__file__).parent.parent
READ = {".toml", ".csv", ".json", ".xlsx"}


def included() -> dict[Path, Path]:
    """File of the repository -> its place in the wheel, besides the package itself."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    wheel = project["tool"]["hatch"]["build"]["targets"]["wheel"]
    assert wheel["packages"] == ["recommender"]
    out = {}
    for source, target in wheel["force-include"].items():
        start = ROOT / source
        for file in [start] if start.is_file() else sorted(start.rglob("*")):
            if file.is_file():
                out[file] = Path(target) / file.relative_to(start)
    return out


def test_the_wheel_takes_every_file_that_is_read_and_no_generator() -> None:
    found = included()
    assert {file.suffix for file in found} <= READ
    for folder in ("catalogs", "demo"):
        there = {p for p in (ROOT / folder).rglob("*") if p.is_file() and p.suffix in READ}
        assert there <= set(found)


def test_each_file_stands_under_the_same_name_in_the_wheel() -> None:
    for file, target in included().items():
        assert target == Path("recommender/data") / file.relative_to(ROOT)
