"""Parts named by number as put into a bike: looked up, and held against the shock they are on."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TypeVar

from pydantic import BaseModel

from recommender.advice.delivered import with_delivered
from recommender.answer.records import FROM, KEPT, PLAIN, PutIn
from recommender.catalogue.catalogue import Catalogue
from recommender.catalogue.columns import Table
from recommender.catalogue.foreign import written
from recommender.catalogue.one_row import values
from recommender.catalogue.question import Question
from recommender.catalogue.settings import SAME, parse_settings
from recommender.facts.bike import Bike, PresentShock
from recommender.facts.nearest import nearest
from recommender.facts.parts import Kit, Service, Shock, Spring
from recommender.facts.problems import BadInput, Problem
from recommender.rules.fitted import fitted_shock

_Part = TypeVar("_Part", bound=BaseModel)


@dataclass(frozen=True)
class Found:
    """The parts as the catalogue tells them. `old` is what the file told of the shock before,
    `shock` the one that is on the bike now; None: nobody told."""

    old: PresentShock
    shock: Shock | None
    new: bool
    kits: Mapping[str, Kit]
    spring: Spring | None
    service: Service | None


def looked_up(parts: PutIn, before: Question, catalogue: Catalogue) -> Found:
    """The parts named. Raises BadInput for every number that the catalogue does not hold, and for
    parts that cannot be on that shock."""
    problems: list[Problem] = []

    def row(option: str, table: Table, named: str, words: Iterable[str] = ()) -> int | None:
        keys = table.keys()
        if not named or named in words:
            return None
        if named in keys:
            return keys.index(named)
        message = f"not in the catalogue's {table.name}{nearest(named, [*words, *keys])}"
        if table is not catalogue.shocks and words:
            message += f"; also accepted: {', '.join(words)}"
        problems.append(Problem(option, message, value=named))
        return None

    def part(kind: type[_Part], table: Table, at: int | None) -> _Part | None:
        return None if at is None else kind.model_validate(values(table, at))

    now = before.bike.present_shock
    delivered = catalogue.delivered_tunes
    own = [*(delivered.keys() if delivered is not None else ()), *([_number(now)] if now else [])]
    row("--shock", catalogue.shocks, parts.shock, own)
    kits = {
        end: part(Kit, catalogue.kits, row(f"--{end}-kit", catalogue.kits, named, FROM))
        for end, named in (("head", parts.head_kit), ("shaft", parts.shaft_kit))
    }
    spring = part(
        Spring, catalogue.springs, row("--spring", catalogue.springs, parts.spring, (KEPT,))
    )
    served = row("--service", catalogue.services, parts.service, (PLAIN,))
    service = part(Service, catalogue.services, served)
    if problems:
        raise BadInput(problems)
    # Of a broken one told by the same number another was fitted.
    same = now is not None and _number(now) == parts.shock and now.condition != "broken"
    new = bool(parts.shock) and not same
    old = _as_delivered(before, catalogue).bike.present_shock or PresentShock()
    after = before
    if new:
        bike = {"present_shock": PresentShock(part_number=parts.shock)}
        after = replace(before, bike=before.bike.model_copy(update=bike))
    found = Found(
        old, on_the_bike(after, catalogue), new, {end: kit for end, kit in kits.items() if kit},
        spring, service,
    )  # fmt: skip
    problems = list(_cannot_be(parts, found, before.bike))
    if problems:
        raise BadInput(problems)
    return found


def on_the_bike(question: Question, catalogue: Catalogue) -> Shock | None:
    """The shock that is fitted; None where nobody told, or nobody knows its number."""
    try:
        return fitted_shock(_as_delivered(question, catalogue), catalogue)
    except BadInput:
        return None


def _number(now: PresentShock) -> str:
    return now.part_number or (now.facts.part_number if now.facts is not None else "")


def _as_delivered(before: Question, catalogue: Catalogue) -> Question:
    try:
        return with_delivered(before, catalogue)
    except BadInput:
        # A shock that comes off need not be known.
        return before


def _asks(parts: PutIn) -> bool:
    """Whether what was put in can only be told of a shock that is known."""
    return parts != PutIn(shock=parts.shock)


def _cannot_be(parts: PutIn, found: Found, bike: Bike) -> Iterable[Problem]:
    """What is said to be on a shock that cannot take it."""
    shock = found.shock
    if shock is None:
        if _asks(parts):
            message = "is missing: the bike's file tells of no known shock that they went on"
            yield Problem("--shock", message)
        return
    if parts.spacers is not None:
        most = shock.volume_spacers_max
        if shock.spring_kind == "coil":
            yield Problem("--spacers", "a coil shock takes none", value=f"{parts.spacers}")
        elif parts.spacers > most.high:
            message = f"the shock takes at most {most.high:g}"
            yield Problem("--spacers", message, value=f"{parts.spacers}")
    if parts.spring and shock.spring_kind == "air":
        yield Problem("--spring", "an air shock takes no coil", value=parts.spring)
    if parts.spring and parts.spacers is not None:
        yield Problem("--spacers", "a shock with a coil has none", value=f"{parts.spacers}")
    if parts.spring == KEPT and not found.old.spring_rate_n_per_mm.known:
        yield Problem("--spring", "the bike's file tells of no coil", value=KEPT)
    if parts.eye_turned and shock.eyelet_turnable == "no":
        yield Problem("--eye-turned", "this shock's manual does not let its shaft eye be turned")
    if parts.eye_turned and bike.eyelet_axis is None:
        yield Problem("bike.eyelet_axis", "is wanted, to tell how a turned shaft eye lies now")
    if found.service is not None and shock.damper and found.service.damper != shock.damper:
        message = f"is for dampers {found.service.damper!r}; this shock's is {shock.damper!r}"
        yield Problem("--service", message, value=parts.service)
    if parts.stroke_mm is not None and not _may_be(parts.stroke_mm, shock):
        message = f"not a stroke of this shock; accepted: {_strokes(shock)}"
        yield Problem("--stroke", message, value=f"{parts.stroke_mm:g}")
    yield from _hardware_cannot_be(parts, found, shock, bike)


def _hardware_cannot_be(
    parts: PutIn, found: Found, shock: Shock, bike: Bike
) -> Iterable[Problem]:
    """Bolts in an eye, a sleeve in a trunnion head, or hardware that is not there to be reused."""
    named = {"head": parts.head_kit, "shaft": parts.shaft_kit}
    for end, one in named.items():
        takes_bolts = end == "head" and shock.head_mount == "trunnion"
        kit = found.kits.get(end)
        is_bolts = (kit.kind == "trunnion bolts" if kit is not None and kit.kind is not None
                    else kit is None and one == FROM[0] and bike.mount == "trunnion")  # fmt: skip
        if one and is_bolts != takes_bolts and (kit is None or kit.kind is not None):
            message = f"the shock's {end} end takes {'' if takes_bolts else 'no '}trunnion bolts"
            yield Problem(f"--{end}-kit", message, value=one)
        if one in FROM and parts.shock and not found.new:
            message = "that shock is on the bike already: nothing comes off another any more"
            yield Problem(f"--{end}-kit", message, value=one)
    if named["head"] == named["shaft"] and named["head"] in FROM:
        message = "the same hardware cannot be at both ends"
        yield Problem("--shaft-kit", message, value=named["shaft"])


def _settings(shock: Shock) -> tuple[float, ...]:
    try:
        return parse_settings(shock.stroke_settings_mm)
    except ValueError as error:
        place = "bike.present_shock.facts.stroke_settings_mm"
        raise BadInput([Problem("bike", str(error), column=place)]) from None


def _may_be(stroke: float, shock: Shock) -> bool:
    delivered = shock.stroke_mm.low - SAME <= stroke <= shock.stroke_mm.high + SAME
    return delivered or any(abs(stroke - one) <= SAME for one in _settings(shock))


def _strokes(shock: Shock) -> str:
    delivered = written(shock.stroke_mm)
    return ", ".join(dict.fromkeys(one for one in (*map("{:g}".format, _settings(shock)), delivered)
                                   if one))  # fmt: skip
