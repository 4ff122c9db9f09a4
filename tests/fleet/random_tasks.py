"""Random small tasks, and the plain ways to solve them that the optimiser is held against."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product

import numpy as np

from recommender.fleet.task import Build, Fit, Limits, Part, Task, Way

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
            # Two builds, of one stroke setting each, are made of one shock.
            model, setting = divmod(build, 2)
            kept = rng.random() < 0.2
            shock = "" if kept else f"B{model}"
            parts = () if kept else (
                Part(shock, 1, float(prices[model]), f"S{model % 3}", float(stock[model])),)
            made.append(
                Way(group, Build(f"B{model}", 50.0 + 2.5 * setting, "as delivered"), shock, parts,
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


@dataclass(frozen=True)
class Counted:
    """What one assignment comes to, counted piece by piece."""

    served: tuple[int, ...]
    builds: int
    kits: int
    cost: float
    loss: float
    beyond: int
    on_one: int
    suppliers: int

    def excess(self, limits: Limits, bikes: int) -> dict[str, float]:
        """How far each limit that is set would have to give way; money to the cent."""
        most = {
            "budget": limits.budget is not None
            and round(max(0.0, self.cost - (limits.budget or 0.0)), 2),
            "in_stock": limits.in_stock and self.beyond,
            "share": limits.share is not None
            and max(0, self.on_one - int((limits.share or 0.0) * bikes + 1e-9)),
            "suppliers": max(0, limits.suppliers - self.suppliers),
            "builds": limits.builds is not None and abs(self.builds - (limits.builds or 0)),
        }
        return {name: float(some) for name, some in most.items()}


def counted(task: Task, limits: Limits, served: tuple[Served, ...]) -> Counted:
    """An assignment's figures."""
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
    groups = Counter(way.group for way, _, _ in some)
    return Counted(
        tuple(groups[number] for number in range(len(task.sizes))),
        len({way.build for way, _, _ in some}),
        len({fit.part.name for _, a, b in some for fit in (a, b) if fit.counted}),
        labour + sum(price[name] * n for name, n in ordered.items()),
        loss,
        round(sum(max(0.0, n - stock[name]) for name, n in ordered.items())),
        max(Counter(way.build.shock for way, _, _ in some).values(), default=0),
        len({way.supplier for way, _, _ in some if way.supplier}),
    )


def value(task: Task, limits: Limits, served: tuple[Served, ...]) -> tuple[float, ...] | None:
    """The four stages of one assignment, less is better; None where it breaks a limit."""
    one = counted(task, limits, served)
    if any(one.excess(limits, task.bikes).values()):
        return None
    return -sum(one.served), one.builds, one.kits, round(one.cost + task.point * one.loss, 6)


def best(task: Task, limits: Limits) -> tuple[float, ...] | None:
    """The best value over every assignment."""
    values = (value(task, limits, served) for served in assignments(task))
    return min((one for one in values if one is not None), default=None)
