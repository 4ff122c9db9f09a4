"""Every reader of the project, taking the bytes of one file (or the text of one option).

A target may return, or raise the project's own error; it is whatever the command would do with the
file up to the answer, and in `answered` the answer too.
"""

import json
import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import numpy as np

from recommender.advice.asking import answered as with_answer
from recommender.advice.asking import bike_of, pending, size_of
from recommender.advice.complaints import complaint
from recommender.advice.find import find_of
from recommender.advice.fitted import written_back
from recommender.advice.questions import MODELS, QUESTIONS
from recommender.advice.readings import Measured
from recommender.advice.writing import toml_text
from recommender.answer.answer import Case, answer
from recommender.answer.records import PutIn
from recommender.catalogue.catalogue import Catalogue, read_catalogue
from recommender.catalogue.check import check_tables
from recommender.catalogue.document import canonical, read_toml, top_tables
from recommender.catalogue.foreign import read_choice, read_number, read_text
from recommender.catalogue.frames import read_frames
from recommender.catalogue.imports import import_rows
from recommender.catalogue.mapping import read_mapping
from recommender.catalogue.question import Question, read_question
from recommender.catalogue.read import read_table
from recommender.certificate.check import recheck
from recommender.certificate.read import read_certificate
from recommender.certificate.refused import Refused
from recommender.certify.certify import certify
from recommender.cli.open import _weights
from recommender.facts.fields import choice_of, numbers, text_of
from recommender.facts.problems import BadInput, Problem
from recommender.facts.tables import OPTIONAL, TABLES
from recommender.files.cells import guarded
from recommender.fitlist.bikes import read_bikes
from recommender.fitlist.fits import STATES
from recommender.fitlist.folder import MANIFEST, Made, opened
from recommender.fleet.groups import read_groups
from recommender.fleet.reading import FleetRow
from recommender.output.screen import safe
from recommender.ranking.weights import weighed
from tests.catalogue import build

_ROWS = (FleetRow, *(model for model, _ in (*TABLES.values(), *OPTIONAL.values())))
ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "demo"


@dataclass(frozen=True)
class Target:
    """A reader; the suffix of its file; sound inputs to start from."""

    name: str
    read: Callable[[Path, "Place"], None]
    suffix: str
    seeds: Sequence[bytes]
    share: float = 1.0
    """How often it is fed, set so that no slow reader takes most of the time."""


@dataclass(frozen=True)
class Place:
    """Where a run works: `inputs` holds the file that is read, `scratch` what may be written."""

    folder: Path

    @property
    def inputs(self) -> Path:
        return self.folder / "inputs"

    @property
    def scratch(self) -> Path:
        return self.folder / "scratch"

    @property
    def parts(self) -> Path:
        return self.folder / "parts"


@cache
def small_catalogue(folder: Path) -> Catalogue:
    """A small catalogue with two frames, read once."""
    frames = {
        one: (ROOT / "catalogs" / "frames" / f"{one}.toml").read_text(encoding="utf-8")
        for one in ("nevelstrand-ledda", "halvorine-essel")
    }
    frames["bench"] = (ROOT / "tests/scenarios/frames/bench.toml").read_text(encoding="utf-8")
    shocks = [
        build.shock("A"),
        build.shock("OPEN", length_mm=None),
        build.shock("LONG", length_mm=230),
        build.coil_shock("COIL"),
    ]
    build.write_catalogue(
        folder, shocks=shocks, kits=[build.kit(), build.kit("K2", width_mm=30)], frames=frames
    )
    return read_catalogue(folder)


def _question(path: Path, place: Place) -> None:
    read_question([path], small_catalogue(place.parts).frames, bike_wanted=False)


def _frame(path: Path, _: Place) -> None:
    read_frames(path.parent)


def _answered(path: Path, place: Place) -> None:
    read = small_catalogue(place.parts)
    question = read_question([path], read.frames)
    made = answer(Case(question, read), top=2, rejected=2)
    if odd := [one for one in _floats(made.model_dump()) if not math.isfinite(one)]:
        raise AssertionError(f"a figure that is no number reached the answer: {odd[0]}")


