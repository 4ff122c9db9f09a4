"""Commands about a fleet: plan, bikes, without, spares, rollout, charts."""

from pathlib import Path
from typing import Annotated

import typer

from recommender.cli.inputs import AsJson
from recommender.cli.listing import Commands, Listing
from recommender.cli.planned import FileOption, Planned, planned
from recommender.cli.show import show

fleet = Commands(
    cls=Listing,
    no_args_is_help=True, pretty_exceptions_enable=False,
    epilog="Example: recommender fleet plan fleet.csv",
    help="A fleet: the fewest parts that serve every bike, proved; spares and rollout.",
)  # fmt: skip


def register(app: typer.Typer) -> None:
    """Adds the commands."""
    app.add_typer(fleet, name="fleet")


@fleet.command(epilog="Example: recommender fleet plan fleet.csv --curve --page fleet.html")
@planned
def plan(
    asked: Planned,
    curve: Annotated[
        bool, typer.Option("--curve", help="Also the best plan with 1, 2, 3, ... builds.")
    ] = False,
    page: Annotated[Path | None, typer.Option(metavar="FILE", help="HTML page to write.")] = None,
    as_json: AsJson = False,
) -> None:
    """The fewest builds and hardware kits that serve the most bikes, then at the least cost."""
    from recommender.cli.outputs import tell_written
    from recommender.fleet.account import plan_record
    from recommender.output import fleet as screen

    asked.check_apart(page)
    made = asked.fleet()
    record = plan_record(made, curve)
    if page is not None:
        from recommender.files.whole import write_whole
        from recommender.fleet.charts import charts_record
        from recommender.fleet.spare_parts import spares_record
        from recommender.fleet.spares import Policy
        from recommender.output.page_fleet import fleet_page

        write_whole(page, fleet_page(record, spares_record(made, Policy()), charts_record(made)))
    show(record, lambda: screen.plan(record), as_json)
    tell_written([page], as_json)
    raise typer.Exit(0 if record.served else 1)


@fleet.command(epilog="Example: recommender fleet bikes 'guide 2' --file fleet.csv")
@planned
def bikes(
    asked: Planned,
    names: Annotated[
        list[str], typer.Argument(metavar="BIKE", help="Bikes, or rows of the fleet file.")
    ],
    file: FileOption = None,
    as_json: AsJson = False,
) -> None:
    """Why a bike gets its build and what is best if planned alone, or why nothing serves it."""
    from recommender.facts.nearest import nearest
    from recommender.facts.problems import BadInput, Problem
    from recommender.fleet.account import cautions, plan_record
    from recommender.fleet.checked import of_bikes
    from recommender.output import fleet as screen

    made = asked.fleet()
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
            "cautions": cautions(made, of_bikes(made.checked, wanted)),
        }
    )
    show(some, lambda: screen.why(some, wanted), as_json)
    raise typer.Exit(1 if some.unserved else 0)


@fleet.command(epilog="Example: recommender fleet without VS-210x50 --file fleet.csv")
@planned
def without(
    asked: Planned,
    part: Annotated[
        str,
        typer.Argument(metavar="PART", help="A shock, kit, service or spring, or a build."),
    ],
    file: FileOption = None,
    as_json: AsJson = False,
) -> None:
    """What breaks if a part is dropped: the best plan without it, beside the plan with it."""
    from recommender.fleet.dropped import drop_record
    from recommender.output import fleet as screen

    made = asked.fleet()
    record = drop_record(made, part)
    show(record, lambda: screen.dropped(record, made.currency), as_json)
    raise typer.Exit(1 if record.unserved else 0)


@fleet.command(epilog="Example: recommender fleet spares fleet.csv --level 0.98 --turnaround 14")
@planned
def spares(
    asked: Planned,
    level: Annotated[
        float, typer.Option(metavar="SHARE", help="Service level, between 0 and 1.")
    ] = 0.95,
    fill: Annotated[
        bool, typer.Option("--fill", help="Count the level as the share of needs met at once.")
    ] = False,
    failures: Annotated[
        float, typer.Option(metavar="HOURS", help="Hours between failures of a shock.")
    ] = 1500.0,
    services: Annotated[
        float, typer.Option(metavar="HOURS", help="Hours between services of a shock.")
    ] = 125.0,
    kits: Annotated[
        float, typer.Option(metavar="HOURS", help="Hours that a hardware kit lasts.")
    ] = 600.0,
    turnaround: Annotated[
        float, typer.Option(metavar="DAYS", help="Days that a service keeps a shock away.")
    ] = 10.0,
    lead: Annotated[
        float | None,
        typer.Option(metavar="DAYS",
                     help="Days until a new unit is there. Default: the catalogue's."),
    ] = None,
    as_json: AsJson = False,
) -> None:  # fmt: skip
    """The spares to keep for a level of service, before and after standardising."""
    from recommender.fleet.spare_parts import spares_record
    from recommender.fleet.spares import Policy
    from recommender.output import fleet_care as screen

    policy = Policy(
        level, "fill" if fill else "no stock-out", failures, services, kits, turnaround, lead
    )
    record = spares_record(asked.fleet(), policy)
    show(record, lambda: screen.spares(record), as_json)


@fleet.command(epilog="Example: recommender fleet rollout fleet.csv --yearly 2500 --out buy.xlsx")
@planned
def rollout(
    asked: Planned,
    yearly: Annotated[
        float | None, typer.Option(min=0, metavar="AMOUNT", help="Budget of one year.")
    ] = None,
    out: Annotated[
        Path | None,
        typer.Option("--out", "-o", metavar="FILE",
                     help="XLSX to write: order list and change records."),
    ] = None,
    as_json: AsJson = False,
) -> None:  # fmt: skip
    """Orders by supplier and the sequence of changes, failed and due bikes first."""
    from recommender.cli.outputs import tell_written
    from recommender.fleet.rollout import rollout_record
    from recommender.output import fleet_care as screen

    asked.check_apart(out)
    record = rollout_record(asked.fleet(), yearly)
    if out is not None:
        from recommender.files.whole import write_whole
        from recommender.output.order_list import order_workbook

        write_whole(out, order_workbook(record))
    show(record, lambda: screen.rollout(record), as_json)
    tell_written([out], as_json)


@fleet.command(epilog="Example: recommender fleet charts fleet.csv")
@planned
def charts(asked: Planned, as_json: AsJson = False) -> None:
    """Pressure or spring by rider mass for each model, to print and hang on the wall."""
    from recommender.fleet.charts import charts_record
    from recommender.output import fleet_care as screen

    record = charts_record(asked.fleet())
    show(record, lambda: screen.charts(record), as_json)
