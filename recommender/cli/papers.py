"""The commands for what a shop hands over, and for writing back what was measured."""

import math
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Annotated

import typer

from recommender.cli.inputs import AsJson, CatalogueDir, Files, again
from recommender.facts.problems import BadInput, Problem


def register(app: typer.Typer) -> None:
    """Adds the commands."""
    app.command(epilog="Example: recommender papers bike.toml rider.toml wishes.toml "
                "--shock VT-210x50-U -o papers --tax 19")(papers)  # fmt: skip
    app.command(epilog="Example: recommender fitted bike.toml --shock VT-210x50-U --head-kit "
                "EM-P-8x30 --shaft-kit from-shaft --spacers 0 --service L-VR-medium "
                "--sag-down 14.5 --sag-up 15.5 --gap 9 --eye-to-eye 158")(fitted)  # fmt: skip


def _day(text: str) -> date:
    try:
        return datetime.strptime(text, "%Y-%m-%d").date()
    except ValueError:
        message = f"{text[:80]!r}: accepted: a day such as 2026-12-31"
        raise typer.BadParameter(message) from None


def papers(
    files: Files = None,
    shock: Annotated[
        str,
        typer.Option(
            "--shock", metavar="SHOCK", help="Part number, or 'fitted'. Default: the first."
        ),
    ] = "",
    out: Annotated[
        Path, typer.Option("--out", "-o", metavar="FOLDER", help="Folder to write into.")
    ] = Path("papers"),
    catalogue: CatalogueDir = None,
    shop: Annotated[str, typer.Option(metavar="NAME", help="Name at the head of the papers.")] = "",
    tax: Annotated[
        float | None,
        typer.Option(
            min=0, max=100, metavar="PERCENT", help="Tax on the prices.", show_default="none"
        ),
    ] = None,
    on_top: Annotated[
        bool, typer.Option("--on-top", help="Prices are before tax: add it on top.")
    ] = False,
    valid: Annotated[
        int, typer.Option(min=1, max=365, metavar="DAYS", help="How long the quote stands.")
    ] = 14,
    day: Annotated[
        date | None,
        typer.Option(parser=_day, metavar="YYYY-MM-DD", help="Date. Default: today."),
    ] = None,
    replace: Annotated[
        bool, typer.Option("--replace", help="Write over papers that are there.")
    ] = False,
) -> None:
    """Customer quote, workshop job card, setup sheet and brief for the tuner, for one shock."""
    from recommender.cli.open import open_case
    from recommender.cli.outputs import check_apart, check_new, make_folder, tell_written
    from recommender.files.whole import write_together
    from recommender.output.papers.papers import Terms
    from recommender.output.papers.papers import papers as made

    case = open_case(files, catalogue)
    if not shock and not len(case.order):
        raise BadInput([Problem("the question", _NOTHING)])
    key = shock or case.order.firsts[0].name
    terms = Terms(day or datetime.now(UTC).date(), shop, valid, tax, not on_top)
    every = made(case, key, terms, again(None, catalogue))
    written = {out / name: text for name, text in every.items()}
    check_apart(written, files or [], catalogue)
    if not replace:
        check_new(written, "--replace writes over it, --out takes another folder")
    make_folder(out)
    write_together(written)
    tell_written(written)


_NOTHING = (
    "nothing fits, so there is nothing to hand over: `recommender give-up` tells which wishes "
    "stand in the way"
)


def _mm(text: str) -> float:
    try:
        if math.isfinite(length := float(text)):
            return length
        raise ValueError
    except ValueError:
        message = f"{text[:80]!r}: accepted: a plain number of mm, such as 14.5"
        raise typer.BadParameter(message) from None


def fitted(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="The TOML file that holds [bike].")],
    shock: Annotated[
        str, typer.Option(metavar="SHOCK", help="Part number of the shock that was fitted.")
    ] = "",
    head_kit: Annotated[
        str, typer.Option(metavar="KIT", help="Hardware at the shock's head: a part number, "
                     "'from-head' or 'from-shaft' of the shock that came off.")
    ] = "",
    shaft_kit: Annotated[
        str, typer.Option(metavar="KIT", help="The same at its shaft.")
    ] = "",
    spring: Annotated[
        str, typer.Option(metavar="SPRING", help="Coil: a part number, or 'kept'.")
    ] = "",
    spacers: Annotated[
        int | None, typer.Option(metavar="NUMBER", min=0, help="Volume spacers that are in it.")
    ] = None,
    service: Annotated[
        str, typer.Option(metavar="SERVICE", help="Revalve it got: a service number; 'plain': "
                     "serviced, tune unchanged.")
    ] = "",
    stroke: Annotated[
        float | None, typer.Option(metavar="MM", parser=_mm, help="Stroke it was set to.")
    ] = None,
    eye_turned: Annotated[
        bool, typer.Option("--eye-turned", help="Its shaft eye was turned.")
    ] = False,
    sag_down: Annotated[
        float | None, typer.Option(metavar="MM", parser=_mm,
                     help="Sag at the shaft, read settling down.")
    ] = None,
    sag_up: Annotated[
        float | None, typer.Option(metavar="MM", parser=_mm,
                     help="Sag at the shaft, read rising up.")
    ] = None,
    gap: Annotated[
        float | None, typer.Option(metavar="MM", parser=_mm,
                     help="Tyre to frame, bottomed with the air out.")
    ] = None,
    eye_to_eye: Annotated[
        float | None, typer.Option("--eye-to-eye", metavar="MM", parser=_mm,
                     help="Eye to eye at that moment.")
    ] = None,
    catalogue: CatalogueDir = None,
    as_json: AsJson = False,
) -> None:  # fmt: skip
    """Writes back into the bike's file what was fitted, and the sag and tyre gap measured after."""
    from rich.console import Group

    from recommender.advice.fitted import written_back
    from recommender.advice.readings import Measured
    from recommender.advice.told import WrittenBack
    from recommender.answer.records import PutIn
    from recommender.catalogue.catalogue import read_catalogue
    from recommender.cli.inputs import shipped
    from recommender.cli.outputs import tell_written
    from recommender.cli.show import show
    from recommender.files.whole import write_whole
    from recommender.output.screen import line

    measured = Measured(sag_down, sag_up, gap, eye_to_eye)
    parts = PutIn(
        shock=shock, head_kit=head_kit, shaft_kit=shaft_kit, spring=spring, spacers=spacers,
        service=service, stroke_mm=stroke, eye_turned=eye_turned,
    )  # fmt: skip
    read = read_catalogue(catalogue or shipped("catalogs"))
    text, told = written_back(file, parts, measured, read)
    write_whole(file, text)
    record = WrittenBack(file=str(file), told=tuple(told))
    show(record, lambda: Group(*(line(one) for one in told)), as_json)
    tell_written([file], as_json)
