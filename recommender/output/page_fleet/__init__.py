"""The fleet's page: one HTML file that needs nothing else, offline and on paper."""

from pathlib import Path

from recommender.fleet.records import ChartsRecord, PlanRecord, SparesRecord
from recommender.output.fleet import letter
from recommender.output.page_fleet.plot import Plot, curve_plot

_FOLDER = Path(__file__).resolve().parent


def fleet_page(plan: PlanRecord, spares: SparesRecord, charts: ChartsRecord) -> str:
    """The page: bikes against builds, the trade-off curve, the spares and the wall charts.

    Every text of data is escaped by the template.
    """
    import jinja2

    environment = jinja2.Environment(
        loader=jinja2.FileSystemLoader(_FOLDER), autoescape=True, trim_blocks=True,
        lstrip_blocks=True, undefined=jinja2.StrictUndefined,
    )  # fmt: skip
    marks = {one.name: letter(k) for k, one in enumerate(plan.builds)}
    plot: Plot | None = curve_plot(plan)
    return environment.get_template("page.html.jinja").render(
        plan=plan, spares=spares, charts=charts, marks=marks, plot=plot
    )
