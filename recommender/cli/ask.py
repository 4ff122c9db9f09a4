"""`ask` makes a question's file, `sheet` the paper to measure with."""

import shlex
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from recommender.cli.inputs import CatalogueDir
from recommender.facts.problems import BadInput, Problem

if TYPE_CHECKING:
    from collections.abc import Mapping

    from recommender.advice.asking import Document
    from recommender.advice.questions import Question

HELP = "Commands: 'back' to the question before, 'stop' to keep what there is; Enter: don't know."


def register(app: typer.Typer) -> None:
    """Add the commands."""
    app.command(
        epilog="Example: recommender ask mine.toml --answer size='210 x 55' --answer mass=185lb"
    )(ask)
    app.command(epilog="Example: recommender sheet --out sheet.txt")(sheet)


def sheet(
    out: Annotated[
        Path | None, typer.Option("--out", "-o", metavar="FILE", help="Text file to write.")
    ] = None,
    html: Annotated[
        Path | None,
        typer.Option("--html", metavar="FILE", help="HTML file to write, for A4 and Letter."),
    ] = None,
    replace: Annotated[
        bool, typer.Option("--replace", help="Write over a file that is there.")
    ] = False,
) -> None:
    """A sheet to print and fill in at the bike: what to measure, how, and what to photograph."""
    from recommender.advice.sheet import measuring_sheet
    from recommender.cli.outputs import check_new, tell_written
    from recommender.files.whole import write_whole

    text = measuring_sheet()
    outputs = [path for path in (out, html) if path is not None]
    if not outputs:
        print(text)
        return
    if not replace:
        check_new(outputs, "--replace writes over it")
    if out is not None:
        write_whole(out, text)
    if html is not None:
        from recommender.output.papers.measuring import sheet_page

        write_whole(html, sheet_page())
    tell_written(outputs)


def ask(
    file: Annotated[
        Path, typer.Argument(metavar="FILE", help="The file to make, or to go on with.")
    ],
    answer: Annotated[
        list[str] | None,
        typer.Option("--answer", "-a", metavar="QUESTION=TEXT", help="An answer. Repeatable."),
    ] = None,
    go_on: Annotated[
        bool, typer.Option("--go-on", help="Add to the file without asking first.")
    ] = False,
    questions: Annotated[
        bool, typer.Option("--questions", help="List the questions; ask nothing.")
    ] = False,
    only_options: Annotated[
        bool, typer.Option("--only-options", help="Ask nothing: take the --answer options alone.")
    ] = False,
    catalogue: CatalogueDir = None,
) -> None:
    """Questions in a workshop's order that make a file of bike, rider and wishes.

    Everything may be left unknown; a file half done is gone on with. Units as you write them:
    '7.5 in', '185lb', '22.2 x 8', '200 psi', '22.2 +/- 0.2'.
    """
    from recommender.catalogue.catalogue import read_catalogue
    from recommender.cli.inputs import shipped

    if questions:
        _list_questions()
        return
    talks = sys.stdin.isatty() and sys.stdout.isatty() and not only_options
    if not (talks or answer or only_options):
        raise BadInput([Problem("ask", _NO_TERMINAL)])
    frames = read_catalogue(catalogue or shipped("catalogs")).frames
    document, old = _begin(file, go_on, talks)
    document = _with_options(document, answer or [], frames)
    if talks:
        document = _talk(document, frames)
    _save(file, document, old)
    _tell(file, document, frames)


_NO_TERMINAL = (
    "questions are put at a terminal, and this is none: give each answer with "
    "--answer QUESTION=TEXT; --questions lists them"
)


def _list_questions() -> None:
    from recommender.advice.questions import QUESTIONS
    from recommender.answer.cautions import OPENING
    from recommender.output.screen import bullets, line, put

    put(line(OPENING))
    for one in QUESTIONS:
        told = f" ({'; '.join(one.words)})" if one.words else ""
        put(line(f"{one.name}: {one.ask}{told}"))
        for how in bullets([one.how] if one.how else []):
            put(how)


def _begin(file: Path, go_on: bool, talks: bool) -> "tuple[Document, str]":
    """The answers the file holds, and its text; asked for before it is added to."""
    from recommender.advice.questions import MODELS
    from recommender.catalogue.document import canonical, read_toml, top_tables

    if not file.exists():
        return {}, ""
    raw, data = read_toml(file)
    tables, problems = top_tables(raw, tuple(MODELS), str(file))
    for name, table in tables.items():
        problems += canonical(table, MODELS[name], name, str(file))[1]
    if problems:
        raise BadInput(problems)
    if not go_on and not (talks and typer.confirm(f"{file} is there already. Go on with it?")):
        message = "this file is there already: --go-on adds answers to it"
        raise BadInput([Problem(str(file), message)])
    return raw, data.decode("utf-8-sig")


