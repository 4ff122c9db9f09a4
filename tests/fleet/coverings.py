"""Published set-covering questions, written as fleets: a row is a bike, a column a build."""

from itertools import combinations, permutations

from recommender.fleet.task import Build, Fit, Part, Task, Way

Triples = list[tuple[int, ...]]


def covering(rows: Triples) -> Task:
    """One bike per row; a member of the row is a build that serves it."""
    fits = ((Fit(Part("on the bike", 1, 0.0), 0.0, False),),)
    ways = [
        Way(number, Build(f"{point:02}", 50.0, "as delivered"), f"{point:02}", (), 0.0, 0.0, 0, 0)
        for number, row in enumerate(rows) for point in row
    ]  # fmt: skip
    return Task((1,) * len(rows), tuple(ways), fits)


def a9() -> Triples:
    """AG(2,3): the twelve lines of the plane of order 3."""
    points = [(x, y) for x in range(3) for y in range(3)]
    lines = {
        frozenset((a, b, tuple((-p - q) % 3 for p, q in zip(a, b, strict=True))))
        for a, b in combinations(points, 2)
    }
    return sorted(tuple(sorted(points.index(p) for p in line)) for line in lines)


def a15() -> Triples:
    """Bose's construction over Z5."""
    out: Triples = [(x, x + 5, x + 10) for x in range(5)]
    for layer in range(3):
        for x, y in combinations(range(5), 2):
            out.append((x + 5 * layer, y + 5 * layer, (x + y) * 3 % 5 + 5 * ((layer + 1) % 3)))
    return out


def tripled(triples: Triples, size: int) -> Triples:
    """The product construction that trebles a triple system's points."""
    out = [tuple(p + size * k for p in triple) for triple in triples for k in range(3)]
    out += [(x, x + size, x + 2 * size) for x in range(size)]
    for triple in triples:
        out += [(a, b + size, c + 2 * size) for a, b, c in permutations(triple)]
    return out
