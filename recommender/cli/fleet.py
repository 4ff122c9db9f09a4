"""Commands about a fleet: plan, bikes, without, spares, rollout, charts."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from recommender.cli.inputs import AsJson, CatalogueDir, shipped
from recommender.cli.listing import Listing
from recommender.cli.show import show

if TYPE_CHECKING:
    from recommender.fleet.account import Fleet

File = Annotated[
    Path | None,
    typer.Argument(
        help="Fleet file, CSV or XLSX; models' and wishes' TOML files stand beside it. "
        "None: the demo's fleet.", show_default=False,
    ),
]  # fmt: skip
MappingFile = Annotated[
    Path | None, typer.Option("--mapping", "-m", help="TOML that tells what your columns mean.")
]
Budget = Annotated[float | None, typer.Option(help="The most that the whole plan may cost.")]
InStock = Annotated[bool, typer.Option("--in-stock", help="Order no more than suppliers have.")]
Suppliers = Annotated[int, typer.Option(min=0, help="Buy shocks from at least so many suppliers.")]
Share = Annotated[float | None, typer.Option(help="Largest share on one shock number, 0 to 1.")]
Builds = Annotated[int | None, typer.Option(min=1, help="Exactly so many distinct builds.")]
Keep = Annotated[bool, typer.Option("--keep", help="Keep every fitted shock that still works.")]
OnHand = Annotated[
    list[str] | None, typer.Option(help="Pieces you have: 'VS-210x50=3'. Repeatable.")
]
Point = Annotated[
    float, typer.Option(min=0, help="What one point of one bike's score is worth in money.")
]
Seconds = Annotated[float, typer.Option(min=1, help="Time for the proof; then the gap is told.")]

fleet = typer.Typer(
    cls=Listing,
    no_args_is_help=True, pretty_exceptions_enable=False,
    epilog="Example: recommender fleet plan fleet.csv",
    help="A fleet: the fewest parts that serve every bike, proved; spares and rollout.",
)  # fmt: skip


def register(app: typer.Typer) -> None:
    """Adds the commands."""
    app.add_typer(fleet, name="fleet")


@fleet.command(epilog="Example: recommender fleet plan fleet.csv --curve --page fleet.html")
def plan(
    file: File = None, catalogue: CatalogueDir = None, mapping: MappingFile = None,
    budget: Budget = None, in_stock: InStock = False, suppliers: Suppliers = 0,
    share: Share = None, builds: Builds = None, keep: Keep = False, on_hand: OnHand = None,
    point: Point = 20.0, seconds: Seconds = 60.0,
    curve: Annotated[
        bool, typer.Option("--curve", help="Also the best plan with 1, 2, 3, ... builds.")
    ] = False,
    page: Annotated[Path | None, typer.Option(help="Write an HTML page there.")] = None,
    as_json: AsJson = False,
) -> None:  # fmt: skip
    """The fewest builds and hardware kits that serve the most bikes, at the least cost."""
    from recommender.fleet.account import plan_record
    from recommender.output import fleet as screen

    _check_apart(page, file, mapping, catalogue)
    made = _open(
        file, catalogue, mapping, budget, in_stock, suppliers, share, builds, keep, on_hand, point,
        seconds,
    )  # fmt: skip
    record = plan_record(made, curve)
    if page is not None:
        from recommender.fleet.keeping import charts_record, spares_record
        from recommender.fleet.spares import Policy
        from recommender.output.files import write_whole
        from recommender.output.page_fleet import fleet_page

        write_whole(page, fleet_page(record, spares_record(made, Policy()), charts_record(made)))
    show(record, lambda: screen.plan(record), as_json)
    raise typer.Exit(0 if record.served else 1)


@fleet.command(epilog="Example: recommender fleet bikes 'guide 2' --file fleet.csv")
def bikes(
    names: Annotated[list[str], typer.Argument(help="Bikes, or rows of the fleet file.")],
    file: Annotated[Path | None, typer.Option(help="Fleet file. Default: the demo's.")] = None,
    catalogue: CatalogueDir = None, mapping: MappingFile = None, budget: Budget = None,
    in_stock: InStock = False, suppliers: Suppliers = 0, share: Share = None,
    builds: Builds = None, keep: Keep = False, on_hand: OnHand = None, point: Point = 20.0,
    seconds: Seconds = 60.0, as_json: AsJson = False,
) -> None:  # fmt: skip
    """Why a bike gets its build, what its own best would have been, or why nothing serves it."""
    from recommender.facts.problems import BadInput, Problem
    from recommender.facts.quantity import nearest
    from recommender.fleet.account import plan_record
    from recommender.output import fleet as screen

    made = _open(
        file, catalogue, mapping, budget, in_stock, suppliers, share, builds, keep, on_hand, point,
        seconds,
    )  # fmt: skip
    rows = [row for group in made.groups for row in group.rows]
    known = {row.name: row.names() for row in rows} | {n: [n] for row in rows for n in row.names()}
    unknown = [name for name in names if name not in known]
    if unknown:
        raise BadInput(
            Problem("the fleet", f"no such bike{nearest(name, list(known))}", value=name)
            for name in unknown
        )
    wanted = [bike for name in names for bike in known[name]]
    record = plan_record(made)
    some = record.model_copy(
        update={
            "bike_plans": tuple(one for one in record.bike_plans if one.bike in wanted),
            "unserved": tuple(one for one in record.unserved if set(one.bikes) & set(wanted)),
        }
    )
    show(some, lambda: screen.why(some, wanted), as_json)
    raise typer.Exit(1 if some.unserved else 0)


@fleet.command(epilog="Example: recommender fleet without VS-210x50 --file fleet.csv")
def without(
    part: Annotated[str, typer.Argument(help="A shock, kit, service or spring, or a build.")],
    file: Annotated[Path | None, typer.Option(help="Fleet file. Default: the demo's.")] = None,
    catalogue: CatalogueDir = None, mapping: MappingFile = None, budget: Budget = None,
    in_stock: InStock = False, suppliers: Suppliers = 0, share: Share = None,
    builds: Builds = None, keep: Keep = False, on_hand: OnHand = None, point: Point = 20.0,
    seconds: Seconds = 60.0, as_json: AsJson = False,
) -> None:  # fmt: skip
    """What breaks if a part is dropped: the best plan without it, beside the plan with it."""
    from recommender.fleet.dropped import drop_record
    from recommender.output import fleet as screen

    made = _open(
        file, catalogue, mapping, budget, in_stock, suppliers, share, builds, keep, on_hand, point,
        seconds,
    )  # fmt: skip
    record = drop_record(made, part)
    show(record, lambda: screen.dropped(record, made.currency), as_json)
    raise typer.Exit(1 if record.unserved else 0)


@fleet.command(epilog="Example: recommender fleet spares fleet.csv --level 0.98 --turnaround 14")
def spares(
    file: File = None, catalogue: CatalogueDir = None, mapping: MappingFile = None,
    level: Annotated[float, typer.Option(help="Service level, between 0 and 1.")] = 0.95,
    fill: Annotated[
        bool, typer.Option("--fill", help="The level is the share of demands met at once.")
    ] = False,
    failures: Annotated[float, typer.Option(help="Hours between failures of a shock.")] = 1500.0,
    services: Annotated[float, typer.Option(help="Hours between services of a shock.")] = 125.0,
    kits: Annotated[float, typer.Option(help="Hours that a hardware kit lasts.")] = 600.0,
    turnaround: Annotated[float, typer.Option(help="Days that a service takes.")] = 10.0,
    lead: Annotated[
        float | None, typer.Option(help="Days until a new unit is there. Default: the catalogue's.")
    ] = None,
    keep: Keep = False, on_hand: OnHand = None, point: Point = 20.0, seconds: Seconds = 60.0,
    as_json: AsJson = False,
) -> None:  # fmt: skip
    """The spares to keep for a level of service, before and after standardising."""
    from recommender.fleet.keeping import spares_record
    from recommender.fleet.spares import Policy
    from recommender.output import fleet as screen

    policy = Policy(
        level, "fill" if fill else "no stock-out", failures, services, kits, turnaround, lead
    )
    made = _open(file, catalogue, mapping, keep=keep, on_hand=on_hand, point=point, seconds=seconds)
    record = spares_record(made, policy)
    show(record, lambda: screen.spares(record), as_json)


@fleet.command(epilog="Example: recommender fleet rollout fleet.csv --yearly 2500 --out buy.xlsx")
def rollout(
    file: File = None, catalogue: CatalogueDir = None, mapping: MappingFile = None,
    yearly: Annotated[float | None, typer.Option(min=0, help="Budget of one year.")] = None,
    out: Annotated[
        Path | None, typer.Option(help="Write order list and change records there, XLSX.")
    ] = None,
    budget: Budget = None, in_stock: InStock = False, suppliers: Suppliers = 0,
    share: Share = None, builds: Builds = None, keep: Keep = False, on_hand: OnHand = None,
    point: Point = 20.0, seconds: Seconds = 60.0, as_json: AsJson = False,
) -> None:  # fmt: skip
    """Orders by supplier and the sequence of changes, failed and due bikes first."""
    from recommender.fleet.keeping import rollout_record
    from recommender.output import fleet as screen

    _check_apart(out, file, mapping, catalogue)
    made = _open(
        file, catalogue, mapping, budget, in_stock, suppliers, share, builds, keep, on_hand, point,
        seconds,
    )  # fmt: skip
    record = rollout_record(made, yearly)
    if out is not None:
        from recommender.output.files import write_whole
        from recommender.output.order_list import order_workbook

        write_whole(out, order_workbook(record))
    show(record, lambda: screen.rollout(record), as_json)


@fleet.command(epilog="Example: recommender fleet charts fleet.csv")
def charts(
    file: File = None, catalogue: CatalogueDir = None, mapping: MappingFile = None,
    keep: Keep = False, point: Point = 20.0, seconds: Seconds = 60.0, as_json: AsJson = False,
) -> None:  # fmt: skip
    """Pressure or spring by rider mass for each model, to print and hang on the wall."""
    from recommender.fleet.keeping import charts_record
    from recommender.output import fleet as screen

    record = charts_record(_open(file, catalogue, mapping, keep=keep, point=point, seconds=seconds))
    show(record, lambda: screen.charts(record), as_json)


def _open(
    file: Path | None, catalogue: Path | None, mapping: Path | None, budget: float | None = None,
    in_stock: bool = False, suppliers: int = 0, share: float | None = None,
    builds: int | None = None, keep: bool = False, on_hand: list[str] | None = None,
    point: float = 20.0, seconds: float = 60.0,
) -> "Fleet":  # fmt: skip
    """The fleet that the options name. Raises BadInput."""
    from recommender.catalogue.catalogue import read_catalogue
    from recommender.fleet.account import Fleet
    from recommender.fleet.groups import fold
    from recommender.fleet.reading import read_fleet
    from recommender.fleet.task import Limits

    limits = Limits(budget, in_stock, suppliers, share, builds, _pieces(on_hand or []))
    path = file or shipped("demo") / "fleet" / "fleet.csv"
    rows = read_fleet(path, mapping)
    read = read_catalogue(catalogue or shipped("catalogs"))
    return Fleet(fold(rows, path.parent, read), read, limits, point, keep, seconds)


def _check_apart(
    output: Path | None, file: Path | None, mapping: Path | None, catalogue: Path | None
) -> None:
    """BadInput for an output that is the fleet file, or a file that stands beside it to be read."""
    from recommender.cli.outputs import check_apart

    if output is not None:
        beside = () if file is None else file.parent.glob("*.toml")
        check_apart([output], [file, mapping, *beside], catalogue)


def _pieces(options: list[str]) -> dict[str, int]:
    from recommender.facts.problems import BadInput, Problem

    out: dict[str, int] = {}
    problems = []
    for option in options:
        name, _, number = option.rpartition("=")
        if not name or not number.strip().isdecimal() or len(number) > 6:
            message = "accepted: a part and a whole number, 'VS-210x50=3'"
            problems.append(Problem("--on-hand", message, value=option))
        else:
            out[name.strip()] = int(number)
    if problems:
        raise BadInput(problems)
    return out
