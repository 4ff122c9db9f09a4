"""Judging every shock of the market.

Shocks are judged in chunks, air and coil apart. The groups of choices are independent unless a sum
(price, mass) couples them; only where that sum can decide are the groups combined.
"""

from collections.abc import Iterator

import numpy as np

from recommender.catalogue.columns import Floats, Ints, Mask
from recommender.facts.wishes import Wishes
from recommender.rules.choices import Market
from recommender.rules.mounting import AIR, COIL
from recommender.search.families import Family, Sets, reduce_family, same_sets, unions
from recommender.search.groups import Group, Rules, rules_of
from recommender.search.joint import Order, free, order_of
from recommender.search.kits import KIT_GROUPS, KitTable
from recommender.search.needless import without_needless
from recommender.search.owners import owners
from recommender.search.reduction import Both, group_pair
from recommender.search.tables import Pair, Shared
from recommender.search.verdicts import FITS, OPEN, RULED_OUT, Part, Verdicts
from recommender.search.whole_sets import whole_pairs

CHUNK = 16_384
UNITED = 1_000_000
"""Members of united families beyond which they are reduced on the way."""

KitTables = dict[Group, KitTable]


def judge(
    market: Market, wishes: Wishes, rows: Ints | None = None, kits: KitTables | None = None
) -> Verdicts:
    """Verdicts on every shock (or on those rows). `kits` is filled, for markets to come that have
    the same kits and ask the same of them."""
    rows = np.arange(len(market.shocks)) if rows is None else rows
    market = without_needless(market, wishes)
    order = order_of(market)
    kind = market.shocks.choice("spring_kind").codes[rows]
    kits = {} if kits is None else kits
    parts: list[Part] = []
    for code, word in ((AIR, "air"), (COIL, "coil"), (-1, "")):
        some = rows[kind == code]
        if len(some):
            parts += _judge_kind(market, wishes, order, kits, some, word)
    return _collect(rules_of(wishes), len(market.shocks), tuple(parts))


def _judge_kind(
    market: Market,
    wishes: Wishes,
    order: Order,
    kits: KitTables,
    rows: Ints,
    springs: str,
) -> Iterator[Part]:
    """Shocks of one spring kind, chunk by chunk. Kit groups that are the same for both kinds share
    their table."""
    rules = rules_of(wishes, springs)
    for group in rules.groups:
        if group.choices in KIT_GROUPS and group not in kits:
            kits[group] = KitTable(market, order, group, rules, bool(rules.couplings))
    for k in range(0, len(rows), CHUNK):
        yield from _chunk(market, wishes, order, rules, kits, rows[k : k + CHUNK])


def _chunk(
    market: Market,
    wishes: Wishes,
    order: Order,
    rules: Rules,
    kits: KitTables,
    rows: Ints,
) -> Iterator[Part]:
    made = owners(market, rows)
    groups = [
        kits[group].pair(made.frames) if group in kits
        else group_pair(order, made.frames, group, rules, bool(rules.couplings))
        for group in rules.groups
    ]  # fmt: skip
    touched = ~free(order.shelves["shock"].at(made.shock), order.minimum, "shock")
    left = [np.array([], np.int64)]
    for who, every, sure in _coupled(market, rules, groups, len(made.shock)):
        differs = touched[who]
        for a, b in zip(every, sure, strict=True):
            differs |= ~_same(a, b)
        keep = np.flatnonzero(~differs)
        if len(keep):
            shared = tuple(one.take(keep).once() for one in every)
            yield Part(made.shock[who[keep]], made.turned[who[keep]], shared)
        left.append(who[differs])
    who = np.sort(np.concatenate(left))
    if len(who):
        # A joint rule may decide here, so every whole completion is looked at.
        shock, turned = made.shock[who], made.turned[who]
        whole = Shared.own(whole_pairs(market, wishes, shock, turned)).once()
        yield Part(shock, turned, (whole,))


def _same(a: Shared, b: Shared) -> Mask:
    """Owners whose sets are the same in both, which share one index."""
    if a.pair is b.pair:
        return np.ones(len(a.index), bool)
    same = same_sets(a.pair.certain, b.pair.certain)
    same &= same_sets(a.pair.possible, b.pair.possible)
    found: Mask = same[a.index]
    return found


