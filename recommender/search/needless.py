"""Kits and services that another of the market makes needless for every shock.

Many are alike in all that the rules read. Of those the cheapest and lightest serves wherever the
others would, as long as no rule about the whole order reads anything of them.
"""

from collections.abc import Iterable
from dataclasses import replace

import numpy as np

from recommender.catalogue.codes import code_of_both
from recommender.catalogue.columns import Ints, Mask
from recommender.facts.wishes import Wishes
from recommender.rules.choices import Market
from recommender.rules.option_table import OptionTable
from recommender.search.alike import signatures
from recommender.search.groups import rules_of
from recommender.search.joint import order_of
from recommender.search.useful import uncovered


def without_needless(market: Market, wishes: Wishes) -> Market:
    """The market without them, which has the same verdicts."""
    read = {leaf for group in rules_of(wishes).groups for one in group.rules for leaf in one.leaves}
    order = order_of(market)
    kits = np.arange(len(market.kits.labels))
    unread = order.unread(order.shelves["head_kit"].every, "head_kit")
    ends = _of(read, "head_kit_") | _of(read, "shaft_kit_")
    few = _needed(market.kits, kits, np.zeros_like(kits), ends, unread)
    family = np.full(len(market.tunes.labels), -1)
    for code, rows in market.services_of.items():
        family[rows] = code
    services = np.flatnonzero(family >= 0)
    unread = order.unread(order.shelves["tune"].at(services), "tune")
    kept = np.zeros(len(family), bool)
    kept[_needed(market.tunes, services, family[services], _of(read, "tune_"), unread)] = True
    return replace(
        market,
        kits=market.kits.take(few),
        services_of={code: rows[kept[rows]] for code, rows in market.services_of.items()},
    )


def _of(read: Iterable[str], prefix: str) -> set[str]:
    return {leaf.removeprefix(prefix) for leaf in read if leaf.startswith(prefix)}


def _needed(table: OptionTable, rows: Ints, of: Ints, read: set[str], unread: Mask) -> Ints:
    """Those of the rows that no other makes needless; ones with another number in `of` do not
    compare. `unread`: joint rules read nothing of them."""
    _, code = signatures({name: table.facts[name].take(rows) for name in sorted(read)}, len(rows))
    code = code_of_both(of, code)
    among = np.where(unread, code, len(rows) + np.arange(len(rows)))
    price, labour, mass = (table.facts[name].take(rows) for name in ("price", "labour", "mass_g"))
    sums = (price.low + labour.low, price.high + labour.high, mass.low, mass.high)
    return rows[uncovered(among, unread, -np.stack(sums, axis=1))]
