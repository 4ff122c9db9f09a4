"""What may be chosen for a shock, as the referee reads it."""

from recommender.catalogue.catalogue import Catalogue
from recommender.catalogue.question import Question
from recommender.facts import words
from recommender.facts.bike import Sleeve
from tests.search.own_cells import (
    INFINITE,
    Leaf,
    Option,
    OwnRow,
    Piece,
    ends,
    job,
    money,
    rows_of,
    sure,
)
from tests.search.own_shocks import fitted

KIT_FACTS = (
    "kind", "width_mm", "bore_mm", "sleeve_diameter_mm", "bushing", "bushing_diameter_mm",
    "thread", "protrusion_mm",
)  # fmt: skip
SPRING_FACTS = (
    "rate_n_per_mm", "inner_diameter_mm", "outer_diameter_mm", "free_length_mm", "usable_travel_mm",
)  # fmt: skip
CLASSES = ("compression_class", "rebound_class", "lockout_class")
COEFFICIENTS = (
    "rebound_low_n_s_per_m", "rebound_high_n_s_per_m", "compression_low_n_s_per_m",
    "compression_high_n_s_per_m",
)  # fmt: skip


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
    change = job(question, catalogue, "change stroke")
    out = []
    for mm in listed:
        # Whether it is the delivered one: sure if the only one that can be, unsure among several.
        least = 0.0 if mm in inside else 1.0
        most = 1.0 if len(inside) > 1 and stroke.low != stroke.high else least
        out.append(Option(
            f"{mm:g} mm",
            {"stroke_mm": sure(mm),
             "stroke_days": ends(least * change.days[0], most * change.days[1]),
             "stroke_workshop": ends(least * change.work, most * change.work)},
            (least * change.price[0], most * change.price[1]),
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
    names = (*SPRING_FACTS, "spacers", "is_coil", "made", "fits", "days", "work_days",
             "workshop")  # fmt: skip
    return {f"spring_{name}": given.get(name, sure(0)) for name in names}


def _spacers(question: Question, catalogue: Catalogue, row: OwnRow, count: int) -> Option:
    setting = job(question, catalogue, "set volume spacers")
    now = question.bike.present_shock
    before = (0.0, 0.0)
    if row.present and now is not None:
        before = now.volume_spacers.low, now.volume_spacers.high
    each = row.number("volume_spacer_price")
    cost = (each.low, each.high) if each.known else (0.0, 0.0)
    least = 0.0 if before[0] <= count <= before[1] else 1.0
    most = 0.0 if before[0] == before[1] == count else 1.0
    return Option(
        "no volume spacer" if not count else f"{count} volume spacer{'s' * (count > 1)}",
        _spring_facts(
            spacers=sure(count), workshop=ends(least * setting.work, most * setting.work),
            work_days=ends(least * setting.days[0], most * setting.days[1]),
        ),
        (max(count - before[1], 0) * cost[0] + least * setting.price[0],
         max(count - before[0], 0) * cost[1] + most * setting.price[1]),
    )  # fmt: skip


def _coils(question: Question, catalogue: Catalogue, row: OwnRow) -> list[Option]:
    fit = job(question, catalogue, "fit spring")
    out = []
    for one in rows_of(catalogue.springs):
        price, mass = money(question, one, "price"), one.number("mass_g")
        facts = {name: one.leaf(name) for name in (*SPRING_FACTS,)}
        facts |= {"is_coil": sure(1), "days": one.leaf("delivery_days"),
                  "work_days": ends(*fit.days), "workshop": sure(fit.work)}  # fmt: skip
        stock = one.number("stock")
        piece = Piece(
            f"spring {one.key}", one.cells["supplier"], price,
            stock.high if stock.known else INFINITE,
        )  # fmt: skip
        out.append(Option(
            one.key, _spring_facts(**facts), (price[0] + fit.price[0], price[1] + fit.price[1]),
            (mass.low, mass.high), piece,
        ))  # fmt: skip
    out.append(Option("made", _spring_facts(is_coil=sure(1), made=sure(1), fits=sure(1))))
    now = question.bike.present_shock
    if row.present and now is not None:
        rate, mass = now.spring_rate_n_per_mm, now.spring_mass_g
        facts = {"rate_n_per_mm": ends(rate.low, rate.high), "is_coil": sure(1), "fits": sure(1)}
        if now.spring_outer_diameter_mm.known:
            outer = now.spring_outer_diameter_mm
            facts["outer_diameter_mm"] = ends(outer.low, outer.high)
        own = _spring_facts(**facts)
        out.append(Option("the spring now fitted", own, mass=(mass.low, mass.high)))
    return out


def tune_options(question: Question, catalogue: Catalogue, row: OwnRow) -> list[Option]:
    """As delivered, the services for its damper, the fitted shock serviced, and one made."""
    nan = sure(float("nan"))
    delivered = {f"tune_{name}": row.leaf(name) for name in CLASSES}
    for name in COEFFICIENTS:
        cell = row.number(name)
        delivered[f"tune_{name}"] = ends(cell.low, cell.high) if cell.known else nan
    plain = {f"tune_{n}": sure(0) for n in ("days", "workshop", "made", "leaves_broken")}
    now = question.bike.present_shock
    broken = row.present and now is not None and now.condition == "broken"
    out = [Option("as delivered", delivered | plain | {"tune_leaves_broken": sure(broken)})]
    family = row.cells["damper"]
    send = job(question, catalogue, "send for revalve")
    for one in rows_of(catalogue.services):
        if not family or one.cells["damper"] != family:
            continue
        price = money(question, one, "price")
        work, delivery = one.number("work_days"), one.number("delivery_days")
        facts = {f"tune_{name}": one.leaf(name) for name in CLASSES}
        facts |= {f"tune_{name}": nan for name in COEFFICIENTS} | plain
        facts["tune_days"] = ends(
            work.low + delivery.low + send.days[0], work.high + delivery.high + send.days[1]
        )
        facts["tune_workshop"] = sure(1)
        piece = Piece(f"service {one.key}", one.cells["supplier"], price, INFINITE)
        cost = price[0] + send.price[0], price[1] + send.price[1]
        out.append(Option(one.key, facts, cost, piece=piece))
    if row.present:
        service = job(question, catalogue, "service shock")
        facts = delivered | plain
        facts |= {"tune_days": ends(*service.days), "tune_workshop": sure(service.work)}
        out.append(Option("serviced", facts, service.price))
    made = {f"tune_{name}": sure(0) for name in CLASSES}
    made |= {f"tune_{name}": nan for name in COEFFICIENTS} | plain | {"tune_made": sure(1)}
    return [*out, Option("made", made)]


def kit_options(question: Question, catalogue: Catalogue) -> list[Option]:
    """Every kit, the two sleeves on the bike, and one made to specification."""
    press = job(question, catalogue, "press bushing")
    out = []
    for row in rows_of(catalogue.kits):
        bushing = row.word("bushing")
        least = 1.0 if bushing == "pressed metal-backed" else 0.0
        most = 1.0 if bushing is None else least
        price, mass = money(question, row, "price"), row.number("mass_g")
        facts = {name: row.leaf(name) for name in KIT_FACTS}
        facts |= {
            "worn": sure(0), "made": sure(0),
            "workshop": ends(least * press.work, most * press.work),
            "days": ends(
                row.number("delivery_days").low + least * press.days[0],
                row.number("delivery_days").high + most * press.days[1],
            ),
        }  # fmt: skip
        stock = row.number("stock")
        piece = Piece(
            f"kit {row.key}", row.cells["supplier"], price, stock.high if stock.known else INFINITE
        )
        out.append(Option(
            row.key, facts, (price[0] + least * press.price[0], price[1] + most * press.price[1]),
            (mass.low, mass.high), piece, row.cells["pairs_with"],
        ))  # fmt: skip
    now = question.bike.present_shock
    if now is not None:
        shock = fitted(question, catalogue)
        for end, sleeve in (("head", now.head_sleeve), ("shaft", now.shaft_sleeve)):
            bearing = shock is not None and getattr(shock, f"{end}_eye") == "bearing"
            out.append(_reused(end, sleeve, question, bearing))
    facts = {name: sure(0) for name in (*KIT_FACTS, "days", "worn", "workshop")}
    return [*out, Option("made", facts | {"made": sure(1)})]


def _reused(end: str, sleeve: Sleeve, question: Question, bearing: bool) -> Option:
    """The sleeve on the bike, in a bearing its axle; at the head end of a trunnion frame the
    frame's own bolts."""
    bike = question.bike
    bolts = end == "head" and bike.mount == "trunnion"
    kind = "trunnion bolts" if bolts else "bearing axle" if bearing else "sleeve"
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
    mass = sleeve.mass_g.low, sleeve.mass_g.high
    return Option(label, facts, mass=mass, piece=Piece(label, "", (0.0, 0.0), 1.0))
