"""The rules asked about riders of one mass at a time, over the settings of some shocks."""

from dataclasses import replace

import numpy as np

from recommender.catalogue.catalogue import Catalogue
from recommender.catalogue.columns import Ints, Mask
from recommender.catalogue.question import Question
from recommender.facts.quantity import Quantity
from recommender.rules.asked import scalars
from recommender.rules.choices import Market
from recommender.rules.fact import Scalar
from recommender.rules.fitted import fitted_shock
from recommender.search.frames import CHOICES, Frames, starts
from recommender.search.groups import Rules
from recommender.search.owners import Owners
from recommender.search.tables import bit_sets

KITS = ("head_kit", "shaft_kit")
SETTINGS = tuple(one for one in CHOICES if one not in KITS)
FIXED = tuple(one for one in SETTINGS if one != "spring")
"""Choices that stay as they are when a rider of another mass gets on."""


def take(made: Owners, keep: Ints) -> Owners:
    """Only those owners, in that order."""
    frames = made.frames
    options = {}
    for name, one in frames.options.items():
        count = one.count[keep]
        at = np.arange(int(count.sum())) + np.repeat(one.start[keep] - starts(count), count)
        flat = {key: fact.take(at) for key, fact in one.flat.items()}
        options[name] = replace(one, count=count, row=one.row[at], flat=flat)
    facts = {name: fact.take(keep) for name, fact in frames.owner_facts.items()}
    some = Frames(len(keep), facts, frames.scalars, options)
    return Owners(made.shock[keep], made.turned[keep], some)


class Trial:
    """Which settings break nothing for a rider of a given mass; asked of fewer and fewer owners."""

    def __init__(
        self, question: Question, catalogue: Catalogue, market: Market, rules: Rules, made: Owners
    ) -> None:
        self.question, self.catalogue, self.market = question, catalogue, market
        self.rules, self.made = rules, made
        # The shock's and the frame's own mass limits stand in the group without choices.
        self.groups = [group for group in rules.groups if not set(group.choices) & set(KITS)]

    def passes(self, mass: float) -> Mask:
        """For each row of the frame of SETTINGS whether it holds at that mass."""
        frames = self._frames(mass)
        ok = np.ones(frames.layout(SETTINGS).size, bool)
        for group in self.groups:
            good = bit_sets(frames, group, self.rules)[1] == 0
            rows = frames.rows_of(SETTINGS, group.choices)
            ok &= good if rows is None else good[rows]
        return ok

    def _frames(self, mass: float) -> Frames:
        """The frames at one mass; whatever else the question holds stays as it is."""
        same = self.made.frames
        told = mass_scalars(self.question, self.catalogue, mass)
        return Frames(same.owners, same.owner_facts, told, same.options)

    @property
    def fixed(self) -> Ints:
        """The row of the frame of FIXED for each row of the frame of SETTINGS."""
        rows = self.made.frames.rows_of(SETTINGS, FIXED)
        if rows is None:
            raise ValueError("the spring is a choice")
        return rows

    def only(self, owners_kept: Ints) -> "Trial":
        """A judge of those owners; their rows keep their order."""
        made = take(self.made, owners_kept)
        return Trial(self.question, self.catalogue, self.market, self.rules, made)

    @property
    def owner(self) -> Ints:
        return self.made.frames.layout(SETTINGS).owner


def mass_scalars(question: Question, catalogue: Catalogue, mass: float) -> dict[str, Scalar]:
    """The question's facts for a rider of exactly that mass with kit."""
    rider = question.rider.model_copy(update={"mass_with_kit_kg": Quantity.exact(mass)})
    fitted = fitted_shock(question, catalogue)
    return scalars(
        question.bike, rider, question.wishes, catalogue.tune_classes, catalogue.tastes, fitted
    )
