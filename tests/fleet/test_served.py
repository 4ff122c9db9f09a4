"""Settings that cover a range of masses, by hand."""

from dataclasses import dataclass

import numpy as np

from recommender.catalogue.columns import Floats, Ints, Mask
from recommender.fleet.served import Spans, spans


@dataclass(frozen=True)
class Springs:
    """Each setting holds from one mass to another; `fixed` is what stays when springs change."""

    fixed: Ints
    lowest: Floats
    highest: Floats

    @property
    def owner(self) -> Ints:
        return self.fixed

    def passes(self, mass: float) -> Mask:
        holds: Mask = (self.lowest <= mass) & (mass <= self.highest)
        return holds

    def only(self, owners_kept: Ints) -> "Springs":
        mine = np.isin(self.owner, owners_kept)
        return Springs(self.fixed[mine], self.lowest[mine], self.highest[mine])


def covered(low: float, high: float, changes: bool, *told: tuple[int, float, float]) -> Spans:
    """What serves the range; `told` has each setting's fixed choice and the masses it holds at."""
    columns = [np.array(column) for column in zip(*told, strict=True)]
    made = Springs(columns[0], columns[1].astype(float), columns[2].astype(float))
    holds = np.stack([made.passes(mass) for mass in ((low, high) if low < high else (low,))])
    return spans(made, low, high, changes, np.ones(len(told)), holds)


def test_each_fixed_choice_has_its_own_springs() -> None:
    """Two shocks, each with two springs that meet above and below the middle of 60 to 100 kg."""
    found = covered(
        60, 100, True, (0, 50, 82), (0, 78, 110), (1, 50, 92), (1, 88, 110), (2, 50, 70),
        (2, 71, 110),
    )
    assert found.fixed.tolist() == [0, 1]
    assert [rows.tolist() for rows in found.springs] == [[0, 1], [2, 3]]
    assert [ends.tolist() for ends in found.ends] == [[60, 80, 100], [60, 90, 100]]


def test_one_setting_for_all_is_not_cut() -> None:
    found = covered(60, 100, True, (0, 50, 110), (0, 50, 80), (1, 50, 99))
    assert found.fixed.tolist() == [0]
    assert [rows.tolist() for rows in found.springs] == [[0]]
    assert [ends.tolist() for ends in found.ends] == [[60, 100]]


def test_settings_are_not_changed_unasked() -> None:
    assert len(covered(60, 100, False, (0, 50, 82), (0, 78, 110)).fixed) == 0


def test_a_single_mass_needs_one_setting() -> None:
    found = covered(80, 80, True, (0, 50, 79), (0, 70, 90), (1, 81, 90))
    assert found.fixed.tolist() == [0]
    assert [rows.tolist() for rows in found.springs] == [[1]]
