"""`advise` and `brief`: the shock that is fitted, before anything is bought."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from recommender.cli.inputs import AsJson, CatalogueDir, Files

if TYPE_CHECKING:
    from rich.console import RenderableType

    from recommender.advice.advice import Advice
    from recommender.advice.brief import Brief

Complaint = Annotated[
    list[str] | None,
    typer.Option("--complaint", "-x", metavar="COMPLAINT", show_default=False,
                 help="What is wrong, such as 'bottoms out'. Repeatable. "
                 "Default: all that can be helped."),
]  # fmt: skip


def register(app: typer.Typer) -> None:
    """Add the commands."""
    app.command(epilog="Example: recommender advise bike.toml rider.toml -x 'bottoms out'")(advise)
    app.command(epilog="Example: recommender brief bike.toml rider.toml -x 'packs down'")(brief)


def _complaints(given: list[str] | None) -> list[str]:
    from recommender.advice.complaints import complaint
    from recommender.facts.problems import BadInput, Problem

    out: list[str] = []
    problems: list[Problem] = []
    for text in given or []:
        try:
            out.append(complaint(text))
        except BadInput as bad:
            problems.extend(bad.problems)
    if problems:
        raise BadInput(problems)
    return list(dict.fromkeys(out))


def advise(
    files: Files = None,
    complaint: Complaint = None,
    catalogue: CatalogueDir = None,
    as_json: AsJson = False,
) -> None:
    """What to change on the fitted shock for a complaint, in order, with this bike's figures."""
    from recommender.advice.advice import advice
    from recommender.advice.complaints import COMPLAINTS
    from recommender.cli.open import open_case
    from recommender.cli.show import show

    named = _complaints(complaint) or list(COMPLAINTS)
    made = advice(open_case(files, catalogue), named)
    show(made, lambda: _screen(made), as_json)


def brief(
    files: Files = None,
    complaint: Complaint = None,
    works: Annotated[str, typer.Option(metavar="TEXT", help="What works well.")] = "",
    where: Annotated[
        str, typer.Option(metavar="TEXT", help="Where on the trail it goes wrong.")
    ] = "",
    out: Annotated[
        Path | None,
        typer.Option("--out", "-o", metavar="FILE", help="Text file to write; a new one."),
    ] = None,
    catalogue: CatalogueDir = None,
    as_json: AsJson = False,
) -> None:
    """A written brief for the suspension tuner about the fitted shock."""
    from recommender.advice.brief import brief as make
    from recommender.cli.open import open_case
    from recommender.cli.outputs import check_new, tell_written
    from recommender.cli.show import show
    from recommender.files.whole import write_whole

    made = make(open_case(files, catalogue), _complaints(complaint), works, where)
    if out is None:
        show(made, lambda: _brief_screen(made), as_json)
        return
    check_new([out], "name another")
    write_whole(out, made.model_dump_json(indent=2) + "\n" if as_json else _text(made))
    tell_written([out])


def _screen(made: "Advice") -> "RenderableType":
    from itertools import groupby

    from rich.console import Group
    from rich.padding import Padding

    from recommender.advice.complaints import FIRST, ONE_CHANGE
    from recommender.output.screen import bullets, heading, line

    parts: list[RenderableType] = [heading(f"{made.bike}, {made.rider}: {made.shock}")]
    if made.missing:
        parts.append(line(f"No figures without the shock's: {', '.join(made.missing)}"))
    else:
        parts.append(line(f"Setting to start from: {made.now}"))
        parts += bullets(made.damping)
    for name, steps in made.complaints.items():
        parts.append(heading(name.capitalize()))
        for against, some in groupby(steps, lambda one: one.against):
            if against:
                parts.append(line("Not this, by the figures:"))
            for one in some:
                parts += bullets([one.step])
                if one.figures:
                    parts.append(Padding(line(one.figures, "italic"), (0, 0, 0, 6)))
    parts += [heading("Keep in mind"), *bullets([FIRST, ONE_CHANGE, *made.cautions])]
    return Group(*parts)


def _brief_screen(made: "Brief") -> "RenderableType":
    from rich.console import Group

    from recommender.output.screen import bullets, heading

    parts: list[RenderableType] = [heading("Brief for the tuner")]
    for name, texts in made.blocks.items():
        parts += [heading(name), *bullets(texts)]
    return Group(*parts)


def _text(made: "Brief") -> str:
    from recommender.output.screen import safe

    lines = ["BRIEF FOR THE TUNER", ""]
    for name, texts in made.blocks.items():
        lines += [name, *(f"  - {safe(text)}" for text in texts), ""]
    return "\n".join(lines)
