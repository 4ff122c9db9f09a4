"""The brief for the suspension tuner: what the damper is on, what it must do, what is wrong now."""

from collections.abc import Sequence

from recommender.advice.advice import advice, bench_of
from recommender.answer.answer import Case
from recommender.answer.numbers import number
from recommender.answer.records import SCHEMA, Record

REMINDER = (
    "Pay for a custom tune only after riding the delivered one. Write down what works, what does "
    "not, and where on the trail."
)


class Brief(Record):
    """Headed blocks of lines, in the order in which a workshop reads them."""

    schema_version: str = SCHEMA
    blocks: dict[str, tuple[str, ...]]


def brief(case: Case, complaints: Sequence[str], works: str = "", where: str = "") -> Brief:
    """The brief for the fitted shock. Raises BadInput where shock or rider's mass is not told."""
    bench = bench_of(case)
    told = advice(case, complaints)
    question, shock = case.question, bench.shock
    rider, bike = question.rider, question.bike
    leverage, stroke = bench.leverage, bench.stroke_mm / 1000
    shift = bench.shift_mm / 1000
    start, end = (float(leverage.ratio(x - shift)) for x in (0.0, stroke))
    tune = [
        f"{side}: {getattr(shock, f'{side}_class') or 'unknown'}"
        for side in ("compression", "rebound", "lockout")
    ]
    blocks: dict[str, tuple[str, ...]] = {
        "Rider": (
            f"{rider.name}, {number(rider.mass_with_kit_kg.mid, 'kg')} kg with kit, wants it "
            f"{rider.taste or 'as usual'}",
            f"rear sprung mass taken: {number(bench.sprung_mass_kg, 'kg')} kg",
        ),
        "Bike": (
            bike.name,
            f"leverage {start:.2f} at the start, {end:.2f} at the end of "
            f"{number(bench.stroke_mm, 'mm')} mm",
        ),
        "Shock": (told.shock, f"{shock.spring_kind or 'spring kind unknown'}", *tune),
        "Setting": (told.now or f"no figures without: {', '.join(told.missing)}",),
        "Damping at low shaft speed": told.damping or ("no figures",),
        "Not right now": tuple(complaints) or ("____________________",),
        "Works well": (works or "____________________",),
        "Where on the trail": (where or "____________________",),
        "Before the work": (REMINDER,),
    }
    return Brief(blocks=blocks)
