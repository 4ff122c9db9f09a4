"""Amounts of a bundle that are told with two ends; a plan takes them at their middle."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from recommender.answer.numbers import span
from recommender.answer.shopping import ROLES, words_of
from recommender.search.completion import Completion


@dataclass(frozen=True)
class OpenAmount:
    """A price, or the labour for it: its ends, what the plan takes, and `why` it is open where that
    can be told."""

    text: str
    low: float
    high: float
    taken: float
    why: str = ""

    def told(self, currency: str) -> str:
        """'0 to 15 EUR of labour for 1 volume spacer'."""
        return f"{span(self.low, self.high, 'money')} {currency} {self.text}"


def open_amounts(settings: Sequence[Completion]) -> Iterator[OpenAmount]:
    """What is open in a bike's bundle, put together once for each of its spring settings. A blank
    has no ends to be told."""
    for number, completion in enumerate(settings):
        for role in ROLES if number == 0 else ("spring",):
            for what in ("price", "labour"):
                name = f"{role}_{what}"
                low, high = completion.interval(name)
                if low < high and not completion.unknown(name):
                    text, why = _words(completion, role, what)
                    yield OpenAmount(text, low, high, completion.number(name), why)


def _words(completion: Completion, role: str, what: str) -> tuple[str, str]:
    """What the amount is for, and why it is open."""
    market, part = completion.whole.market, words_of(completion, role)
    text = f"{'of labour ' if what == 'labour' else ''}for {part.text if part else role}"
    if role != "spring" or completion.frames.fact("spring_is_coil").low[0]:
        return text, ""
    if what == "labour":
        text = "of labour for setting the volume spacers"
    now = market.bike.present_shock if completion.whole.shock == market.present else None
    told = now is None or now.volume_spacers.known
    return text, "" if told else "how many are in the fitted shock is not told"
