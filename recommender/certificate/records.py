"""A certificate: an answer saved as claims, each with what a reader needs to check it."""

import hashlib
from typing import Literal

from pydantic import Field

from recommender.answer.records import Record, State


class Made(Record):
    """One completion: how the shock is mounted, and the label of the option taken per choice."""

    turned: bool
    options: dict[str, str]


class ConflictClaim(Record):
    """These rules cannot hold together, whatever is measured; any one left out, the rest can.

    `shown_by` names for every rule a completion of the row that breaks it and none of the others.
    """

    rules: tuple[str, ...]
    shown_by: tuple[int, ...]


class CorrectionClaim(Record):
    """With these rules given up the shock is no longer ruled out, and with fewer of them it is.

    `sure`: it then fits whatever is measured. `shown_by`: a completion that breaks these rules
    alone. `needed_by` names for every rule a conflict that holds no other of these rules; None
    where the conflicts are cut short and none of those kept does.
    """

    rules: tuple[str, ...]
    who: Literal["rider", "shop", "nobody"]
    sure: bool
    shown_by: int
    needed_by: tuple[int | None, ...]


class Along(Record):
    """A fact along which an open shock is decided: pieces of what it may be that leave none out.

    `place` is 'question', 'shocks', 'kits', 'springs' or 'tunes'; `option` the label of its row
    there. A number's pieces lie between consecutive `cuts`, fractions of its range from 0 to 1; a
    category is looked at word by word.
    """

    place: Literal["question", "shocks", "kits", "springs", "tunes"]
    fact: str
    option: str = ""
    cuts: tuple[float, ...] = ()


class RowClaim(Record):
    """One shock of the market and its state.

    A shock that fits, or is open, has one completion to show it; one that is ruled out has all its
    conflicts (or the first of them, if `truncated`) and all its corrections. `along`: the state
    holds for every value of that fact, piece by piece, though not for all of them at once.
    """

    shock: str
    state: State
    completions: tuple[Made, ...]
    conflicts: tuple[ConflictClaim, ...] = ()
    corrections: tuple[CorrectionClaim, ...] = ()
    truncated: bool = False
    along: Along | None = None


class CriterionClaim(Record):
    """What is valued, how much it counts, and the (quantity, value) points between which value is
    linear. `wish` names the field of the wishes whose weight it has; '' for a comfort."""

    name: str
    fact: str
    wish: str
    weight: float = Field(ge=0)
    breakpoints: tuple[tuple[float, float], ...]


class ScoreClaim(Record):
    """What one criterion gives a bundle; no quantity: it cannot be computed."""

    quantity: float | None
    value: float
    points: float


class BundleClaim(Record):
    """The best bundle of a shock: its completion, its scores in the order of the criteria."""

    shock: str
    made: Made
    price: float
    mass_g: float
    days: float
    workshop_jobs: int
    scores: tuple[ScoreClaim, ...]
    total_points: float


class Certificate(Record):
    """Everything an answer claims. `seal` is the SHA-256 of the rest: it tells damage apart from a
    false claim, and proves nothing more."""

    schema_version: Literal["1"] = "1"
    catalogue_digest: str
    question_digest: str
    rules_digest: str
    rows: tuple[RowClaim, ...]
    criteria: tuple[CriterionClaim, ...]
    order: tuple[BundleClaim, ...]
    seal: str = ""

    def sealed(self) -> "Certificate":
        """The same certificate under its own seal."""
        plain = self.model_copy(update={"seal": ""})
        digest = hashlib.sha256(plain.model_dump_json().encode()).hexdigest()
        return plain.model_copy(update={"seal": digest})