def _floats(value: object) -> Iterator[float]:
    if isinstance(value, float):
        yield value
    elif isinstance(value, Mapping):
        for one in value.values():
            yield from _floats(one)
    elif isinstance(value, list | tuple):
        for one in value:
            yield from _floats(one)


def _find(path: Path, _: Place) -> None:
    raw, _data = read_toml(path)
    tables, problems = top_tables(raw, ("find",), str(path))
    if "find" not in raw:
        problems.append(Problem(str(path), "no table [find]"))
    if problems:
        raise BadInput(problems)
    find_of(dict(tables["find"]), str(path))


def _fitted(path: Path, place: Place) -> None:
    read = small_catalogue(place.parts)
    put_in = PutIn(shock="A", shaft_kit="from-head", spacers=1)
    for parts, measured in ((PutIn(), Measured(15.0, 14.0, 9.0, 158.0)), (put_in, Measured())):
        text, _told = written_back(path, parts, measured, read)
        path.write_text(text, encoding="utf-8")


def _gone_on_with(path: Path, place: Place) -> None:
    """`ask --go-on`: the file as it is, an answer laid over it."""
    raw, data = read_toml(path)
    tables, problems = top_tables(raw, tuple(MODELS), str(path))
    for name, table in tables.items():
        problems += canonical(table, MODELS[name], name, str(path))[1]
    if problems:
        raise BadInput(problems)
    document, old = raw, data.decode("utf-8-sig")
    for question in QUESTIONS[::5]:
        try:
            document = with_answer(document, question, "30")
        except ValueError:
            continue
        bike_of(document)
        list(pending(document, {}))
    toml_text(document, old)


def _said(path: Path, _: Place) -> None:
    """What is typed: an answer to each question, a size, a weight, a complaint."""
    text = path.read_bytes().decode("utf-8", "replace")
    number, _, text = text.partition("=")
    question = QUESTIONS[sum(map(ord, number)) % len(QUESTIONS)]
    for take in (lambda: toml_text(with_answer({}, question, text)), lambda: size_of(text)):
        try:
            take()
        except ValueError:
            continue
    for told in (lambda: complaint(text), lambda: weighed(_plain().wishes, _weights([text]))):
        try:
            told()
        except BadInput:
            continue
    if any(not c.isprintable() for c in safe(text)) or guarded(text)[:1] == "=":
        raise AssertionError("a text that a terminal or a spreadsheet would obey")


