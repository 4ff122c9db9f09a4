"""The whole account of seeded fleets is, to nine digits, the one that is kept: see
`test_questions`."""

from pathlib import Path

import pytest

from tests.approved.fleet_account import told
from tests.approved.fleets import FLEETS, fleet
from tests.approved.kept import same_as_kept


@pytest.mark.parametrize("name", FLEETS)
def test_a_fleet_is_planned_as_before(name: str, tmp_path: Path) -> None:
    seed, limits, keep = FLEETS[name]
    same_as_kept(f"fleet-{name}", told(fleet(seed, tmp_path, limits, keep)))