def _coupled(
    market: Market, rules: Rules, groups: list[Both], owners: int
) -> Iterator[tuple[Ints, list[Shared], list[Shared]]]:
    """Owners whose sums cannot decide keep their groups apart; the others' groups are combined.

    Yields those owners with their factors over all entries and over the neutral ones.
    """
    versions = [[Shared(both.every, both.index) for both in groups]]
    if any(both.neutral is not both.every for both in groups):
        versions.append([Shared(both.neutral, both.index) for both in groups])
    if not rules.couplings:
        yield np.arange(owners), versions[0], versions[-1]
        return
    decided = np.ones(owners, bool)
    constants = []
    for some in versions:
        sure, *sets = _decide(market, rules, some, owners)
        decided &= sure
        constants.append(sets)
    for a, b in zip(constants[0], constants[-1], strict=True):
        decided &= a == b
    apart, joint = np.flatnonzero(decided), np.flatnonzero(~decided)
    if len(apart):
        constant = Shared.own(Pair(*(_constant(side[apart]) for side in constants[0])))
        split = [[*(one.plain().take(apart) for one in some), constant] for some in versions]
        yield apart, split[0], split[-1]
    if len(joint):
        whole = [[_joined(market, rules, some, joint)] for some in versions]
        yield joint, whole[0], whole[-1]


def _limits(market: Market, rules: Rules) -> dict[str, float]:
    """What each coupled sum may come to."""
    return {rule.couples: float(market.scalars[rule.reads[1]].corners[0]) + rule.tolerance
            for rule in rules.couplings}  # fmt: skip


def _decide(
    market: Market, rules: Rules, groups: list[Shared], owners: int
) -> tuple[Mask, Sets, Sets]:
    """Owners for whom every coupled sum is over, or within, its limit whatever is chosen among the
    minimal sets; and the bits that are then set, certainly and possibly."""
    limits = _limits(market, rules)
    decided = np.ones(owners, bool)
    constant = (np.zeros(owners, np.uint64), np.zeros(owners, np.uint64))
    for rule in rules.couplings:
        for side, sets in zip(("certain", "possible"), constant, strict=True):
            least, enough = _reach(groups, side, rule.couples)
            always, never = least > limits[rule.couples], enough <= limits[rule.couples]
            sets[always] |= np.uint64(rules.bit(rule))
            decided &= always | never
    return decided, *constant


def _joined(market: Market, rules: Rules, groups: list[Shared], who: Ints) -> Shared:
    """One factor: the unions of all groups' sets with the coupled sums' bits."""
    whole = []
    known = all(one.pair.known for one in groups)
    for side in ("certain",) if known else ("certain", "possible"):
        union, *families = (getattr(one.pair, side).take(one.index[who]) for one in groups)
        for family in families:
            if int(union.count @ family.count) > UNITED:
                # Each is reduced already, so before the sums are known little more goes.
                union = reduce_family(union, True)
            union = unions(union, family)
        sets = union.sets.copy()
        for couples, limit in _limits(market, rules).items():
            rule = next(one for one in rules.couplings if one.couples == couples)
            total = union.price if couples == "price" else union.mass
            sets[total > limit] |= np.uint64(rules.bit(rule))
        family = Family(union.count, sets, union.price, union.mass, union.row)
        whole.append(reduce_family(family, False))
    return Shared.own(Pair(whole[0], whole[-1]))


def _reach(groups: list[Shared], side: str, what: str) -> tuple[Floats, Floats]:
    """The least total of any completion, and a total that suffices for every minimal set.

    The second takes, of each group, the dearest of its inclusion-minimal sets at their own least
    sums, so at or below the limit the sum can never be what breaks.
    """
    owners = len(groups[0].index)
    least, enough = np.zeros(owners), np.zeros(owners)
    for one in groups:
        family: Family = getattr(one.pair, side)
        values = family.price if what == "price" else family.mass
        least += np.minimum.reduceat(values, family.start)[one.index]
        enough += np.maximum.reduceat(values, family.start)[one.index]
    return least, enough


def _constant(sets: Sets) -> Family:
    count = np.ones(len(sets), np.int64)
    zero = np.zeros(len(sets))
    return Family(count, sets, zero, zero, np.full(len(sets), -1, np.int64))


def _collect(rules: Rules, shocks: int, parts: tuple[Part, ...]) -> Verdicts:
    state = np.full(shocks, RULED_OUT, np.int8)
    for part in parts:
        best = np.where(part.fits, FITS, np.where(part.not_ruled_out, OPEN, RULED_OUT))
        np.minimum.at(state, part.shock, best.astype(np.int8))
    broken = _fewest(parts, shocks, False)
    known = all(one.pair.known for part in parts for one in part.shared)
    doubtful = broken if known else _fewest(parts, shocks, True)
    return Verdicts(rules, state, broken, doubtful, parts)


def _fewest(parts: tuple[Part, ...], shocks: int, possible: bool) -> Sets:
    """Over the ways of mounting each shock the smallest union, lowest on a tie."""
    out = np.zeros(shocks, np.uint64)
    shock = np.concatenate([part.shock for part in parts])
    sets = np.concatenate([part.fewest(possible) for part in parts])
    order = np.lexsort((sets, np.bitwise_count(sets), shock))
    first = order[np.unique(shock[order], return_index=True)[1]]
    out[shock[first]] = sets[first]
    return out
