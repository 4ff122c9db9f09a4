"""What nobody told and a plan had to take for granted, in words."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence

from recommender.answer.numbers import span
from recommender.fleet.changes import Change
from recommender.fleet.checked import Checked, listed
from recommender.fleet.fleet import Fleet
from recommender.fleet.open_amounts import OpenAmount
from recommender.fleet.trial import KITS


def untold(fleet: Fleet, some: Sequence[Checked]) -> Iterator[str]:
    """What is ordered for those bikes without being told."""
    yield from _hardware(some, fleet.currency)
    if fleet.limits.in_stock:
        yield from _stock(some, fleet.market.tunes.labels)


def middles(some: Iterable[Checked], currency: str) -> Iterator[str]:
    """Amounts told with two ends, which count by their middle."""
    alike: dict[OpenAmount, list[str]] = defaultdict(list)
    for one in some:
        for amount in dict.fromkeys(one.open):
            alike[amount] += [change.bike for change in one.changes]
    for amount, bikes in alike.items():
        why = f"; {amount.why}" if amount.why else ""
        yield f"Taken at its middle: {amount.told(currency)} ({listed(bikes)}){why}."


def _hardware(some: Iterable[Checked], currency: str) -> Iterator[str]:
    """Bikes that get new hardware only because what is on them is not told."""
    alike: dict[str, list[tuple[str, float]]] = defaultdict(list)
    for one in some:
        for change in one.changes if one.untold else ():
            prices = zip(KITS, (change.head.part.price, change.shaft.part.price), strict=True)
            cost = sum(price for end, price in prices if end in one.untold)
            facts = " and ".join(_facts(change, end) for end in one.untold)
            alike[facts].append((change.bike, cost))
    for facts, bikes in alike.items():
        names = [name for name, _ in bikes]
        least, most = (end(cost for _, cost in bikes) for end in (min, max))
        count = f"{len(names)} bike{'' if len(names) == 1 else 's'}"
        yield (
            f"Hardware of {count} not told in full, so bought new for "
            f"{span(least, most, 'money')} {currency} a bike ({listed(names)}). What is on them "
            f"may do: tell {facts} in the model's file."
        )


def _facts(change: Change, end: str) -> str:
    """Where the facts of what is on the bike at that end are told."""
    if end == KITS[0] and change.group.question.bike.mount == "trunnion":
        return "bike.head.trunnion_thread and bike.head.bolt_protrusion_mm"
    return f"bike.present_shock.{end.replace('kit', 'sleeve')}"


def _stock(some: Iterable[Checked], services: Iterable[str]) -> Iterator[str]:
    """The parts of which nobody told how many there are; a service has no stock."""
    parts = {part for one in some for change in one.changes for part in change.parts}
    names = {part.name for part in parts if part.stock == float("inf")} - set(services)
    if names:
        yield (
            "A stock that nobody told is taken as enough by --in-stock; ask the supplier before "
            f"ordering: {', '.join(sorted(names))}."
        )
