"""A plan, and the stages that it was found by."""

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from recommender.fleet.model import Place
from recommender.fleet.task import Build, Fit, Part, Task, Way

STAGES = ("bikes served", "builds", "hardware kits", "cost and loss")


@dataclass(frozen=True)
class Stage:
    """One objective's value, and how far a better plan may still be off (0: proved best)."""

    name: str
    value: float
    gap: float

    @property
    def proved(self) -> bool:
        return self.gap <= 1e-6 * max(1.0, abs(self.value))


@dataclass(frozen=True)
class Plan:
    """Bikes per way and kits per place. `stages` in the order of STAGES."""

    task: Task
    taken: tuple[tuple[Way, int], ...]
    kits: tuple[tuple[Place, tuple[tuple[Fit, int], ...]], ...]
    stages: tuple[Stage, ...]
    from_hand: tuple[tuple[str, int], ...] = ()

    @property
    def served(self) -> int:
        return sum(count for _, count in self.taken)

    @property
    def by_group(self) -> Mapping[int, int]:
        """Bikes served of each group."""
        count = Counter[int]()
        for way, bikes in self.taken:
            count[way.group] += bikes
        return count

    @property
    def builds(self) -> tuple[Build, ...]:
        return tuple(sorted({way.build for way, _ in self.taken}))

    @property
    def numbers(self) -> tuple[str, ...]:
        """Hardware kits by part number."""
        names = {fit.part.name for _, some in self.kits for fit, _ in some if fit.counted}
        return tuple(sorted(names))

    @property
    def cost(self) -> float:
        """Money, what is on hand taken off."""
        spent = sum(way.cost * count for way, count in self.taken)
        spent += sum(fit.cost * count for _, some in self.kits for fit, count in some)
        prices = {part.name: part.price for part in self.parts()}
        saved = sum(prices[name] * count for name, count in self.from_hand)
        return round(float(spent - saved), 2)

    @property
    def loss(self) -> float:
        """Points that the fleet's bikes have fewer than with their own best ways."""
        return round(float(sum(way.loss * count for way, count in self.taken)), 6)

    @property
    def proved(self) -> bool:
        return all(stage.proved for stage in self.stages)

    def parts(self) -> Iterator[Part]:
        """Every part that is used, as its task knows it."""
        for way, _ in self.taken:
            yield from way.parts
        for _, some in self.kits:
            yield from (fit.part for fit, _ in some if fit.counted)

    def pieces(self) -> dict[str, int]:
        """Pieces of each part that the plan needs, on hand or not."""
        out: dict[str, int] = defaultdict(int)
        for way, count in self.taken:
            for part in way.parts:
                out[part.name] += part.pieces * count
        for _, some in self.kits:
            for fit, count in some:
                if fit.counted:
                    out[fit.part.name] += fit.part.pieces * count
        return dict(out)


def letter(number: int) -> str:
    """A, B, ..., Z, AA: the mark of a build, in the order of `builds`."""
    text = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        text = chr(65 + rest) + text
    return text
