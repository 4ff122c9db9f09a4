"""The rider."""

from typing import Annotated

from pydantic import Field, field_validator, model_validator

from recommender.facts import words
from recommender.facts.nearest import nearest
from recommender.facts.parts import Row, Text
from recommender.facts.quantity import UNKNOWN, Choice, Number, Quantity, assumed


class Rider(Row):
    """Masses in kg; the share of the mass on the rear wheel is from memory (0.50 to 0.65)."""

    name: Text = "the rider"
    mass_with_kit_kg: Annotated[Quantity, Number("kg", 25.0, 200.0)] = UNKNOWN
    mass_kg: Annotated[Quantity, Number("kg", 20.0, 200.0)] = Field(
        UNKNOWN,
        description="the body alone; blank: between 80 % of the mass with kit and all of it",
    )
    bike_mass_kg: Annotated[Quantity, Number("kg", 5.0, 45.0)] = Field(
        UNKNOWN, description="for limits stated on the whole system"
    )
    rear_share: Annotated[Quantity, Number("ratio", 0.50, 0.65)] = Field(
        assumed(0.60), title="the share of the rider's mass on the rear wheel",
        description="from memory, by posture",
    )  # fmt: skip
    taste: Annotated[str | None, Choice(words.TASTES)] = "neutral"
    tools: tuple[str, ...] = Field(("hex keys", "torque wrench", "shock pump"), max_length=20)

    @model_validator(mode="after")
    def _body_within_kit(self) -> "Rider":
        body, with_kit = self.mass_kg, self.mass_with_kit_kg
        if body.known and with_kit.known and body.low > with_kit.high:
            raise ValueError(
                f"mass_kg of {body.low:g} kg is more than mass_with_kit_kg of "
                f"{with_kit.high:g} kg: kit is counted on top of the body"
            )
        return self

    @field_validator("tools")
    @classmethod
    def _known_tools(cls, tools: tuple[str, ...]) -> tuple[str, ...]:
        for tool in tools:
            if tool not in words.TOOLS:
                raise ValueError(
                    f"{tool[:60]!r} is no known tool; accepted: {', '.join(words.TOOLS)}"
                    f"{nearest(tool, words.TOOLS)}"
                )
        return tools