def _cell(path: Path, _: Place) -> None:
    """One cell of a foreign table, for some field of some table."""
    text = path.read_bytes().decode("utf-8", "replace")
    code = sum(map(ord, text[:4])) + len(text)
    model = _ROWS[code % len(_ROWS)]
    name = list(model.model_fields)[code // 7 % len(model.model_fields)]
    info, cell = model.model_fields[name], text[1:].strip()
    number, choice = numbers(model).get(name), choice_of(info)
    if number is not None:
        got = read_number(cell, number, ",."[code % 2], "", (None, None, 1, 2)[code % 4])
    elif choice is not None:
        got = read_choice(cell, choice, {"s": "yes"})
    else:
        got = read_text(cell, text_of(info), {}, code % 2 == 0)
    if got.text and number is not None:
        again = number.parse(got.text)
        if not number.low <= again.low <= again.high <= number.high:
            raise AssertionError(f"a number out of bounds was taken: {got.text}")
    if got.text and guarded(got.text) != got.text:
        raise AssertionError(f"a formula was taken: {got.text!r}")


@cache
def _plain() -> Question:
    return read_question([DEMO / "wishes.toml"], {}, bike_wanted=False)


def _table(name: str) -> Callable[[Path, Place], None]:
    def read(path: Path, _: Place) -> None:
        table = read_table(path, name)
        problems = check_tables({name: table})
        if problems:
            raise BadInput(problems)
        for column in table.columns.values():
            low = getattr(column, "low", None)
            if low is not None and not np.isfinite(low).all():
                raise AssertionError("a number that is none reached a column")

    return read


def _mapping(path: Path, _: Place) -> None:
    told = read_mapping(path)
    if told.source.file and told.source.file not in ("stock.csv", "drawer.xlsx"):
        with suppress(BadInput):
            told.grid()
    file = DEMO / "shop" / ("drawer.xlsx" if told.source.table == "kits" else "stock.csv")
    made = import_rows(told, told.grid(file))
    made.accepted_csv(), made.rejected_csv()


def _import(mapping: str) -> Callable[[Path, Place], None]:
    def read(path: Path, place: Place) -> None:
        told = _told(mapping)
        loose = replace(told, source=told.source.model_copy(update={"encoding": "", "sheet": ""}))
        made = import_rows(loose, loose.grid(path))
        for text in (made.accepted_csv(), made.rejected_csv()):
            text.encode("utf-8")
        for row in made.accepted:
            for cell in row.values():
                if guarded(cell) != cell:
                    raise AssertionError(f"a formula was accepted: {cell!r}")

    return read


@cache
def _told(mapping: str):  # type: ignore[no-untyped-def]
    return read_mapping(DEMO / "shop" / mapping)


def _fleet(path: Path, place: Place) -> None:
    read_groups(path, small_catalogue(place.parts))


def _fleet_mapping(path: Path, place: Place) -> None:
    read_groups(place.parts / "own.csv", small_catalogue(place.parts), path)


OWN_FLEET = b'Type,How many,Riders,State\nbench,2,55 to 95,dead\nnevelstrand-ledda,1,"80,5",fine\n'


def _bikes(path: Path, place: Place) -> None:
    read_bikes(path, small_catalogue(place.parts).frames)


def _manifest(path: Path, place: Place) -> None:
    """A fit list's folder, gone on with by the manifest that stands there."""
    folder = place.scratch / "list"
    folder.mkdir(exist_ok=True)
    (folder / MANIFEST).write_bytes(path.read_bytes())
    with opened(folder, {"question": "a"}, STATES, {"0001.csv": {"A"}}) as one:
        one.add("0001.csv", Made(sha256="0", counts={"A": [0] * len(STATES)}))


def _certificate(path: Path, place: Place) -> None:
    made = read_certificate(path)
    question, read, sound = certified(place)
    same = {
        "catalogue_digest": sound.catalogue_digest,
        "question_digest": sound.question_digest,
        "rules_digest": sound.rules_digest,
    }
    try:
        recheck(made.model_copy(update=same).sealed(), question, read, sound.criteria)
    except Refused:
        return


@cache
def certified(place: Place):  # type: ignore[no-untyped-def]
    """A question, a catalogue and the certificate of the answer."""
    read = small_catalogue(place.parts)
    path = place.parts / "question.toml"
    path.write_bytes(ASKED)
    question = read_question([path], read.frames)
    return question, read, certify(Case(question, read))


BIKES = (
    b"bike,frame,mount,sizes,head.gap_mm,head.bolt_mm,allows.coil\nB-1,bench,,,,,\n"
    b"B-2,,eyelet,210 x 52.5; 210 x 55,30,8,yes\n"
)


def _listed() -> bytes:
    told = {"made_of": {"question": "a"}, "states": list(STATES), "parts_in_all": 1,
            "parts": {"0001.csv": {"sha256": "0", "counts": {"A": [0] * len(STATES)}}}}  # fmt: skip
    return json.dumps(told).encode()


ASKED = (
    b'[bike]\nframe = "bench"\n[rider]\nmass_with_kit_kg = 80\n[wishes]\nbudget = { must = 900 }\n'
)


def prepared(folder: Path) -> Place:
    """The folders of a run, made and filled."""
    place = Place(folder)
    for one in (place.inputs, place.scratch, place.parts):
        one.mkdir(parents=True, exist_ok=True)
    small_catalogue(place.parts)
    (place.parts / "own.csv").write_bytes(OWN_FLEET)
    return place


def _lines(path: Path, most: int) -> bytes:
    return b"\n".join(path.read_bytes().splitlines()[:most]) + b"\n"


def _small(name: str, key: str, rows: Sequence[Mapping[str, object]]) -> bytes:
    return build.csv_text(rows, key).encode()


def targets(place: Place) -> list[Target]:
    """All readers with their seeds."""
    tomls = [
        p.read_bytes() for p in sorted(DEMO.rglob("*.toml")) if b"[import]" not in p.read_bytes()
    ]
    questions = [
        one for one in tomls if b"[bike]" in one or b"[wishes]" in one or b"[rider]" in one
    ]
    whole = b"\n".join((DEMO / f"{name}.toml").read_bytes() for name in ("bike", "rider", "wishes"))
    frames = [
        (ROOT / "tests/scenarios/frames/bench.toml").read_bytes(),
        (ROOT / "catalogs/frames/nevelstrand-ledda.toml").read_bytes(),
    ]
    find = (
        b'[find]\nlength_mm = 210\nstroke_mm = 50\nhead_mount = "eyelet"\nspring_kind = "air"\n'
        b'price = 180\nhead_eye_width_mm = "12.7 +/- 0.2"\n'
    )
    shop, fleet = DEMO / "shop", DEMO / "fleet"
    mapping = (
        b'[fleet]\ndecimal = ","\n[columns]\nmodel = "Type"\ncount = "How many"\n'
        b'rider_mass_with_kit_kg = { from = "Riders", unit = "kg" }\n'
        b'condition = { from = "State", words = { dead = "broken", fine = "good" } }\n'
    )
    own = (b"bike,model,count,rider_mass_with_kit_kg,condition,due\n"
           b"A,bench,2,55 to 90,good,2027-03-15\n")
    out = [
        Target("question", _question, ".toml", [*questions, whole], 8),
        Target("frame", _frame, ".toml", frames, 4),
        Target("answered", _answered, ".toml", [ASKED, whole.replace(b"ML-210x50", b"A")], 0.02),
        Target("find", _find, ".toml", [find], 8),
        Target("fitted", _fitted, ".toml", [ASKED, *tomls[:4]], 1),
        Target("gone on with", _gone_on_with, ".toml", [ASKED, whole], 1),
        Target("bikes csv", _bikes, ".csv", [BIKES], 2),
        Target("manifest", _manifest, ".json", [_listed()], 1),
        Target(
            "cell",
            _cell,
            ".txt",
            [
                b"a1.234,50 EUR",
                b"b8.5 x 2.5 in",
                b"c12,7 +/- 0,2",
                b"d349,-",
                b"eyes",
                b"f10 to 15",
            ],
            40,
        ),
        Target(
            "said",
            _said,
            ".txt",
            [
                b"a=210 x 55",
                b"b=8.5x2.5 in",
                b"c=22.2 +/- 0.2",
                b"d=price=2",
                b"e=bottoms out",
                b"f=2.9 to 2.3",
            ],
            10,
        ),
        Target(
            "mapping",
            _mapping,
            ".toml",
            [(shop / "stock.toml").read_bytes(), (shop / "drawer.toml").read_bytes()],
            0.6,
        ),
        Target("import csv", _import("stock.toml"), ".csv", [_lines(shop / "stock.csv", 9)], 0.6),
        Target(
            "import xlsx",
            _import("drawer.toml"),
            ".xlsx",
            [(shop / "drawer.xlsx").read_bytes()],
            0.15,
        ),
        Target("fleet csv", _fleet, ".csv", [(fleet / "fleet.csv").read_bytes(), own], 5),
        Target("fleet mapping", _fleet_mapping, ".toml", [mapping], 8),
        Target(
            "certificate",
            _certificate,
            ".json",
            [certified(place)[2].model_dump_json(indent=1).encode()],
            0.4,
        ),
    ]
    for name in (*TABLES, *OPTIONAL):
        rows = 3 if name in ("shocks", "kits") else 60
        seeds = [_lines(ROOT / "catalogs" / f"{name}.csv", rows)]
        if name == "shocks":
            # Few columns: more of the inputs then spoil a cell that matters.
            seeds.append(
                b"part_number,length_mm,stroke_mm,stroke_settings_mm,price,currency\n"
                b'A,210,50,47.5;50,300,EUR\nB,8.5 in,55 +/- 1,,"1,2",\n'
            )
        out.append(Target(f"table {name}", _table(name), ".csv", seeds, 0.6))
    return out
