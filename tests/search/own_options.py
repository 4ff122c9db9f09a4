"""Shocks and what may be chosen for them, as the referee reads them: cell by cell."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from recommender.catalogue.catalogue import Catalogue
from recommender.catalogue.columns import ChoiceColumn, NumberColumn, Table, TextColumn
from recommender.catalogue.question import Question
from recommender.facts import words
from recommender.facts.bike import Sleeve
from recommender.facts.parts import Shock
from recommender.facts.quantity import Quantity
from recommender.rules.market import FITTED

INFINITE = float("inf")
KIT_FACTS = (
    "kind", "width_mm", "bore_mm", "sleeve_diameter_mm", "bushing", "bushing_diameter_mm",
    "thread", "protrusion_mm",
)  # fmt: skip
SPRING_FACTS = (
    "rate_n_per_mm", "inner_diameter_mm", "outer_diameter_mm", "free_length_mm", "usable_travel_mm",
)  # fmt: skip
COEFFICIENTS = ("rebound_low", "rebound_high", "compression_low", "compression_high")
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


@dataclass(frozen=True)
class Leaf:
    """A fact: one value, or the corners of what it may be. A served range is every value at once."""

    values: tuple[Any, ...]
    served: bool = False
    kind: str = "number"


@dataclass(frozen=True)
class Piece:
    """One thing ordered: for the rules about an order as a whole."""

    part: str
    supplier: str
    price: tuple[float, float]
    stock: float


@dataclass(frozen=True)
class Option:
    """One thing that may be chosen: its facts, what it adds to price and mass, and its piece."""

    label: str
    facts: Mapping[str, Leaf]
    cost: tuple[float, float] = (0.0, 0.0)
    mass: tuple[float, float] = (0.0, 0.0)
    piece: Piece | None = None
    pairs_with: str = ""


@dataclass(frozen=True)
class OwnRow:
    """One row of a table, cell by cell; numbers as Quantity, words and texts as str."""

    key: str
    cells: Mapping[str, Any]
    codes: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    present: bool = False

    def word(self, name: str) -> str | None:
        word: str | None = self.cells[name]
        return word

    def number(self, name: str) -> Quantity:
        quantity: Quantity = self.cells[name]
        return quantity

    def leaf(self, name: str) -> Leaf:
        cell = self.cells[name]
        if isinstance(cell, Quantity):
            return ends(cell.low, cell.high)
        accepted = self.codes[name]
        codes = range(len(accepted)) if cell is None else [accepted.index(cell)]
        return Leaf(tuple(codes), kind="word")


def ends(low: float, high: float) -> Leaf:
    return Leaf((low,) if low == high else (low, high))


def sure(value: float) -> Leaf:
    return Leaf((float(value),))


def rows_of(table: Table) -> list[OwnRow]:
    """The rows of a table."""
    out = []
    codes = {n: c.values for n, c in table.columns.items() if isinstance(c, ChoiceColumn)}
    for row, key in enumerate(table.keys()):
        cells: dict[str, Any] = {}
        for name, column in table.columns.items():
            if isinstance(column, NumberColumn):
                low = float(column.low[row])
                high = low if column.high is None else float(column.high[row])
                known = column.known is None or bool(column.known[row])
                kind = "unknown" if not known else "exact" if low == high else "measured"
                cells[name] = Quantity(low, high, kind)  # type: ignore[arg-type]
            elif isinstance(column, ChoiceColumn):
                code = int(column.codes[row])
                cells[name] = None if code < 0 else column.values[code]
            elif isinstance(column, TextColumn):
                cells[name] = column.words[int(column.codes[row])]
        out.append(OwnRow(key, cells, codes))
    return out


def fitted(question: Question, catalogue: Catalogue) -> Shock | None:
    """The shock on the bike now, if its facts are known."""
    now = question.bike.present_shock
    if now is None or (now.facts is None and not now.part_number):
        return None
    if now.facts is not None:
        return now.facts
    row = next(one for one in rows_of(catalogue.shocks) if one.key == now.part_number)
    return Shock.model_validate(row.cells)


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
        out[f"shock_{end}_carbon"] = Leaf(
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
        labour = fit[0] + needs[0] * turn[0], fit[0] + needs[1] * turn[0]
        work = max(fit[1], needs[0] * turn[1]), max(fit[1], needs[1] * turn[1])
        delivery = row.number("delivery_days")
        days = delivery.low, delivery.high
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
    axis, wanted, may = row.word("eyelet_axis"), question.bike.eyelet_axis, row.word("eyelet_turnable")
    if may == "no" or (axis is not None and axis == wanted):
        return 0, 0
    return (0, 1) if None in (axis, wanted, may) else (1, 1)


def job(question: Question, catalogue: Catalogue, name: str) -> tuple[float, float, float]:
    """Price in the wishes' currency, 1 if a workshop does it, its days; nothing at home."""
    row = next(one for one in rows_of(catalogue.jobs) if one.key == name)
    tools = [tool.strip() for tool in row.cells["tools"].split(";") if tool.strip()]
    if row.word("place") == "home" and set(tools) <= set(question.rider.tools):
        return 0.0, 0.0, 0.0
    return money(question, row, "price")[1], 1.0, row.number("work_days").high


