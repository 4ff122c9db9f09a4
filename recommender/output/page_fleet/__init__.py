"""The fleet's page: one HTML file that needs nothing else, offline and on paper."""

from collections.abc import Iterable
from pathlib import Path

from recommender.answer.numbers import number, span, whole
from recommender.fleet.plan import letter
from recommender.fleet.records import BikeRecord, ChartsRecord, PlanRecord, SparesRecord
from recommender.output.bikes import ranged
from recommender.output.fleet import ends, proof, stage_name, together
from recommender.output.html import policy, sheet
from recommender.output.page_fleet.plot import curve_plot
from recommender.output.page_fleet.wall import sheets
from recommender.output.screen import INVENTED

_FOLDER = Path(__file__).resolve().parent


def fleet_page(plan: PlanRecord, spares: SparesRecord, charts: ChartsRecord) -> str:
    """The page: bikes against builds, the trade-off curve, the spares and the wall charts.

    Every text of data is escaped by the template; the page runs no script and asks for nothing.
    """
    import jinja2

    environment = jinja2.Environment(
        loader=jinja2.FileSystemLoader(_FOLDER), autoescape=True, trim_blocks=True,
        lstrip_blocks=True, undefined=jinja2.StrictUndefined,
    )  # fmt: skip
    css = sheet("recommender.output.page_fleet", "sheet.css")
    return environment.get_template("page.html.jinja").render(
        plan=plan, spares=spares, css=css, policy=policy("", css), ranged=ranged,
        marks={one.name: letter(k) for k, one in enumerate(plan.builds)},
        taking=_taking(plan.bike_plans), rows=together(plan.bike_plans), plot=curve_plot(plan),
        sheets=sheets(plan, charts), invented=INVENTED, proof=proof(plan),
        number=number, whole=whole, each=lambda one: span(*ends(one), "cents"),
        stage_name=lambda name: stage_name(plan, name, f", {plan.currency}"),
    )  # fmt: skip


def _taking(bikes: Iterable[BikeRecord]) -> dict[tuple[str, str], str]:
    """What stands in a cell of the matrix, by group and build: how many bikes, and K if kept."""
    some: dict[tuple[str, str], list[BikeRecord]] = {}
    for one in bikes:
        some.setdefault((one.group, one.build), []).append(one)
    return {
        key: f"{len(mine)}{' K' if all(one.kept for one in mine) else ''}"
        for key, mine in some.items()
    }
