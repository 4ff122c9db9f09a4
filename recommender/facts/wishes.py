"""The wishes. Each is unset, a `must` (rejects and scores), a `prefer` (scores), or both.

A wish is one quantity against one limit, and the quantity does not depend on the wish.
"""

from typing import Annotated, Any, Generic, TypeVar

from pydantic import Field, field_validator, model_validator

from recommender.facts import words
from recommender.facts.nearest import nearest
from recommender.facts.parts import Row
from recommender.facts.plain import Plain

Value = TypeVar("Value")
MOST_WEIGHT = 100
Weight = Annotated[float, Field(ge=0, le=MOST_WEIGHT, allow_inf_nan=False)]


class Wish(Row, Generic[Value]):
    """`must` rejects, `prefer` only scores; `weight` scales the points it gives (1 = plain)."""

    must: Value | None = None
    prefer: Value | None = None
    weight: Weight = 1.0

    @property
    def aim(self) -> Value | None:
        """What scoring aims at: the preference, else the must."""
        return self.prefer if self.prefer is not None else self.must

    @property
    def stated(self) -> bool:
        return self.must is not None or self.prefer is not None


class Band(Row):
    """A closed range, either end open."""

    low: Annotated[float | None, Field(allow_inf_nan=False, ge=0)] = None
    high: Annotated[float | None, Field(allow_inf_nan=False, ge=0)] = None

    @property
    def told(self) -> str:
        """'25 to 32', 'up to 32', '25 and more'."""
        if self.low is None:
            return "of any size" if self.high is None else f"up to {self.high:g}"
        return f"{self.low:g} and more" if self.high is None else f"{self.low:g} to {self.high:g}"

    @model_validator(mode="before")
    @classmethod
    def _from_pair(cls, data: Any) -> Any:
        if isinstance(data, list | tuple) and len(data) == 2:
            return {"low": data[0], "high": data[1]}
        return data

    @model_validator(mode="after")
    def _forward(self) -> "Band":
        if self.low is not None and self.high is not None and self.low > self.high:
            raise ValueError(f"the range runs backwards: {self.low:g} to {self.high:g}")
        return self


def _word(accepted: tuple[str, ...]) -> Any:
    def check(value: str) -> str:
        if value not in accepted:
            raise ValueError(
                f"{value[:60]!r} is not accepted; accepted: {', '.join(accepted)}"
                f"{nearest(value, accepted)}"
            )
        return value

    from pydantic import AfterValidator

    return AfterValidator(check)


Amount = Annotated[float, Field(ge=0, le=1e6, allow_inf_nan=False)]
ADJUSTERS = ("rebound", "low-speed compression", "high-speed compression", "lockout")
Adjuster = Annotated[str, _word(ADJUSTERS)]
SpringKind = Annotated[str, _word(words.SPRING_KINDS)]
TuneWord = Annotated[str, _word((*words.CLASSES, "by the numbers"))]
LockoutWord = Annotated[str, _word(words.LOCKOUTS)]


class Wishes(Row):
    """All wishes, the currency they are told in and the rates into it."""

    currency: Annotated[str, Field(pattern=r"^[A-Z]{3}$")] = "EUR"
    rates: dict[str, Annotated[float, Field(gt=0, le=1e6, allow_inf_nan=False)]] = Field(
        {}, description="what one unit of each other currency is worth in `currency`"
    )
    travel_mm: Annotated[Wish[Band], Plain("mm")] = Wish()
    sag_percent: Annotated[Wish[Band], Plain("percent")] = Wish()
    sag_target_percent: Annotated[
        float, Field(ge=5, le=50, allow_inf_nan=False), Plain("percent")
    ] = 30.0
    spring_kind: Wish[SpringKind] = Wish()
    adjusters: Wish[tuple[Adjuster, ...]] = Wish()
    tune: Wish[TuneWord] = Wish()
    lockout: Wish[LockoutWord] = Wish()
    remote: Wish[bool] = Wish()
    reserve_mm: Annotated[Wish[Amount], Plain("mm")] = Wish()
    budget: Wish[Amount] = Wish()
    mass_g: Annotated[Wish[Amount], Plain("g")] = Wish()
    days: Wish[Amount] = Wish()
    no_workshop: Wish[bool] = Wish()
    weights: dict[str, Weight] = Field(
        {}, description="weights of the comfort criteria, 1 = plain; a wish carries its own"
    )
    years_of_use: Annotated[float, Field(gt=0, le=30, allow_inf_nan=False)] = Field(
        4.0, description="assumed life of a new shock, for cost per year"
    )
    years_after_service: Annotated[float, Field(gt=0, le=30, allow_inf_nan=False)] = Field(
        2.0, description="assumed life of a shock that is kept or bought used, for cost per year; "
        "from memory",
    )

    def __reduce__(self) -> tuple[Any, tuple[dict[str, Any]]]:
        """By their values: the classes of single wishes have no name that another process knows."""
        return Wishes.model_validate, (self.model_dump(),)

    @field_validator("rates")
    @classmethod
    def _codes(cls, rates: dict[str, float]) -> dict[str, float]:
        for code in rates:
            if len(code) != 3 or not code.isalpha() or not code.isupper():
                raise ValueError(f"{code[:10]!r} is no currency code such as EUR")
        return rates

    @model_validator(mode="after")
    def _target_in_band(self) -> "Wishes":
        band = self.sag_percent.must
        if band is not None and not (
            (band.low or 0.0) <= self.sag_target_percent <= (band.high or 100.0)
        ):
            raise ValueError(
                f"sag_target_percent {self.sag_target_percent:g} lies outside the sag band "
                f"{band.told}"
            )
        return self