def money(question: Question, row: OwnRow, name: str) -> tuple[float, float]:
    rate = {question.wishes.currency: 1.0, **question.wishes.rates}[row.cells["currency"]]
    return row.number(name).low * rate, row.number(name).high * rate


def shock_options(question: Question, catalogue: Catalogue, row: OwnRow) -> dict[str, list[Option]]:
    """Every choice for a shock and its options."""
    turns = [
        Option("turned" if turned else "as it is", {"clocking_turned": sure(turned)})
        for turned in (False, True)
    ]
    kits = kit_options(question, catalogue)
    return {
        "stroke": stroke_options(question, catalogue, row),
        "spring": spring_options(question, catalogue, row),
        "tune": tune_options(question, catalogue, row),
        "clocking": turns,
        "head_kit": [_at_end("head_kit", one) for one in kits],
        "shaft_kit": [_at_end("shaft_kit", one) for one in kits],
    }


def _at_end(end: str, option: Option) -> Option:
    facts = {f"{end}_{name}": fact for name, fact in option.facts.items()}
    return Option(option.label, facts, option.cost, option.mass, option.piece, option.pairs_with)


def stroke_options(question: Question, catalogue: Catalogue, row: OwnRow) -> list[Option]:
    """The settings its manual lists and the delivered stroke; another than delivered is a job."""
    text = row.cells["stroke_settings_mm"]
    listed = sorted({float(part) for part in text.split(";")}) if text.strip() else []
    stroke = row.number("stroke_mm")
    inside = [mm for mm in listed if stroke.low - 1e-6 <= mm <= stroke.high + 1e-6]
    price, work, days = job(question, catalogue, "change stroke")
    out = []
    for mm in listed:
        # Whether it is the delivered one: sure if the only one that can be, unsure among several.
        least = 0.0 if mm in inside else 1.0
        most = 1.0 if len(inside) > 1 and not stroke.low == stroke.high else least
        out.append(Option(
            f"{mm:g} mm",
            {"stroke_mm": sure(mm), "stroke_days": ends(least * days, most * days),
             "stroke_workshop": ends(least * work, most * work)},
            (least * price, most * price),
        ))  # fmt: skip
    if not inside:
        facts = {"stroke_mm": ends(stroke.low, stroke.high), "stroke_days": sure(0)}
        out.append(Option("as delivered", facts | {"stroke_workshop": sure(0)}))
    return out


