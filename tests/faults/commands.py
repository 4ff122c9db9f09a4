"""Every command that writes, on a question small enough to be answered in a moment."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

from tests.catalogue import build
from tests.scenarios.scenario import TUNE_CLASSES

ROOT = Path(__file__).resolve().parents[2]
BENCH = (ROOT / "tests/scenarios/frames/bench.toml").read_text(encoding="utf-8")
QUESTION = '[bike]\nframe = "bench"\n[rider]\nmass_with_kit_kg = 80\n'
STOCK = """[import]
table = "kits"
file = "stock.csv"
[columns]
part_number = "No"
width_mm = "W"
"""
FLEET = "bike,model,count,rider_mass_with_kit_kg\nA,bench,2,60 to 90\n"


@dataclass(frozen=True)
class Command:
    """Its arguments, the files it writes, and what shows that a text is the whole of one."""

    arguments: list[str]
    outputs: list[Path]
    whole: Callable[[Path], bool]


def prepared(folder: Path) -> Mapping[str, Command]:
    """The commands, their inputs written into `folder`, outputs wanted in `folder`/out."""
    parts = build.write_catalogue(
        folder / "parts", shocks=[build.shock("A"), build.shock("B", length_mm=230)],
        services=[], springs=[], tune_classes=TUNE_CLASSES, frames={"bench": BENCH},
    )  # fmt: skip
    for name, text in (("question.toml", QUESTION), ("stock.toml", STOCK), ("fleet.csv", FLEET),
                       ("stock.csv", "No,W\nK1,22\n" + "K2,wide\n" * 40)):  # fmt: skip
        (folder / name).write_text(text, encoding="utf-8")
    out = folder / "out"
    out.mkdir(exist_ok=True)
    question, using = str(folder / "question.toml"), ["-c", str(parts)]
    fleet = ["fleet", "plan", str(folder / "fleet.csv"), *using, "--seconds", "5"]
    html, cert = out / "answer.html", out / "answer.json"
    papers = [out / f"{name}.html" for name in ("job-card", "setup-sheet", "tuner-brief", "quote")]
    return {
        "page": Command(["page", question, *using, "--full", "0", "--rejected", "0", "--top", "1",
                         "-o", str(html)], [html], _html),
        "papers": Command(["papers", question, *using, "--shock", "A", "-o", str(out), "--replace"],
                          papers, _html),
        "import": Command(["import-stock", str(folder / "stock.toml"), "--replace", "--accept",
                           "-o", str(out)],
                          [out / "kits.csv", out / "kits-rejected.csv"], _ended),
        "ask": Command(["ask", str(out / "bike.toml"), "--go-on", "--only-options", "-a",
                        "mass=81", "-a", f"name={'x' * 190}", *using], [out / "bike.toml"], _ended),
        "certify": Command(["certify", "-o", str(cert), question, *using], [cert], _json),
        "fleet page": Command([*fleet, "--page", str(html)], [html], _html),
        "fleet orders": Command(["fleet", "rollout", *fleet[2:], "--out", str(out / "buy.xlsx")],
                                [out / "buy.xlsx"], _workbook),
    }  # fmt: skip


def _html(path: Path) -> bool:
    return path.read_text(encoding="utf-8").rstrip().endswith("</html>")


def _ended(path: Path) -> bool:
    return path.read_bytes().endswith(b"\n")


def _json(path: Path) -> bool:
    return path.read_text(encoding="utf-8").endswith("}\n")


def _workbook(path: Path) -> bool:
    import openpyxl

    return bool(openpyxl.load_workbook(path).sheetnames)
