"""Random small tasks, and the plain ways to solve them that the optimiser is held against."""

from collections import Counter
from collections.abc import Iterator
from itertools import product

import numpy as np

from recommender.fleet.task import Fit, Limits, Part, Task, Way

Served = tuple[Way, Fit, Fit] | None


def random_task(seed: int, groups: int, builds: int, kits: int, most: int, ways: int) -> Task:
    """`most` bikes in a group, up to `ways` ways for each; prices are whole."""
    rng = np.random.default_rng(seed)
    shelf = [
        Fit(Part(f"K{k}", 1, float(rng.integers(1, 9)), f"S{k % 2}", float(rng.integers(1, 6))),
            float(rng.integers(0, 3)))
        for k in range(kits)
    ]  # fmt: skip
    reuse = Fit(Part("on the bike", 1, 0.0), 0.0, False)
    fits: list[tuple[Fit, ...]] = []
    for _ in range(4):
        some = [fit for fit in shelf if rng.random() < 0.6]
        some += [reuse] if rng.random() < 0.3 or not some else []
        fits.append(tuple(some))
    prices = rng.integers(20, 60, builds)
    stock = rng.integers(1, 5, builds)
    made: list[Way] = []
    for group in range(groups):
        for _ in range(int(rng.integers(1, ways + 1))):
            build = int(rng.integers(0, builds))
            kept = rng.random() < 0.2
            shock = "" if kept else f"B{build}"
            parts = () if kept else (
                Part(shock, 1, float(prices[build]), f"S{build % 3}", float(stock[build])),)
            made.append(
                Way(group, f"B{build} | 50 mm | as delivered", shock, parts,
                    float(rng.integers(0, 9)), float(rng.integers(0, 4)),
                    int(rng.integers(0, 4)), int(rng.integers(0, 4)))
            )  # fmt: skip
    sizes = tuple(int(n) for n in rng.integers(1, most + 1, groups))
    return Task(sizes, tuple(made), tuple(fits), float(rng.integers(0, 3)))


def assignments(task: Task) -> Iterator[tuple[Served, ...]]:
    """Every way to serve every single bike, or not."""
    choices: list[list[Served]] = []
    for group, size in enumerate(task.sizes):
        mine: list[Served] = [None]
        for way in task.ways:
            if way.group == group:
                mine += [
                    (way, a, b) for a, b in product(task.fits[way.head], task.fits[way.shaft])
                ]
        choices += [mine] * size
    yield from product(*choices)


def value(task: Task, limits: Limits, served: tuple[Served, ...]) -> tuple[float, ...] | None:
    """The four stages of one assignment, less is better; None where it breaks a limit."""
    some = [one for one in served if one is not None]
    pieces: Counter[str] = Counter()
    price: dict[str, float] = {}
    stock: dict[str, float] = {}
    labour = loss = 0.0
    for way, head, shaft in some:
        labour += way.work + head.labour + shaft.labour
        loss += way.loss
        for part in (*way.parts, *(fit.part for fit in (head, shaft) if fit.counted)):
            pieces[part.name] += part.pieces
            price[part.name], stock[part.name] = part.price, part.stock
    ordered = {name: max(0, n - limits.on_hand.get(name, 0)) for name, n in pieces.items()}
    cost = labour + sum(price[name] * n for name, n in ordered.items())
    builds = {way.build for way, _, _ in some}
    kits = {fit.part.name for _, a, b in some for fit in (a, b) if fit.counted}
    if limits.budget is not None and cost > limits.budget + 1e-9:
        return None
    if limits.in_stock and any(n > stock[name] for name, n in ordered.items()):
        return None
    shares = Counter(way.build.split(" | ")[0] for way, _, _ in some)
    if limits.share is not None and any(n > limits.share * task.bikes for n in shares.values()):
        return None
    if len({way.supplier for way, _, _ in some if way.supplier}) < limits.suppliers:
        return None
    if limits.builds is not None and len(builds) != limits.builds:
        return None
    return -len(some), len(builds), len(kits), round(cost + task.point * loss, 6)


def best(task: Task, limits: Limits) -> tuple[float, ...] | None:
    """The best value over every assignment."""
    values = (value(task, limits, served) for served in assignments(task))
    return min((one for one in values if one is not None), default=None)