def spring_options(question: Question, catalogue: Catalogue, row: OwnRow) -> list[Option]:
    """Volume spacers, coils, the coil fitted now, and one made to specification."""
    kind = row.word("spring_kind")
    out: list[Option] = []
    if kind != "coil":
        most = row.number("volume_spacers_max")
        out += [_spacers(question, catalogue, row, n) for n in range(int(most.high) + 1)]
    if kind != "air":
        out += _coils(question, catalogue, row)
    return out


def _spring_facts(**given: Leaf) -> dict[str, Leaf]:
    names = (*SPRING_FACTS, "spacers", "is_coil", "made", "fits", "days", "workshop")
    return {f"spring_{name}": given.get(name, sure(0)) for name in names}


def _spacers(question: Question, catalogue: Catalogue, row: OwnRow, count: int) -> Option:
    price, work, _ = job(question, catalogue, "set volume spacers")
    now = question.bike.present_shock
    before = (0.0, 0.0)
    if row.present and now is not None:
        before = now.volume_spacers.low, now.volume_spacers.high
    each = row.number("volume_spacer_price")
    cost = (each.low, each.high) if each.known else (0.0, 0.0)
    least = 0.0 if before[0] <= count <= before[1] else 1.0
    most = 0.0 if before[0] == before[1] == count else 1.0
    return Option(
        f"{count} volume spacers",
        _spring_facts(spacers=sure(count), workshop=ends(least * work, most * work)),
        (max(count - before[1], 0) * cost[0] + least * price,
         max(count - before[0], 0) * cost[1] + most * price),
    )  # fmt: skip


def _coils(question: Question, catalogue: Catalogue, row: OwnRow) -> list[Option]:
    fee, work, _ = job(question, catalogue, "fit spring")
    out = []
    for one in rows_of(catalogue.springs):
        price, mass = money(question, one, "price"), one.number("mass_g")
        facts = {name: one.leaf(name) for name in (*SPRING_FACTS,)}
        facts |= {"is_coil": sure(1), "days": one.leaf("delivery_days"), "workshop": sure(work)}
        stock = one.number("stock")
        piece = Piece(
            f"spring {one.key}", one.cells["supplier"], price,
            stock.high if stock.known else INFINITE,
        )  # fmt: skip
        out.append(Option(
            one.key, _spring_facts(**facts), (price[0] + fee, price[1] + fee),
            (mass.low, mass.high), piece,
        ))  # fmt: skip
    out.append(Option("made", _spring_facts(is_coil=sure(1), made=sure(1), fits=sure(1))))
    now = question.bike.present_shock
    if row.present and now is not None:
        rate = now.spring_rate_n_per_mm
        facts = {"rate_n_per_mm": ends(rate.low, rate.high), "is_coil": sure(1), "fits": sure(1)}
        out.append(Option("the spring now fitted", _spring_facts(**facts)))
    return out


def tune_options(question: Question, catalogue: Catalogue, row: OwnRow) -> list[Option]:
    """As delivered, the services for its damper, the fitted shock serviced, and one made."""
    nan = sure(float("nan"))
    delivered = {f"tune_{n}_class": row.leaf(f"{n}_class") for n in ("compression", "rebound", "lockout")}
    for name in COEFFICIENTS:
        cell = row.number(f"{name}_n_s_per_m")
        delivered[f"tune_{name}"] = ends(cell.low, cell.high) if cell.known else nan
    plain = {f"tune_{n}": sure(0) for n in ("days", "workshop", "made", "leaves_broken")}
    now = question.bike.present_shock
    broken = row.present and now is not None and now.condition == "broken"
    out = [Option("as delivered", delivered | plain | {"tune_leaves_broken": sure(broken)})]
    family = row.cells["damper"]
    send, sent, _ = job(question, catalogue, "send for revalve")
    for one in rows_of(catalogue.services):
        if not family or one.cells["damper"] != family:
            continue
        price = money(question, one, "price")
        work, delivery = one.number("work_days"), one.number("delivery_days")
        facts = {f"tune_{n}_class": one.leaf(f"{n}_class") for n in ("compression", "rebound", "lockout")}
        facts |= {f"tune_{name}": nan for name in COEFFICIENTS} | plain
        facts["tune_days"] = ends(work.low + delivery.low, work.high + delivery.high)
        facts["tune_workshop"] = sure(1)
        piece = Piece(f"service {one.key}", one.cells["supplier"], price, INFINITE)
        out.append(Option(one.key, facts, (price[0] + send, price[1] + send), piece=piece))
    if row.present:
        price_, work_, days_ = job(question, catalogue, "service shock")
        facts = delivered | plain | {"tune_days": sure(days_), "tune_workshop": sure(work_)}
        out.append(Option("serviced", facts, (price_, price_)))
    made = {f"tune_{n}_class": sure(0) for n in ("compression", "rebound", "lockout")}
    made |= {f"tune_{name}": nan for name in COEFFICIENTS} | plain | {"tune_made": sure(1)}
    return [*out, Option("made", made)]


