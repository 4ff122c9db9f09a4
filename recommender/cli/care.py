"""Care for a catalogue: doubts in it, its open description, and what another version changes."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from recommender.cli.inputs import AsJson, QuestionFiles

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rich.console import RenderableType

    from recommender.advice.outcome import Outcome, Place
    from recommender.catalogue.compare import TableChange
    from recommender.facts.problems import Problem

Folder = Annotated[Path, typer.Argument(metavar="FOLDER", help="Folder of the catalogue.")]
SHOWN = 20


def register(app: typer.Typer) -> None:
    """Add the commands."""
    app.command(epilog="Example: recommender doubts my-catalogue")(doubts)
    app.command(epilog="Example: recommender describe my-catalogue")(describe)
    app.command(
        epilog="Example: recommender changes last-year this-year -q bike.toml -q rider.toml"
    )(changes)


def doubts(folder: Folder, as_json: AsJson = False) -> None:
    """Checks a catalogue, then tells what looks wrong in it: near twins, unlikely combinations."""
    from recommender.advice.told import doubts_record
    from recommender.catalogue.catalogue import read_catalogue
    from recommender.catalogue.doubts import doubts as found
    from recommender.cli.show import show

    told = found(read_catalogue(folder))
    show(doubts_record(told), lambda: _doubts(told), as_json)


def describe(
    folder: Folder,
    show: Annotated[bool, typer.Option("--show", help="Print it; write nothing.")] = False,
) -> None:
    """Writes datapackage.json: the open description (Table Schema) of the catalogue's tables."""
    import json

    from recommender.catalogue.schema import FILE, datapackage, write_datapackage
    from recommender.cli.outputs import tell_written

    if show:
        print(json.dumps(datapackage(folder), indent=2, ensure_ascii=False))
        return
    write_datapackage(folder)
    tell_written([folder / FILE])


def changes(
    old: Annotated[Path, typer.Argument(metavar="OLD", help="Folder of the older version.")],
    new: Annotated[Path, typer.Argument(metavar="NEW", help="Folder of the newer version.")],
    question: QuestionFiles = None,
    as_json: AsJson = False,
) -> None:
    """What changed from one version of a catalogue to another, and which answers change with it."""
    from recommender.advice.outcome import outcome
    from recommender.advice.told import changes_record
    from recommender.catalogue.compare import compare
    from recommender.cli.open import open_case
    from recommender.cli.show import show

    cases = [open_case(question, folder) for folder in (old, new)]
    changed = compare(cases[0].catalogue, cases[1].catalogue)
    made = outcome(cases[0].question.bike.name, cases[0], cases[1])
    show(changes_record(changed, made), lambda: _screen(changed, made), as_json)


def _doubts(told: "Sequence[Problem]") -> "RenderableType":
    from rich.console import Group

    from recommender.output.screen import line

    count = "1 doubt" if len(told) == 1 else f"{len(told) or 'no'} doubts"
    return Group(*(line(one) for one in told), line(f"No error found; {count}."))


def _screen(changed: "tuple[TableChange, ...]", made: "Outcome") -> "RenderableType":
    from rich.console import Group

    from recommender.answer.numbers import money
    from recommender.catalogue.compare import capped
    from recommender.output.screen import bullets, heading, line

    parts: list[RenderableType] = []
    for table, told, left in capped(changed, SHOWN):
        parts += [heading(table), *bullets(told)]
        if left:
            parts.append(line(f"  and {left} more"))
    if not changed:
        parts.append(line("The two catalogues hold the same."))
    parts.append(heading(f"The answer for {made.question}"))
    if not made.changes:
        parts.append(line("does not change."))
        return Group(*parts)

    def figures(one: "Place") -> str:
        return f"{money(one.price, made.currency)}, {one.points:.2f} points"

    if made.first_old.shock != made.first_new.shock:
        old, new = (
            f"{one.shock} ({figures(one)})" if one.shock else "nothing"
            for one in (made.first_old, made.first_new)
        )
        parts += bullets([f"first: {old} -> {new}"])
    parts += bullets(f"{one.shock}: {one.old or 'not there'} -> {one.new or 'not there'}"
                     for one in made.states)  # fmt: skip
    parts += bullets(
        f"{one.shock}: place {one.old_place}, {figures(one.old)} -> "
        f"place {one.new_place}, {figures(one.new)}"
        for one in made.moves[:SHOWN]
    )
    if len(made.moves) > SHOWN:
        parts.append(line(f"  and {len(made.moves) - SHOWN} more"))
    return Group(*parts)