def _with_options(
    document: "Document", options: list[str], frames: "Mapping[str, Any]"
) -> "Document":
    from recommender.advice.asking import answered
    from recommender.advice.questions import BY_NAME
    from recommender.facts.nearest import nearest

    problems = []
    for option in options:
        name, mark, text = option.partition("=")
        question = BY_NAME.get(name.strip())
        if question is None or not mark:
            message = f"accepted: QUESTION=TEXT; --questions lists them{nearest(name, [*BY_NAME])}"
            problems.append(Problem("--answer", message, value=option))
            continue
        try:
            _check_frame(question.name, text, frames)
            document = answered(document, question, text)
        except ValueError as error:
            problems.append(Problem("--answer", str(error), column=name.strip(), value=text))
    if problems:
        raise BadInput(problems)
    return document


def _check_frame(name: str, text: str, frames: "Mapping[str, Any]") -> None:
    from recommender.advice.asking import DONT_KNOW
    from recommender.facts.nearest import nearest

    if name == "frame" and text.strip() not in frames and text.strip().lower() not in DONT_KNOW:
        raise ValueError(f"no frame of the catalogue has this id{nearest(text[:80], [*frames])}")


def _facts_of(document: "Document", frames: "Mapping[str, Any]") -> "Mapping[str, Any]":
    bike = document.get("bike", {})
    frame = frames.get(str(bike.get("frame", ""))) if isinstance(bike, dict) else None
    return frame.facts if frame else {}


def _talk(document: "Document", frames: "Mapping[str, Any]") -> "Document":
    """Ask until nothing is pending; what is answered is kept at 'stop', Ctrl-C and end of input."""
    from recommender.advice.asking import pending
    from recommender.answer.cautions import OPENING

    print(f"{OPENING}\n{HELP}")
    before: list[Document] = []
    said: set[str] = set()
    while True:
        question = next(pending(document, _facts_of(document, frames)), None)
        if question is None:
            return document
        try:
            got = _one(document, question, frames)
        except (typer.Abort, EOFError, KeyboardInterrupt):
            print()
            return document
        if got == "stop":
            return document
        if got == "back":
            document = before.pop() if before else document
        elif isinstance(got, dict):
            before.append(document)
            document = got
            _remark(document, frames, said)


def _one(
    document: "Document", question: "Question", frames: "Mapping[str, Any]"
) -> "Document | str":
    """One answer, asked again until it is understood."""
    from recommender.advice.asking import answered
    from recommender.output.screen import safe

    told = f" ({'; '.join(question.words)})" if question.words else ""
    if question.how:
        print(f"\n  {question.how}")
    while True:
        text = str(typer.prompt(f"{question.ask}{told}", default="", show_default=False))
        if text.strip().lower() in ("stop", "back"):
            return text.strip().lower()
        try:
            _check_frame(question.name, text, frames)
            return answered(document, question, text)
        except ValueError as error:
            print(f"  {safe(str(error))}")


def _remark(document: "Document", frames: "Mapping[str, Any]", said: set[str]) -> None:
    for text in _remarks(document, frames):
        if text not in said:
            said.add(text)
            print(f"  > {text}")


def _remarks(document: "Document", frames: "Mapping[str, Any]") -> tuple[str, ...]:
    from recommender.advice.asking import bike_of
    from recommender.advice.sanity import remarks
    from recommender.facts.fields import numbers
    from recommender.facts.rider import Rider

    bike, problems = bike_of(document, _facts_of(document, frames))
    raw = document.get("rider", {})
    mass = next(((v, k) for k, v in raw.items() if k == "mass_with_kit_kg"), None)
    quantity = numbers(Rider)["mass_with_kit_kg"].parse(mass[0]) if mass else None
    return remarks(bike, quantity) if bike else problems


def _save(file: Path, document: "Document", old: str) -> None:
    from recommender.advice.writing import NOT_LAID, NotLaid, toml_text
    from recommender.files.whole import write_whole

    if not document:
        return
    try:
        text = toml_text(document, old)
    except NotLaid:
        raise BadInput([Problem(str(file), NOT_LAID)]) from None
    write_whole(file, text)


def _tell(file: Path, document: "Document", frames: "Mapping[str, Any]") -> None:
    from recommender.advice.asking import pending
    from recommender.cli.outputs import tell_written
    from recommender.output.screen import bullets, line, put

    if not document:
        put(line("Nothing was answered, so nothing was written."))
        return
    left = [one.name for one in pending(document, _facts_of(document, frames))]
    tell_written([file])
    for remark in bullets(_remarks(document, frames)):
        put(remark)
    if left:
        put(line(f"Not answered yet: {', '.join(left)}"))
    put(line(f"Next: recommender shortlist {shlex.quote(str(file))}"))
