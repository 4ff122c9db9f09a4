"""The figures that the papers tell: what to set, the bike's facts, the damping wanted."""

from recommender.advice.complaints import COMPLAINTS, LOW_SPEED, REBOUND, there, tries
from recommender.answer.answer import Case
from recommender.answer.numbers import number
from recommender.answer.records import BundleRecord
from recommender.answer.settings import Damping, Settings
from recommender.facts.parts import Shock
from recommender.output.terminal import figure, figure_text

Line = tuple[str, str, str]
"""What it is, its figure, and what is to be said of it."""


def steps(shock: Shock, on_bike: Settings) -> list[tuple[str, list[str]]]:
    """What riders complain of, and what to try of it, as far as it goes with that shock."""
    return [
        (name, [one.text for one in tries(name, shock, on_bike.spacers)]) for name in COMPLAINTS
    ]


def settings(record: BundleRecord, on_bike: Settings, shock: Shock) -> list[Line]:
    """What to set before the first ride."""
    out: list[Line] = [
        ("sag at the shaft", figure_text(record, "sag_mm"),
         f"{figure_text(record, 'sag_percent')} of the stroke; "
         f"{figure_text(record, 'wheel_sag_mm')} at the wheel"),
        ("set stroke", f"{number(on_bike.stroke_mm, 'mm')} mm", ""),
    ]  # fmt: skip
    if on_bike.preload_turns is not None:
        soft, stiff = figure(record, "sag_if_soft_mm"), figure(record, "sag_if_stiff_mm")
        note = ""
        if soft and stiff and soft.said is not None and stiff.said is not None:
            note = f"rates are +/- 5 %: sag from {stiff.said:.1f} to {soft.said:.1f} mm"
        out.append(("coil", figure_text(record, "rate_n_per_mm"), note))
        turns = f"{on_bike.preload_turns:g} turn{'' if on_bike.preload_turns == 1 else 's'}"
        out.append(("preload", turns, "the least the maker allows"))
    if on_bike.fill_psi is not None:
        fill = figure(record, "fill_psi")
        told = fill.told if fill else None
        bar = "" if told is None else f"{told * 0.06894757:.1f} bar; "
        out.append(
            ("start pressure", figure_text(record, "fill_psi"),
             f"{bar}at full extension, after the negative chamber is filled")
        )  # fmt: skip
    if on_bike.spacers is not None:
        out.append(("volume spacers", f"{on_bike.spacers:.0f}", ""))
    for one in on_bike.damping:
        needed = figure(record, f"needed_{one.side}_n_s_per_m")
        has = there(REBOUND if one.side == "rebound" else LOW_SPEED, shock)
        line = _place(one, "" if has else "if there is an adjuster: ") if has != "no" else None
        if line and needed is not None and needed.told is not None:
            out.append((one.side, *line))
    return out


def _place(one: Damping, where: str) -> tuple[str, str] | None:
    """Where in the adjuster's range the damping needed lies."""
    if not one.high > one.low:
        return None
    share = round(100 * (one.needed - one.low) / (one.high - one.low) / 5) * 5
    share = min(max(share, 0), 100)
    return (
        f"{share} % of the clicks from fully open",
        f"{where}a start, from assumed ranges; count the clicks of this shock first",
    )


def bike_facts(case: Case, record: BundleRecord, on_bike: Settings) -> list[Line]:
    """Bike, rider and what the spring does, for the tuner."""
    rider = case.question.rider
    pressure = figure_text(record, "fill_psi") or figure_text(record, "rate_n_per_mm")
    return [
        ("rider with kit", f"{on_bike.rider_mass} kg", f"taste: {rider.taste or 'not told'}"),
        ("rear sprung mass", f"{on_bike.sprung_mass_kg:.1f} kg",
         "rear share of rider with kit, and the bike's own"),
        ("travel", figure_text(record, "travel_mm"), ""),
        ("sag at the shaft", figure_text(record, "sag_mm"),
         f"{figure_text(record, 'sag_percent')} of the stroke"),
        ("spring", record.spring_kind, pressure),
        ("rate at the wheel, at sag", figure_text(record, "wheel_rate_n_per_mm"), ""),
        ("tune", on_bike.tune,
         "by the revalve that is ordered" if on_bike.revalved
         else "as the shock left the factory"),
    ]  # fmt: skip


def wanted(record: BundleRecord, on_bike: Settings) -> list[tuple[str, str, str, str]]:
    """For each side of the damper: class, coefficient needed, and the range of the tune."""
    return [
        (
            one.side, one.tune_class, figure_text(record, f"needed_{one.side}_n_s_per_m"),
            f"{number(one.low, 'n_s_per_m')} to {number(one.high, 'n_s_per_m')} N s/m",
        )
        for one in on_bike.damping
    ]  # fmt: skip


def speed_words(case: Case) -> str:
    """The shaft speed that the coefficients hold at, and whether they are measured."""
    table = case.catalogue.tune_classes
    low, high = (table.number(f"shaft_speed_{end}_m_per_s") for end in ("low", "high"))
    measured = "measured" in table.choice("standing").words()
    how = "some measured on a dynamometer" if measured else "assumed, not measured on a dynamometer"
    if not (low.is_known.all() and high.is_known.all()):
        return f"Coefficients hold at low shaft speed; the classes' ranges are {how}."
    return (
        f"Coefficients hold at a shaft speed of {float(low.low.min()):g} to "
        f"{float(high.top.max()):g} m/s; the classes' ranges are {how}."
    )


def leverage_rows(on_bike: Settings) -> list[tuple[str, str, str]]:
    """Shock compression, wheel travel and ratio at every quarter of the stroke."""
    made = on_bike.leverage
    if made is None:
        return []
    last = len(made.shaft_mm) - 1
    return [
        (f"{made.shaft_mm[k]:.1f}", f"{made.wheel_mm[k]:.1f}", f"{made.ratio[k]:.2f}")
        for k in (0, last // 4, last // 2, 3 * last // 4, last)
    ]