def kit_options(question: Question, catalogue: Catalogue) -> list[Option]:
    """Every kit, the two sleeves on the bike, and one made to specification."""
    press, pressing, _ = job(question, catalogue, "press bushing")
    out = []
    for row in rows_of(catalogue.kits):
        bushing = row.word("bushing")
        least = 1.0 if bushing == "pressed metal-backed" else 0.0
        most = 1.0 if bushing is None else least
        price, mass = money(question, row, "price"), row.number("mass_g")
        facts = {name: row.leaf(name) for name in KIT_FACTS}
        facts |= {
            "days": row.leaf("delivery_days"), "worn": sure(0), "made": sure(0),
            "workshop": ends(least * pressing, most * pressing),
        }  # fmt: skip
        stock = row.number("stock")
        piece = Piece(
            f"kit {row.key}", row.cells["supplier"], price, stock.high if stock.known else INFINITE
        )
        out.append(Option(
            row.key, facts, (price[0] + least * press, price[1] + most * press),
            (mass.low, mass.high), piece, row.cells["pairs_with"],
        ))  # fmt: skip
    now = question.bike.present_shock
    if now is not None:
        out.append(_reused("head", now.head_sleeve, question))
        out.append(_reused("shaft", now.shaft_sleeve, question))
    facts = {name: sure(0) for name in (*KIT_FACTS, "days", "worn", "workshop")}
    return [*out, Option("made", facts | {"made": sure(1)})]


def _reused(end: str, sleeve: Sleeve, question: Question) -> Option:
    """The sleeve on the bike; at the head end of a trunnion frame the frame's own bolts."""
    bike = question.bike
    bolts = end == "head" and bike.mount == "trunnion"
    kind = "trunnion bolts" if bolts else "sleeve"
    thread = bike.head.trunnion_thread
    worn = sleeve.condition
    facts = {
        "kind": Leaf((words.KIT_KINDS.index(kind),)),
        "width_mm": ends(sleeve.width_mm.low, sleeve.width_mm.high),
        "bore_mm": ends(sleeve.bore_mm.low, sleeve.bore_mm.high),
        "sleeve_diameter_mm": ends(sleeve.diameter_mm.low, sleeve.diameter_mm.high),
        "bushing": Leaf((words.BUSHINGS.index("none"),)),
        "bushing_diameter_mm": sure(8.0),
        "thread": Leaf(
            tuple(range(len(words.THREADS))) if thread is None else (words.THREADS.index(thread),)
        ),
        "protrusion_mm": ends(bike.head.bolt_protrusion_mm.low, bike.head.bolt_protrusion_mm.high),
        "worn": sure(0) if bolts else Leaf((0, 1) if worn is None else (words.WEAR.index(worn),)),
        "days": sure(0), "workshop": sure(0), "made": sure(0),
    }  # fmt: skip
    label = f"the sleeve at the {end}"
    return Option(label, facts, piece=Piece(label, "", (0.0, 0.0), 1.0))
