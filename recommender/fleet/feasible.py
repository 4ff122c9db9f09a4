"""Every way to serve the bikes of a group: the whole feasible set, from the rules' own margins.

Shocks are sieved rule by rule, then their stroke settings, tunes and spring settings judged at
the riders' masses, then the kits at either end, each against the same margins as the shortlist.
Nothing is reduced here: a kit that is beaten everywhere may be the one that all bikes can share.
"""

from dataclasses import dataclass, replace

import numpy as np

from recommender.catalogue.catalogue import Catalogue
from recommender.catalogue.columns import Floats, Ints, Mask
from recommender.catalogue.question import Question
from recommender.fleet.fitting import fitting
from recommender.fleet.served import Spans, spans
from recommender.fleet.trial import KITS, SETTINGS, Trial, take
from recommender.ranking.criteria import Criterion, criteria
from recommender.ranking.tables import group_tables
from recommender.rules.choices import Market
from recommender.rules.market import open_market, owner_facts, variants
from recommender.rules.registry import entity, scope
from recommender.search.frames import Frames, order
from recommender.search.groups import Rules, rules_of
from recommender.search.joint import Order, order_of
from recommender.search.margins import broken
from recommender.search.owners import Owners, owners
from recommender.search.tables import sums
from recommender.search.whole import Whole


@dataclass(frozen=True)
class Found:
    """One kind of spring: the shocks that are left, and every way to set each of them.

    Arrays run over ways: `owner` is the row of `made`, `fixed` the row of its frame of FIXED,
    `springs` the spring settings (rows of the frame of SETTINGS) that serve the riders, lightest
    first, `ends` the masses between which each is used. `price`, `high`, `mass` are sums without
    kits (nominal; highest price and mass), `points` what the build's own criteria give.
    `heads` and `shafts` are rows of `kit_sets`.
    """

    market: Market
    order: Order
    rules: Rules
    made: Owners
    owner: Ints
    fixed: Ints
    springs: tuple[Ints, ...]
    ends: tuple[Floats, ...]
    price: Floats
    high: Floats
    mass: Floats
    points: Floats
    heads: Ints
    shafts: Ints
    kit_sets: tuple[Mask, Mask]


def feasible(question: Question, catalogue: Catalogue, changes: bool, point: float) -> list[Found]:
    """The feasible set of a question whose rider's mass is a range to be served.

    `changes`: another spring setting may be put in for another rider; the settings' intervals must
    then cover the range between them. `point` is the worth of a point, by which of several
    settings that serve alike one is taken.
    """
    market = open_market(question, catalogue)
    shelves = order_of(market)
    codes = market.shocks.choice("spring_kind").codes
    out = []
    for code, kind in ((0, "air"), (1, "coil"), (-1, "")):
        rows = np.flatnonzero(codes == code)
        if len(rows):
            found = _of_kind(question, catalogue, market, shelves, rows, kind, changes, point)
            if found is not None:
                out.append(found)
    return out


def _of_kind(
    question: Question, catalogue: Catalogue, market: Market, shelves: Order, rows: Ints,
    kind: str, changes: bool, point: float,
) -> Found | None:  # fmt: skip
    rules = rules_of(question.wishes, kind)
    shock, turned = _sieved(market, rules, rows)
    if not len(shock):
        return None
    made = _thinned(_owners(market, shock, turned), rules)
    riders = question.rider.mass_with_kit_kg
    trial = Trial(question, catalogue, market, rules, made)
    made, holds = _hopeful(trial, (riders.low, riders.high), changes)
    if not len(made.shock):
        return None
    worth = _worth(question, market, shelves, rules, made)
    price = worth.spring - point * worth.points
    trial = Trial(question, catalogue, market, rules, made)
    # Where a sum is limited, a dearer or heavier setting may still be the one that is wanted.
    every = bool(rules.couplings)
    got = spans(trial, riders.low, riders.high, changes, price, holds, every)
    if not len(got.fixed):
        return None
    return _with_kits(market, shelves, rules, made, worth, got, riders.mid)


def _sieved(market: Market, rules: Rules, rows: Ints) -> tuple[Ints, Mask]:
    """Mounted shocks that break none of the rules about the shock alone, whatever is measured."""
    shock, turned = variants(market, rows)
    mine = next(group for group in rules.groups if not group.choices)
    names = {leaf for rule in mine.rules for leaf in rule.leaves if entity(leaf) == "shock"}
    facts = {
        name: fact for name, fact in owner_facts(market, shock, turned).items() if name in names
    }
    for rule in mine.rules:
        frames = Frames(len(shock), facts, market.scalars, {})
        keep = np.flatnonzero(broken(frames, [(rule, 1)])[()][1] == 0)
        if len(keep) < len(shock):
            shock, turned = shock[keep], turned[keep]
            facts = {name: fact.take(keep) for name, fact in facts.items()}
    return shock, turned


def _owners(market: Market, shock: Ints, turned: Mask) -> Owners:
    """Owners of those shocks, less the ways of mounting that the sieve took out."""
    made = owners(market, np.unique(shock))
    wanted = set(zip(shock.tolist(), turned.tolist(), strict=True))
    keep = [
        k for k, one in enumerate(zip(made.shock.tolist(), made.turned.tolist(), strict=True))
        if one in wanted
    ]  # fmt: skip
    if len(keep) == len(made.shock):
        return made
    return take(made, np.array(keep, np.int64))


