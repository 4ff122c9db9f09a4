"""Shocks as the referee reads them: each as mounted, with what it costs to fit."""

from recommender.catalogue.catalogue import Catalogue
from recommender.catalogue.question import Question
from recommender.facts import words
from recommender.facts.parts import Shock
from recommender.facts.quantity import Quantity
from recommender.rules.market import FITTED
from tests.search.own_cells import INFINITE, Leaf, OwnRow, Piece, ends, job, money, rows_of, sure

NOT_OF = {
    ("spring_kind", "coil"): (
        "piston_area_mm2", "chamber_cm3", "negative_area_mm2", "negative_chamber_cm3",
        "equalise_at_mm", "pressure_min_psi", "pressure_max_psi", "volume_spacer_cm3",
        "volume_spacers_max",
    ),
    ("spring_kind", "air"): (
        "spring_seat_mm", "spring_length_min_mm", "spring_length_max_mm", "collar_pitch_mm",
        "preload_turns_min", "preload_turns_max",
    ),
    ("head_mount", "trunnion"): (
        "head_eye", "head_eye_width_mm", "head_eye_bore_mm", "head_sleeve_diameter_mm",
    ),
    ("head_mount", "eyelet"): ("trunnion_width_mm", "trunnion_thread", "trunnion_thread_depth_mm"),
}  # fmt: skip
"""Facts that a shock of that kind or mount does not have: a blank there is nothing unknown."""


def fitted(question: Question, catalogue: Catalogue) -> Shock | None:
    """The shock on the bike now, if its facts are known."""
    now = question.bike.present_shock
    if now is None or (now.facts is None and not now.part_number):
        return None
    found = [one for one in rows_of(catalogue.shocks) if one.key == now.part_number]
    if not found:
        return now.facts
    cells = dict(found[0].cells)
    if now.own_tune == "yes":
        for name in cells:
            if name.endswith(("_class", "_n_s_per_m")):
                cells[name] = None
    for name in now.facts.model_fields_set if now.facts is not None else ():
        told = getattr(now.facts, name)
        if told is not None and told != "" and getattr(told, "known", True):
            cells[name] = told
    return Shock.model_validate(cells)


def own_shocks(question: Question, catalogue: Catalogue) -> list[OwnRow]:
    """Every shock of the catalogue, and last the fitted one."""
    rows = rows_of(catalogue.shocks)
    now = fitted(question, catalogue)
    if now is not None:
        cells = {name: getattr(now, name) for name in rows[0].cells}
        rows.append(OwnRow(FITTED, cells, rows[0].codes, present=True))
    return rows


def shock_facts(
    question: Question, catalogue: Catalogue, row: OwnRow, turned: bool
) -> dict[str, Leaf]:
    """Facts of a shock as mounted; price with labour, mass and piece under names of their own."""
    out = {
        f"shock_{name}": row.leaf(name)
        for name, cell in row.cells.items()
        if isinstance(cell, Quantity) or name in row.codes
    }
    if not row.number("rider_mass_limit_kg").known:
        out["shock_rider_mass_limit_kg"] = sure(1e6)
    for (name, word), moot in NOT_OF.items():
        if row.word(name) == word:
            for fact in moot:
                out[f"shock_{fact}"] = Leaf(out[f"shock_{fact}"].values[:1])
    out["shock_reversed"] = sure(turned)
    bike = question.bike
    for end, mount in zip(
        words.ENDS, (bike.shaft, bike.head) if turned else (bike.head, bike.shaft), strict=True
    ):
        gap = mount.gap_mm
        grip = mount.grip_mm
        lugs = mount.carbon_lugs
        out[f"shock_{end}_gap_mm"] = ends(gap.low, gap.high)
        out[f"shock_{end}_bolt_mm"] = ends(mount.bolt_mm.low, mount.bolt_mm.high)
        out[f"shock_{end}_grip_mm"] = (
            ends(grip.low, grip.high) if grip.known else sure(gap.high + 0.1)
        )
        out[f"shock_{end}_carbon_lugs"] = Leaf(
            (0, 1) if lugs is None else (words.YES_NO.index(lugs),), kind="word"
        )
    return out | _shock_cost(question, catalogue, row)


def _shock_cost(question: Question, catalogue: Catalogue, row: OwnRow) -> dict[str, Leaf]:
    if row.present:
        price = labour = days = work = (0.0, 0.0)
    else:
        price = money(question, row, "price")
        fit, turn = job(question, catalogue, "fit shock"), job(question, catalogue, "turn eyelet")
        needs = _turning(question, row)
        labour, away = (
            (own[0] + needs[0] * more[0], own[1] + needs[1] * more[1])
            for own, more in ((fit.price, turn.price), (fit.days, turn.days))
        )
        work = max(fit.work, needs[0] * turn.work), max(fit.work, needs[1] * turn.work)
        delivery = row.number("delivery_days")
        days = delivery.low + away[0], delivery.high + away[1]
    stock = row.number("stock")
    piece = Piece(
        f"shock {row.key}", row.cells["supplier"], price, stock.high if stock.known else INFINITE
    )
    mass = row.number("mass_g")
    return {
        "shock_cost": ends(price[0] + labour[0], price[1] + labour[1]),
        "shock_mass": ends(mass.low, mass.high),
        "shock_days": ends(*days),
        "shock_workshop": ends(*work),
        "shock_piece": Leaf((None if row.present else piece,)),
    }


def _turning(question: Question, row: OwnRow) -> tuple[int, int]:
    """Whether the eye is turned to fit: for certain, and possibly."""
    axis, may = row.word("eyelet_axis"), row.word("eyelet_turnable")
    wanted = question.bike.eyelet_axis
    if may == "no" or (axis is not None and axis == wanted):
        return 0, 0
    return (0, 1) if None in (axis, wanted, may) else (1, 1)
