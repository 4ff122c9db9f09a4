"""`find`: a second-hand or unlisted shock, judged against the bike."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from recommender.cli.exits import ANSWERED, NOTHING_FITS
from recommender.cli.inputs import AsJson, CatalogueDir, Files

if TYPE_CHECKING:
    from rich.console import RenderableType

    from recommender.advice.find import FindAccount


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(
        epilog="Example: recommender find bike.toml rider.toml --size 210x50 --mount eyelet "
        "--spring air --price 180 --fact head_eye_width_mm=13"
    )(find)


def find(
    files: Files = None,
    about: Annotated[
        Path | None,
        typer.Option("--about", metavar="FILE",
                     help="TOML with the find's facts in a table [find]."),
    ] = None,
    size: Annotated[
        str, typer.Option(metavar="SIZE", help="Length x stroke: 210x50, '8.5x2.5 in'.")
    ] = "",
    mount: Annotated[str, typer.Option(metavar="MOUNT", help="eyelet or trunnion.")] = "",
    spring: Annotated[str, typer.Option(metavar="KIND", help="air or coil.")] = "",
    price: Annotated[str, typer.Option(metavar="AMOUNT", help="What is asked for it.")] = "",
    new: Annotated[bool, typer.Option("--new", help="Never ridden: no service needed.")] = False,
    fact: Annotated[
        list[str] | None,
        typer.Option("--fact", metavar="NAME=VALUE", help="Any other fact, named as in shocks.csv. "
                     "Repeatable."),
    ] = None,
    years: Annotated[
        float | None,
        typer.Option(min=0.1, max=30, metavar="YEARS", help="Use assumed of a kept or used shock.",
                     show_default="the wishes', or 2"),
    ] = None,
    catalogue: CatalogueDir = None,
    as_json: AsJson = False,
) -> None:  # fmt: skip
    """Judges one shock that is in no catalogue: fits or not and why, hardware, cost per year."""
    from recommender.advice.find import find_of, judged
    from recommender.cli.open import open_case
    from recommender.cli.show import show

    raw = _document(about)
    raw |= _options(size, mount, spring, price, fact or [])
    if new:
        raw["used"] = "no"
    found = find_of(raw, str(about) if about else "the find")
    made = judged(open_case(files, catalogue), found, years)
    show(made, lambda: _screen(made), as_json)
    raise typer.Exit(NOTHING_FITS if made.state == "ruled out" else ANSWERED)


def _document(about: Path | None) -> dict[str, Any]:
    from recommender.catalogue.document import read_toml, top_tables
    from recommender.facts.problems import BadInput, Problem

    if about is None:
        return {}
    raw, _ = read_toml(about)
    tables, problems = top_tables(raw, ("find",), str(about))
    if "find" not in raw:
        problems.append(Problem(str(about), "a table [find] with the shock's facts is wanted"))
    if problems:
        raise BadInput(problems)
    return dict(tables["find"])


def _options(size: str, mount: str, spring: str, price: str, facts: list[str]) -> dict[str, Any]:
    from recommender.advice.asking import size_of
    from recommender.facts.problems import BadInput, Problem

    out: dict[str, Any] = {}
    problems = []
    if size:
        try:
            told = size_of(size)
            out |= {"length_mm": told["length_mm"], "stroke_mm": told.get("stroke_ceiling_mm", "")}
        except ValueError as error:
            problems.append(Problem("--size", str(error), value=size))
    out |= {
        name: value
        for name, value in (("head_mount", mount), ("spring_kind", spring), ("price", price))
        if value
    }
    for one in facts:
        name, mark, value = one.partition("=")
        if not mark:
            problems.append(Problem("--fact", "accepted: NAME=VALUE", value=one))
        out[name.strip()] = value.strip()
    if problems:
        raise BadInput(problems)
    return out


def _screen(made: "FindAccount") -> "RenderableType":
    from rich.console import Group

    from recommender.answer.numbers import UNKNOWN, money, whole
    from recommender.output.screen import bullets, heading, line, row, table
    from recommender.output.terminal import STATE_WORDS, doubts, parts_table, turned

    parts: list[RenderableType] = [heading(f"{made.shock}: {STATE_WORDS[made.state]}")]
    service = f"a service of {money(made.service_added, made.currency)}"
    counted = "is counted in" if made.asked != UNKNOWN else "comes on top"
    added = f"; {service} {counted}" if made.service_added else ""
    parts.append(line(f"Asked: {made.asked}{added}"))
    if made.turned is not None and made.bundle is None:
        parts.append(turned(made.turned))
    if made.bundle is not None:
        parts.append(heading("What to buy"))
        parts.append(parts_table(made.bundle, made.currency))
        if made.bundle.doubts:
            parts.append(heading("Not sure yet"))
            parts += doubts(made.bundle)
    if made.ways:
        numbers = ("cost", "years", "a year")
        ways = table(("way", "shock", *numbers), numbers)
        for way in made.ways:
            mark = {"fits": "", "open": " (?)"}.get(way.state, " (not as wished)")
            cost = f"{money(way.least, made.currency)} or more"
            yearly = "not known"
            if way.price is not None and way.per_year is not None:
                cost = whole(way.price, way.price_ends, made.currency)
                yearly = whole(way.per_year, way.per_year_ends, made.currency)
            row(ways, (way.what + mark, way.shock, cost, f"{way.years:g}", yearly))
        parts += [heading("Per year of use (years are assumed)"), ways]
    if made.inspection:
        parts.append(heading("Look at before paying"))
        parts += bullets(made.inspection)
    parts += [heading("Cautions"), *bullets(made.cautions)]
    return Group(*parts)
