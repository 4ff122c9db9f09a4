"""The floor: the same question answered by straight-line NumPy over the same columns.

Both ends of every margin, over every setting that the rule depends on, kits once per signature, and
from them which shocks fit and which are ruled out. Nothing else: no registry, no families of sets,
no reasons; the bike's exact figures, its linear leverage and the four wishes are written into the
code. What an honest programmer would write who only wants the feasible set, in chunks that stay in
the cache. Only the root of a clipped air pressure is `mechanics.air`'s.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from recommender.mechanics import air
from recommender.mechanics.leverage import Leverage
from recommender.rules.choices import Market

F = npt.NDArray[np.float64]
I = npt.NDArray[np.int64]  # noqa: E741
M = npt.NDArray[np.bool_]

G, PSI, ATM, MM = 9.80665, 6894.757293168361, 101325.0, 0.001
NOMINAL, STOP, GAP0, CLOSING, X0 = 210.0, 55.5, 9.0, 0.7, 51.5
MASS = 0.6 * 80 + 5
FORCE = MASS * G
START, SLOPE = 2.86, (2.34 - 2.86) / 0.05  # ratio, 1/m
CURVE = Leverage.linear(2.86, 2.34, 0.05)
ZETA_REBOUND, ZETA_COMPRESSION = 0.37, 0.17
REBOUND_LOW, REBOUND_HIGH = np.array([1200.0, 2700, 4600]), np.array([4000.0, 6300, 9500])
COMPRESSION_LOW, COMPRESSION_HIGH = np.array([500.0, 1300, 2200]), np.array([1900.0, 2900, 5000])
BUDGET = 700.0
TOL = 1e-9
CHUNKS = {0: 4096, 1: 512}


@dataclass(frozen=True)
class Feasible:
    """By shock: a completion that surely breaks nothing; one that may break nothing."""

    fits: M
    possible: M


def ragged(first: I, count: I) -> tuple[I, I]:
    """Owner of each listed item and its index: first, first + 1, ... of each owner."""
    owner = np.repeat(np.arange(len(count)), count)
    begin = np.cumsum(count) - count
    return owner, np.arange(len(owner)) + (first - begin)[owner]


def ratio(x: F) -> F:
    return START + SLOPE * x


def travel(x: F) -> F:
    return START * x + SLOPE / 2 * x * x


class Columns:
    """Low and high end of every column that is read."""

    def __init__(self, market: Market) -> None:
        self.market = market
        self.stroke_start = np.searchsorted(
            market.stroke_owner, np.arange(len(market.shocks) + 1)
        )
        self.shock = {
            name: (column.low, column.top)
            for name, column in market.shocks.columns.items() if hasattr(column, "low")
        }  # fmt: skip
        self.word = {
            name: column.codes
            for name, column in market.shocks.columns.items() if hasattr(column, "values")
        }  # fmt: skip
        self.kit = {name: (fact.low, fact.high) for name, fact in market.kits.facts.items()}
        self.tune = {name: (fact.low, fact.high) for name, fact in market.tunes.facts.items()}
        self.spring = {name: (fact.low, fact.high) for name, fact in market.springs.facts.items()}


def feasible(columns: Columns) -> Feasible:
    """Fits and not ruled out, shock by shock."""
    size = len(columns.market.shocks)
    with np.errstate(all="ignore"):
        fit, may = mounted(columns)
        low, high = shock_cost(columns)
        for end in ("head", "shaft"):
            sure, least, unsure, most = kits(columns, end)
            fit, may = fit & sure, may & unsure
            low, high = low + least, high + most
        kind = columns.word["spring_kind"]
        for code, step in CHUNKS.items():
            rows = np.flatnonzero(kind == code)
            for k in range(0, len(rows), step):
                some = rows[k : k + step]
                cheap, dear = damped(columns, some, code)
                low[some] += cheap
                high[some] += dear
    assert len(fit) == size
    return Feasible(fit & (high <= BUDGET + TOL), may & (low <= BUDGET + TOL))


def mounted(c: Columns) -> tuple[M, M]:
    """Rules about the shock as mounted, and its room with the reservoir up or down."""
    size = len(c.market.shocks)
    fit, may = np.ones(size, bool), np.ones(size, bool)

    def ends(low: F, high: F) -> None:
        nonlocal fit, may
        fit = fit & (low >= -TOL)
        may = may & (high >= -TOL)

    def words(sure: M, unsure: M) -> None:
        nonlocal fit, may
        fit, may = fit & sure, may & unsure

    eyelet = c.word["head_mount"] == 0
    words(eyelet, eyelet)
    axis, turnable, remote = (
        c.word[n] for n in ("eyelet_axis", "eyelet_turnable", "remote_lockout")
    )
    words((axis == 0) | (turnable == 1), (axis != 1) | (turnable != 0))
    words(remote == 0, remote != 1)
    words(c.word["rebound_adjuster"] == 1, c.word["rebound_adjuster"] != 0)
    known = c.market.shocks.number("rider_mass_limit_kg").is_known
    low, high = c.shock["rider_mass_limit_kg"]
    ends(np.where(known, low - 80, np.inf), np.where(known, high - 80, np.inf))
    for gap, name in ((30.0, "head_eye_width_mm"), (22.2, "shaft_eye_width_mm")):
        low, high = c.shock[name]
        meets = eyelet if name.startswith("head") else np.True_
        ends(np.where(meets, gap + 0.1 - high, np.inf), np.where(meets, gap + 0.1 - low, np.inf))
    low, high = c.shock["trunnion_width_mm"]
    applies = ~eyelet & False  # a trunnion head does not meet an eyelet mount at all
    ends(np.where(applies, np.minimum(low - 53.5, 54.1 - high), np.inf),
         np.where(applies, np.minimum(high - 53.5, 54.1 - low), np.inf))  # fmt: skip
    low, high = c.shock["length_mm"]
    far = np.maximum(np.abs(low - NOMINAL), np.abs(high - NOMINAL))
    near = np.where((low <= NOMINAL) & (high >= NOMINAL), 0.0,
                    np.minimum(np.abs(low - NOMINAL), np.abs(high - NOMINAL)))  # fmt: skip
    ends(1.0 - far, 1.0 - near)
    room = {"head": (68, 45, 42, 42), "middle": (49, 44, 40, 40), "shaft": (40, 39, 36, 36)}
    sides, opposite = ("up", "down", "left", "right"), ("down", "up", "right", "left")
    ways = []
    for turn in (sides, opposite):
        low, high = np.full(size, np.inf), np.full(size, np.inf)
        for third, rooms in room.items():
            for space, side in zip(rooms, turn, strict=True):
                least, most = c.shock[f"body_{third}_{side}_mm"]
                low, high = np.minimum(low, space - most), np.minimum(high, space - least)
        ways.append((low - 3 >= -TOL, high - 3 >= -TOL))
    words(ways[0][0] | ways[1][0], ways[0][1] | ways[1][1])
    return fit, may


def shock_cost(c: Columns) -> tuple[F, F]:
    price, works = c.market.shock_price, c.market.works
    axis, turnable = c.word["eyelet_axis"], c.word["eyelet_turnable"]
    turns = (axis == 1) & (turnable == 1)
    may = (axis != 0) & (turnable != 0) & ((axis < 0) | (turnable < 0))
    (fit, dear), (turn, costly) = works["fit shock"].labour, works["turn eyelet"].labour
    return price.low + fit + turns * turn, price.high + dear + (turns | may) * costly


def kits(c: Columns, end: str) -> tuple[M, F, M, F]:
    """Whether some kit suits this end, and the price of the cheapest: sure, then not ruled out."""
    size = len(c.market.shocks)
    eye = c.word[f"{end}_eye"].astype(float)
    trunnion = (c.word["head_mount"] == 1) if end == "head" else np.zeros(size, bool)
    names = [f"{end}_eye_width_mm", f"{end}_eye_bore_mm", f"{end}_sleeve_diameter_mm"]
    if end == "head":
        names.append("trunnion_thread_depth_mm")
    thread = c.word["trunnion_thread"].astype(float)
    read = [eye, trunnion.astype(float), *([thread] if end == "head" else [])]
    read += [edge for name in names for edge in c.shock[name]]
    code = np.zeros(size, np.int64)
    for column in read:
        own, found = pd.factorize(column)
        code, _ = pd.factorize(code * len(found) + own)
    first = np.unique(code, return_index=True)[1]
    number = len(c.kit["made"][0])
    sure, unsure = np.zeros(len(first), bool), np.zeros(len(first), bool)
    cheap, dear = np.full(len(first), np.inf), np.full(len(first), np.inf)
    gap, bolt, grip = (30.0, 8.0, 31.0) if end == "head" else (22.2, 8.0, 23.2)
    kit = c.kit
    price = (kit["price"][0] + kit["labour"][0], kit["price"][1] + kit["labour"][1])
    step = max(1, 200_000 // number)
    # A category that is not known has its low end at the first word and its high end at the last.
    kind, bushing, kit_thread = (
        (kit[n][0][None], kit[n][1][None]) for n in ("kind", "bushing", "thread")
    )
    none_sure = (bushing[0] == 0) & (bushing[1] == 0)
    none_may = bushing[0] == 0
    made, worn = kit["made"][0] == 1, kit["worn"][0] == 1
    for k in range(0, len(first), step):
        rows = first[k : k + step]
        bolts = trunnion[rows][:, None]
        eyes = eye[rows][:, None]
        sleeve_sure, sleeve_may = ~bolts & (eyes == 0), ~bolts & (eyes != 1)
        axle_sure, axle_may = ~bolts & (eyes == 1), ~bolts & (eyes != 0)
        lugs = ~bolts
        exact = kind[0] == kind[1]
        fit = exact & (
            (sleeve_sure & (kind[0] == 0)) | (axle_sure & (kind[0] == 1)) | (bolts & (kind[0] == 2))
        )
        may = ((sleeve_may & (kind[0] == 0)) | (axle_may & (kind[0] <= 1) & (kind[1] >= 1))
               | (bolts & (kind[1] == 2)))  # fmt: skip

        def both(applies_sure: M, applies_may: M, sides: list[tuple[F, F]]) -> None:
            nonlocal fit, may
            for low, high in sides:
                fit = fit & (~applies_may | (low >= -TOL))
                may = may & (~applies_sure | (high >= -TOL))

        low, high = kit["width_mm"][0][None] - gap, kit["width_mm"][1][None] - gap
        both(lugs, lugs, [(low + 0.5, high + 0.5), (0.1 - high, 0.1 - low)])
        low, high = kit["bore_mm"][0][None] - bolt, kit["bore_mm"][1][None] - bolt
        both(lugs, lugs, [(low, high), (0.2 - high, 0.2 - low)])
        low, high = kit["width_mm"][0][None], kit["width_mm"][1][None]
        both(lugs, lugs, [(grip - high, grip - low)])
        least, most = (edge[rows][:, None] for edge in c.shock[f"{end}_eye_width_mm"])
        both(lugs, lugs, [(low - most, high - least)])
        least, most = (edge[rows][:, None] for edge in c.shock[f"{end}_eye_bore_mm"])
        low = kit["bushing_diameter_mm"][0][None] - most
        high = kit["bushing_diameter_mm"][1][None] - least
        both(sleeve_sure & ~none_may, sleeve_may & ~none_sure,
             [(low + 0.1, high + 0.1), (0.1 - high, 0.1 - low)])  # fmt: skip
        least, most = (edge[rows][:, None] for edge in c.shock[f"{end}_sleeve_diameter_mm"])
        low = kit["sleeve_diameter_mm"][0][None] - most
        high = kit["sleeve_diameter_mm"][1][None] - least
        both(lugs & (none_sure | axle_sure), lugs & (none_may | axle_may),
             [(low + 0.05, high + 0.05), (0.05 - high, 0.05 - low)])  # fmt: skip
        if end == "head":
            own = thread[rows][:, None]
            same = (kit_thread[0] == own) & (kit_thread[0] == kit_thread[1])
            could = (own < 0) | ((kit_thread[0] <= own) & (kit_thread[1] >= own))
            fit &= ~bolts | same
            may &= ~bolts | could
            least, most = (edge[rows][:, None] for edge in c.shock["trunnion_thread_depth_mm"])
            low, high = kit["protrusion_mm"][0][None], kit["protrusion_mm"][1][None]
            both(bolts, bolts, [(least - high, most - low), (low - 6, high - 6)])
        fit &= ~made & ~worn
        may &= ~made & ~worn
        at = slice(k, k + len(rows))
        sure[at], unsure[at] = fit.any(axis=1), may.any(axis=1)
        dear[at] = np.where(fit, price[1], np.inf).min(axis=1)
        cheap[at] = np.where(may, price[0], np.inf).min(axis=1)
    return sure[code], cheap[code], unsure[code], dear[code]


_AIR = ("piston_area_mm2", "chamber_cm3", "negative_area_mm2", "negative_chamber_cm3",
        "equalise_at_mm", "volume_spacer_cm3", "pressure_min_psi", "pressure_max_psi")  # fmt: skip
_COIL = ("collar_pitch_mm", "preload_turns_min")


def damped(c: Columns, rows: I, kind: int) -> tuple[F, F]:
    """Price of the cheapest stroke, spring and tune that may break nothing, and of the cheapest
    that surely breaks nothing; infinite where there is none."""
    market = c.market
    start = c.stroke_start
    owner, stroke_row = ragged(start[rows], start[rows + 1] - start[rows])
    stroke = [market.stroke_mm.low[stroke_row], market.stroke_mm.high[stroke_row]]
    if kind == 0:
        number = np.floor(c.shock["volume_spacers_max"][1][rows]).astype(np.int64) + 1
        at, spring = ragged(np.zeros(len(owner), np.int64), number[owner])
    else:
        coils = np.flatnonzero((c.spring["is_coil"][0] == 1) & (c.spring["fitted"][0] == 0))
        at, spring = np.repeat(np.arange(len(owner)), len(coils)), np.tile(coils, len(owner))
    who = owner[at]
    # Corners: of each shock's loose facts, of a loose stroke, of a loose rate.
    names = ("length_mm", *(_AIR if kind == 0 else _COIL))
    ends = {name: [edge[rows] for edge in c.shock[name]] for name in names}
    low, high = ends["length_mm"]
    ends["length_mm"] = [low, np.clip(NOMINAL, low, high), high]
    for name in _AIR[:6] if kind == 0 else ():
        # Of a chamber that is as good as blank nothing is known: NaN, and no corners.
        low, high = ends[name]
        vague = (high > low) & (high >= 2 * low)
        ends[name] = [np.where(vague, np.nan, low), np.where(vague, np.nan, high)]
    corners = np.ones(len(rows), np.int64)
    strides = {}
    for name, edges in ends.items():
        strides[name] = corners
        corners = corners * np.where(edges[-1] > edges[0], len(edges), 1)
    of, corner = ragged(np.zeros(len(rows), np.int64), corners)
    value = {}
    for name, edges in ends.items():
        several = edges[-1][of] > edges[0][of]
        digit = np.where(several, corner // strides[name][of] % len(edges), 0)
        value[name] = np.choose(digit, [edge[of] for edge in edges])
    first = np.cumsum(corners) - corners
    strokes = np.where(stroke[1] > stroke[0], 2, 1)
    rates = np.where(c.spring["rate_n_per_mm"][1] > c.spring["rate_n_per_mm"][0], 2, 1)[spring]
    count = corners[who] * strokes[at] * rates
    row, k = ragged(np.zeros(len(at), np.int64), count)
    own = corners[who][row]
    x = first[who[row]] + k % own
    k //= own
    s = np.where(k % strokes[at][row] == 1, stroke[1][at][row], stroke[0][at][row])
    k //= strokes[at][row]
    d = value["length_mm"][x] - NOMINAL
    target = s * 30 / 100
    begin = np.cumsum(count) - count

    def least(margin: F) -> F:
        return np.minimum.reduceat(np.where(np.isnan(margin), -np.inf, margin), begin)

    def most(margin: F) -> F:
        return np.maximum.reduceat(np.where(np.isnan(margin), np.inf, margin), begin)

    fit, may = np.ones(len(at), bool), np.ones(len(at), bool)

    def sides(*margins: F) -> None:
        nonlocal fit, may
        for margin in margins:
            fit &= least(margin) >= -TOL
            may &= most(margin) >= -TOL

    # The least ceiling of a length that is nearest to the only approved one is that one's.
    sides(52.5 - s, STOP - (s - d))
    grown = travel((s - d) * MM) - travel(np.float64(X0 * MM))
    sides(GAP0 - CLOSING * grown / MM - 6.0)
    gone = (travel((s - d) * MM) - travel(-d * MM)) / MM
    sides(gone - 125.0, 140.0 - gone)
    if kind == 0:
        sag, rate = _air(value, x, s, d, spring[row], target, sides)
        spacer = spring.astype(float)
        low, high = (edge[rows][who] for edge in c.shock["volume_spacers_max"])
        fit &= low - spacer >= -TOL
        may &= high - spacer >= -TOL
    else:
        sag, rate = _coil(c, value, x, s, d, row, k, spring, target, sides)
        ok, could = _seated(c, rows[who], spring, at, stroke, value, ends, who)
        fit, may = fit & ok, may & could
    lever = ratio((sag - d) * MM)
    wheel = rate / lever**2 - FORCE * lever * SLOPE / lever**3
    critical = 2 * np.sqrt(np.maximum(wheel / 1000 * 1000 * MASS, 0.0)) * lever**2
    soft, stiff = least(critical), most(critical)
    return _tuned(c, rows, who, at, spring, stroke_row, owner, kind, fit, may, soft, stiff)


def _air(value, x, s, d, spacers, target, sides):  # type: ignore[no-untyped-def]
    """Pressure window; sag at the clipped fill, and the riding rate there, N/m."""
    area, volume, negative_area, negative, meet, spacer, low, high = (value[n][x] for n in _AIR)
    a, an, vn, me = area * 1e-6, negative_area * 1e-6, negative * 1e-6, meet * MM
    v = (volume - np.where(spacers > 0, spacers * spacer, 0.0)) * 1e-6
    equal = v / np.maximum(v - a * me, 0.0) * (vn + an * me)
    present = an > 0

    def fill(at_mm: F) -> F:
        at = at_mm * MM
        room = np.maximum(v - a * at, 0.0)
        gain = a * (v / room) - an * np.where(present, equal / (vn + an * at), 0.0)
        load = FORCE * ratio((at_mm - d) * MM) + ATM * (a - an)
        out = load / np.where(gain <= 0, 1.0, gain) - ATM
        return np.where((gain <= 0) | (room <= 0), np.inf, out) / PSI

    sides(high - fill(s * 35.0 / 100), fill(s * 25.0 / 100) - low)
    sides(high - fill(s * 33.0 / 100), fill(s * 26.0 / 100) - low)
    wanted = fill(target)
    held = np.clip(wanted, low, high)
    sag = target.copy()
    off = np.flatnonzero(np.abs(wanted - held) > 1e-9)
    chambers = air.AirSpring(a[off], v[off], an[off], vn[off], me[off])
    root = air.sag(held[off] * PSI, FORCE, CURVE, chambers, d[off] * MM, s[off] * MM)
    sag[off] = np.minimum(root / MM, s[off])
    at = sag * MM
    p0 = held * PSI + ATM
    room, behind = np.maximum(v - a * at, 0.0), vn + an * at
    front = p0 * v / room
    back = np.where(present, p0 * equal / behind, 0.0)
    rate = 1.3 * (front * a**2 / room + np.where(present, back * an**2 / behind, 0.0))
    return sag, rate


def _coil(c, value, x, s, d, row, k, spring, target, sides):  # type: ignore[no-untyped-def]
    """Sag band; the sag at the actual rate, and the rate, N/m."""
    low, high = c.spring["rate_n_per_mm"]
    made = c.spring["made"][0][spring] == 1
    preload = value["collar_pitch_mm"][x] * value["preload_turns_min"][x]
    rate = np.where(k == 1, high[spring][row], low[spring][row]) * 1000
    needed = FORCE * ratio((target - d) * MM) / ((target + preload) * MM)
    rate = np.where(made[row], needed, rate)
    # k (x + p) = F (r0 + r1 (x - d)): linear leverage, so closed form.
    root = (FORCE * (START - SLOPE * d * MM) - rate * preload * MM) / (rate - FORCE * SLOPE)
    sag = np.minimum(np.maximum(root, 0.0) / MM, s)
    percent = 100 * sag / s
    silent = made[row]
    sides(np.where(silent, np.inf, percent - 26), np.where(silent, np.inf, 33 - percent))
    return sag, rate


def _seated(c, shock, spring, at, stroke, value, ends, who):  # type: ignore[no-untyped-def]
    """Whether a spring sits on the shock, does not bind, and finds room."""
    fits = c.spring["fits"][0][spring] == 1
    made = c.spring["made"][0][spring] == 1
    kit = {name: (low[spring], high[spring]) for name, (low, high) in c.spring.items()}
    own = {name: tuple(edge[shock] for edge in c.shock[name]) for name in (
        "spring_seat_mm", "spring_length_min_mm", "spring_length_max_mm")}  # fmt: skip
    pitch, turns = (ends[n] for n in _COIL)
    reach = [(pitch[k] * turns[k])[who] for k in (0, -1)]
    fit, may = np.ones(len(spring), bool), np.ones(len(spring), bool)

    def both(low: F, high: F, silent: M) -> None:
        nonlocal fit, may
        fit &= silent | (low >= -TOL)
        may &= silent | (high >= -TOL)

    usable = kit["usable_travel_mm"]
    both(usable[0] - stroke[1][at] - reach[1], usable[1] - stroke[0][at] - reach[0], fits)
    inner, seat = kit["inner_diameter_mm"], own["spring_seat_mm"]
    both(inner[0] - seat[1], inner[1] - seat[0], fits)
    both(0.6 - (inner[1] - seat[0]), 0.6 - (inner[0] - seat[1]), fits)
    free = kit["free_length_mm"]
    both(free[0] - own["spring_length_min_mm"][1], free[1] - own["spring_length_min_mm"][0], fits)
    both(own["spring_length_max_mm"][0] - free[1], own["spring_length_max_mm"][1] - free[0], fits)
    outer = kit["outer_diameter_mm"]
    both(36.0 - outer[1] / 2 - 3, 36.0 - outer[0] / 2 - 3, made)
    return fit & ~made, may & ~made


def _tuned(c, rows, who, at, spring, stroke_row, owner, kind, fit, may, soft, stiff):  # type: ignore[no-untyped-def]
    """The damper's margins for every tune on offer, and the cheapest that passes."""
    market, tune = c.market, c.tune
    family = market.shocks.text("damper").codes[rows]
    lists = [np.append(market.services_of.get(code, []), -1).astype(np.int64)
             for code in range(int(family.max()) + 1)]  # fmt: skip
    length = np.array([len(one) for one in lists])
    listed = np.concatenate(lists)
    number = length[family] + 1
    tuned, place = ragged((np.cumsum(length) - length)[family] - 1, number)
    is_first = np.append(True, np.diff(tuned) > 0)
    option = np.where(is_first, rows[tuned], listed[np.maximum(place, 0)])
    option = np.where(option < 0, len(market.tunes.labels) - 1, option)
    made = tune["made"][0][option] == 1

    def reach(side: str, table: F) -> tuple[F, F]:
        low, high = (edge[option] for edge in tune[f"{side}_n_s_per_m"])
        codes = [edge[option].astype(np.int64) for edge in tune[f"{side.split('_')[0]}_class"]]
        told = np.isnan(low)
        return np.where(told, table[codes[0]], low), np.where(told, table[codes[1]], high)

    ranges = [
        reach("rebound_low", REBOUND_LOW),
        reach("rebound_high", REBOUND_HIGH),
        reach("compression_low", COMPRESSION_LOW),
        reach("compression_high", COMPRESSION_HIGH),
    ]
    begin = np.cumsum(number) - number
    full, t = ragged(begin[who], number[who])
    sure, unsure = fit[full], may[full]
    for zeta, (low, high) in zip(
        (ZETA_REBOUND, ZETA_COMPRESSION), (ranges[:2], ranges[2:]), strict=True
    ):
        need_low, need_high = (soft * zeta)[full], (stiff * zeta)[full]
        # NaN at a corner is 'nothing known': the ends are infinite and so say nothing.
        sure &= (need_low - low[1][t] >= -TOL) & (high[0][t] - need_high >= -TOL)
        unsure &= (need_high - low[0][t] >= -TOL) & (high[1][t] - need_low >= -TOL)
    bought = ~made[t]
    sure &= bought
    unsure &= bought
    cheap, dear = _setting_cost(c, rows, who, at, spring, stroke_row, owner, kind)
    price = [edge[option] + tune["labour"][k][option] for k, edge in enumerate(tune["price"])]
    total_low = np.where(unsure, cheap[full] + price[0][t], np.inf)
    total_high = np.where(sure, dear[full] + price[1][t], np.inf)
    count = np.bincount(who, weights=number[who], minlength=len(rows)).astype(np.int64)
    first = np.cumsum(count) - count
    return np.minimum.reduceat(total_low, first), np.minimum.reduceat(total_high, first)


def _setting_cost(c, rows, who, at, spring, stroke_row, owner, kind):  # type: ignore[no-untyped-def]
    market, works = c.market, c.market.works
    low, high = c.shock["stroke_mm"]
    near = ((market.stroke_mm.low[stroke_row] <= high[rows[owner]] + 1e-6)
            & (market.stroke_mm.high[stroke_row] >= low[rows[owner]] - 1e-6))  # fmt: skip
    several = np.bincount(owner, weights=near, minlength=len(rows))[owner] > 1
    least, most = works["change stroke"].labour
    cheap, dear = (~near * least)[at], ((~near | several) * most)[at]
    if kind == 0:
        each = market.shocks.number("volume_spacer_price")
        least, most = (
            np.where(each.is_known, edge, 0.0)[rows][who] for edge in (each.low, each.top)
        )
        set_low, set_high = (np.where(spring > 0, end, 0.0)
                             for end in works["set volume spacers"].labour)  # fmt: skip
        return cheap + spring * least + set_low, dear + spring * most + set_high
    (low, high), (least, most) = c.spring["price"], c.spring["labour"]
    return cheap + (low + least)[spring], dear + (high + most)[spring]
