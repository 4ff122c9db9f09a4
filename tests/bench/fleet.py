"""A generated fleet over a generated catalogue, for measuring how long the whole plan takes.

    python -m tests.bench.fleet --bikes 500 --groups 60 --shocks 100000
    python -m tests.bench.fleet --published

The time is told for this machine and never asserted in a test.
"""

import resource
import time
from typing import Annotated

import numpy as np
import typer

from recommender.catalogue.question import Question
from recommender.facts.bike import Bike
from recommender.facts.quantity import Quantity
from recommender.facts.rider import Rider
from recommender.facts.wishes import Wishes
from recommender.fleet.groups import Group
from recommender.fleet.reading import Bikes, FleetRow
from recommender.fleet.standardise import standardise
from recommender.fleet.ways import make_task
from tests.bench.generate import make_catalogue
from tests.fleet.coverings import a15, covering, tripled

FAMILIES = (("eyelet", 190.0, 45.0), ("eyelet", 210.0, 55.0), ("eyelet", 230.0, 65.0),
            ("trunnion", 165.0, 45.0), ("trunnion", 185.0, 55.0), ("trunnion", 205.0, 65.0))
GAPS = (20.0, 22.2, 24.0, 30.0, 40.0)


def bike(number: int, rng: np.random.Generator) -> Bike:
    """An invented bike of one of the usual sizes, its facts exact."""
    mount, length, ceiling = FAMILIES[int(rng.integers(0, len(FAMILIES)))]
    start = float(rng.uniform(2.6, 3.0))
    room = {f"{third}_{side}_mm": 60 for third in ("head", "middle", "shaft")
            for side in ("up", "down", "left", "right")}  # fmt: skip
    head, shaft = (float(rng.choice(GAPS)) for _ in range(2))
    return Bike.model_validate(
        {
            "name": f"model {number}", "mount": mount, "eyelet_axis": "parallel", "yoke": "no",
            "linkage_stop_mm": ceiling + 3,
            "sizes": [{"length_mm": length, "stroke_ceiling_mm": ceiling}],
            "head": {"gap_mm": head, "bolt_mm": 8, "carbon_lugs": "no", "grip_mm": head + 1,
                     "trunnion_width_mm": 54, "trunnion_thread": "m10x1"},
            "shaft": {"gap_mm": shaft, "bolt_mm": 8, "carbon_lugs": "no", "grip_mm": shaft + 1},
            "leverage": {"stroke_mm": ceiling, "ratio_start": start, "ratio_end": start - 0.5},
            "tyre": {"bead_seat_mm": 622, "width_mm": 61, "gap_mm": 15,
                     "gap_eye_to_eye_mm": length - ceiling, "closing": 0.7, "side_room_mm": 8},
            "room": {"measured": "whole travel", **room},
            "allows": {"coil": "yes", "end_for_end": "no", "remote": "no"},
            "limits": {"rider_mass_kg": 120, "rider_mass_basis": "rider with kit"},
        }
    )  # fmt: skip


def fleet(bikes: int, groups: int, seed: int = 1) -> tuple[Group, ...]:
    """That many bikes in that many groups; a third of the groups may change springs."""
    rng = np.random.default_rng(seed)
    sizes = 1 + rng.multinomial(bikes - groups, np.full(groups, 1 / groups))
    out = []
    for number, size in enumerate(sizes.tolist()):
        low = float(rng.integers(50, 75))
        riders = Quantity(low, low + float(rng.integers(15, 35)), "range")
        question = Question(
            bike(number, rng), Rider(mass_with_kit_kg=riders, mass_kg=None), Wishes(), ""
        )
        row = Bikes(f"bike {number}", number + 2, FleetRow(model=f"model {number}", count=size))
        out.append(Group(f"group {number}", f"model {number}", (row,), question, number % 3 == 0))
    return tuple(out)


def spent() -> float:
    """Processor seconds of this process and of the workers that it has waited for."""
    return time.process_time() + sum(
        getattr(resource.getrusage(resource.RUSAGE_CHILDREN), f"ru_{what}time") for what in "us"
    )


class Watch:
    """Tells the wall and processor seconds since it was last asked."""

    def __init__(self) -> None:
        self._wall, self._spent = time.perf_counter(), spent()

    def line(self, what: str) -> None:
        wall, now = time.perf_counter(), spent()
        print(f"  {what:<42} {wall - self._wall:8.1f} s {now - self._spent:8.1f} s of processor")
        self._wall, self._spent = wall, now


def steiner(seconds: float) -> None:
    """The Steiner triple system of 45 points, optimum 30: Fulkerson, Nemhauser and Trotter 1974;
    Ratliff 1979 [B: read in a secondary transcription]. Here 72 s of processor time."""
    watch = Watch()
    plan = standardise(covering(tripled(a15(), 15)), None, seconds)
    if plan is None or not plan.proved or len(plan.builds) != 30:
        raise ValueError("the optimum of the triple system of 45 points is 30")
    watch.line("triple system of 45 points: 30, proved")


def main(
    bikes: int = 500, groups: int = 60, shocks: int = 100_000, kits: int = 5000,
    services: int = 2000, seed: int = 1, seconds: float = 60.0,
    published: Annotated[
        bool, typer.Option("--published", help="Only the published optimum that takes long.")
    ] = False,
) -> None:
    """Plan the generated fleet and tell the time of each step; example: --shocks 20000"""
    if published:
        steiner(max(seconds, 600.0))
        return
    catalogue = make_catalogue(shocks, kits, services)
    made = fleet(bikes, groups, seed)
    watch = Watch()
    task = make_task(made, catalogue, 20.0)
    watch.line(f"{len(task.ways):,} ways found")
    plan = standardise(task, None, seconds)
    watch.line("planned")
    if plan is None:
        raise ValueError("no plan")
    print(f"{plan.served} of {task.bikes} bikes, {len(plan.builds)} builds, "
          f"{len(plan.numbers)} kits, {plan.cost:.0f}, proved: {plan.proved}")


if __name__ == "__main__":
    typer.run(main)