def _thinned(made: Owners, rules: Rules) -> Owners:
    """Without the options that break a rule about nothing but themselves and the shock, and without
    the shocks that then have none: the frames of several choices shrink with the product."""
    options = dict(made.frames.options)
    for name, one in options.items():
        alone = [
            (rule, 1) for group in rules.groups for rule in group.rules
            if order(rule.scope) == (name,)
        ]  # fmt: skip
        if not alone:
            continue
        keep = broken(made.frames, alone)[(name,)][1] == 0
        owner = made.frames.layout((name,)).owner
        count = np.bincount(owner[keep], minlength=len(one.count))
        flat = {key: fact.take(np.flatnonzero(keep)) for key, fact in one.flat.items()}
        options[name] = replace(one, count=count, row=one.row[keep], flat=flat)
    frames = made.frames
    thin = Frames(frames.owners, frames.owner_facts, frames.scalars, options)
    some = np.flatnonzero(np.min([one.count for one in options.values()], axis=0) > 0)
    return take(Owners(made.shock, made.turned, thin), some)


def _hopeful(trial: Trial, ends: tuple[float, float], changes: bool) -> tuple[Owners, Mask]:
    """The owners that some setting serves at either end of the range (a fixed one at both), and
    what holds there: one row for each end, one column for each row of their frame."""
    holds = np.stack([trial.passes(mass) for mass in dict.fromkeys(ends)])
    fixed, owner = trial.fixed, trial.owner
    both: list[Mask] = list(holds) if changes else [np.logical_and.reduce(holds)]
    size = int(fixed.max()) + 1 if len(fixed) else 0
    hopeful = np.ones(size, bool)
    for row in both:
        hopeful &= np.bincount(fixed[row], minlength=size) > 0
    keep = np.unique(owner[hopeful[fixed]]) if size else np.zeros(0, np.int64)
    return take(trial.made, keep), holds[:, np.isin(owner, keep)]


@dataclass(frozen=True)
class _Worth:
    """Over the rows of the frame of SETTINGS: what each costs (the spring setting's part of it
    apart), its highest price, its highest mass, and the points of the build's own criteria."""

    price: Floats
    high: Floats
    mass: Floats
    spring: Floats
    points: Floats


def _worth(
    question: Question, market: Market, shelves: Order, rules: Rules, made: Owners
) -> _Worth:
    groups = tuple(group for group in rules.groups if not set(group.choices) & set(KITS))
    mine = tuple(one for one in criteria(question.wishes) if _of_build(one))
    whole = Whole(market, shelves, rules, made, 0, False, 0, groups, ())
    frames = made.frames
    size = frames.layout(SETTINGS).size
    price, high, mass, points = (np.zeros(size) for _ in range(4))
    with np.errstate(all="ignore"):
        for group, table in zip(groups, group_tables(whole, mine), strict=True):
            weights = np.array([one.weight for one in table.criteria])
            rows = frames.rows_of(SETTINGS, group.choices)
            at = slice(None) if rows is None else rows
            price += table.price[at]
            high += sums(frames, group.choices, "price")[1][at]
            mass += sums(frames, group.choices, "mass")[1][at]
            points += (table.values @ weights)[at] if len(weights) else 0.0
        nominal = frames.nominal()
        spring = sum(
            np.broadcast_to(nominal.at(f"spring_{name}", SETTINGS), (size,))
            for name in ("price", "labour")
        )
    return _Worth(price, high, mass, np.asarray(spring, float), points)


def _of_build(criterion: Criterion) -> bool:
    """What the build decides; cost, days and hardware are weighed by the plan itself."""
    return not criterion.total and not set(order(scope(criterion.fact))) & set(KITS)


def _with_kits(
    market: Market, shelves: Order, rules: Rules, made: Owners, worth: _Worth, got: Spans,
    middle: float,
) -> Found | None:  # fmt: skip
    """The ways whose shock has a kit that fits at either end."""
    used = np.unique(got.owner)
    sets, codes = [], []
    for name in KITS:
        group = next(one for one in rules.groups if one.choices == (name,))
        matrix, code = fitting(market, group, rules, take(made, used))
        known: dict[bytes, int] = {}
        alike = np.array([known.setdefault(one.tobytes(), len(known)) for one in matrix])
        sets.append(np.stack([np.frombuffer(one, bool) for one in known]))
        codes.append(alike[code][np.searchsorted(used, got.owner)])
    any_head, any_shaft = (np.asarray(one.any(axis=1)) for one in sets)
    keep = np.flatnonzero(any_head[codes[0]] & any_shaft[codes[1]])
    if not len(keep):
        return None
    # The build is scored with the setting of the middle rider; the other settings are bought too.
    base = np.array([
        rows[max(0, int(np.searchsorted(ends, middle)) - 1)]
        for rows, ends in zip(got.springs, got.ends, strict=True)
    ])  # fmt: skip
    every = np.array([worth.spring[rows].sum() for rows in got.springs])
    more = every - worth.spring[base]
    best = _best_clocking(made, base, bool(rules.couplings), worth.points[base])
    keep = keep[best[keep]]
    return Found(
        market, shelves, rules, made, got.owner[keep], got.fixed[keep],
        tuple(got.springs[k] for k in keep.tolist()), tuple(got.ends[k] for k in keep.tolist()),
        (worth.price[base] + more)[keep], (worth.high[base] + more)[keep],
        worth.mass[base][keep], worth.points[base][keep],
        codes[0][keep], codes[1][keep], (sets[0], sets[1]),
    )  # fmt: skip


def _best_clocking(made: Owners, base: Ints, every: bool, points: Floats) -> Mask:
    """Of ways that differ in clocking alone (and spring, unless `every`) the one with most points,
    the first on a tie."""
    kept = tuple(name for name in SETTINGS if name != "clocking" and (every or name != "spring"))
    rows = made.frames.rows_of(SETTINGS, kept)
    alike = base if rows is None else rows[base]
    order = np.lexsort((base, -points, alike))
    best = np.zeros(len(base), bool)
    best[order[np.unique(alike[order], return_index=True)[1]]] = True
    return best
