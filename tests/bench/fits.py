"""A fit list of a whole catalogue against many frames: bikes a second, by the command itself.

    python -m tests.bench.generate FOLDER --shocks 100000 --kits 5000 --services 2000
    python -m tests.bench.fits FOLDER --bikes 40
"""

import csv
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Annotated

import numpy as np
import typer

from tests.bench.generate import FAMILIES

HEAD = (
    "bike", "mount", "eyelet_axis", "yoke", "sizes", "linkage_stop_mm", "head.gap_mm",
    "head.bolt_mm", "head.carbon_lugs", "head.trunnion_width_mm", "head.trunnion_thread",
    "head.bolt_protrusion_mm", "shaft.gap_mm", "shaft.bolt_mm", "shaft.carbon_lugs",
    "leverage.stroke_mm", "leverage.ratio_start", "leverage.ratio_end", "tyre.bead_seat_mm",
    "tyre.width_mm", "tyre.gap_mm", "tyre.gap_eye_to_eye_mm", "tyre.closing",
    "tyre.side_room_mm", "room.measured", "room.head_up_mm", "room.head_down_mm",
    "room.head_left_mm", "room.head_right_mm", "room.middle_up_mm", "room.middle_down_mm",
    "room.middle_left_mm", "room.middle_right_mm", "room.shaft_up_mm", "room.shaft_down_mm",
    "room.shaft_left_mm", "room.shaft_right_mm", "allows.coil", "allows.end_for_end",
    "allows.remote", "limits.rider_mass_kg", "limits.rider_mass_basis",
)  # fmt: skip
RIDER = '[rider]\nmass_with_kit_kg = 80\nmass_kg = 74\nbike_mass_kg = 15\n'


def write_bikes(path: Path, count: int, seed: int = 1) -> None:
    """Invented frames of the usual sizes; every fact known, no two alike. [mem] no source."""
    rng = np.random.default_rng(seed)
    metric = [one for one in FAMILIES if len(one[2]) > 2]
    with open(path, "w", newline="") as stream:
        out = csv.writer(stream)
        out.writerow(HEAD)
        for k in range(count):
            mount, length, strokes = metric[int(rng.integers(len(metric)))]
            stroke = strokes[int(rng.integers(len(strokes)))]
            start = round(float(rng.uniform(2.6, 3.1)), 2)
            room = [int(one) for one in rng.integers(34, 70, 12)]
            out.writerow((
                f"F{k:05d}", mount, "parallel", "no", f"{length:g} x {stroke:g}",
                round(stroke + float(rng.uniform(0, 4)), 1), rng.choice((22, 25, 30, 40)), 8,
                rng.choice(("yes", "no")), 54, "m10x1", 12, rng.choice((22.2, 25, 30)), 8, "no",
                stroke, start, round(start - float(rng.uniform(0.2, 0.6)), 2), 622,
                int(rng.integers(55, 66)), int(rng.integers(6, 14)), round(length - stroke, 1),
                round(float(rng.uniform(0.4, 1)), 2), int(rng.integers(5, 12)), "whole travel",
                *room, rng.choice(("yes", "no")), rng.choice(("yes", "no")),
                rng.choice(("yes", "no")), int(rng.integers(100, 140)), "rider with kit",
            ))  # fmt: skip


def main(
    catalogue: Annotated[Path, typer.Argument(help="folder of tests.bench.generate")],
    bikes: Annotated[int, typer.Option(min=1, max=100_000)] = 20,
    processes: Annotated[int, typer.Option(min=0)] = 0,
    kind: Annotated[str, typer.Option("--format")] = "csv",
    out: Annotated[Path | None, typer.Option(help="keep the list there")] = None,
) -> None:
    """Time and size of one list; the start and the reading of the catalogue are in it."""
    with tempfile.TemporaryDirectory() as work:
        folder = out or Path(work) / "list"
        write_bikes(Path(work) / "bikes.csv", bikes)
        (Path(work) / "rider.toml").write_text(RIDER)
        code = "from recommender.cli.main import main; main()"
        begin = time.monotonic()
        subprocess.run(
            [sys.executable, "-c", code, "fit-list", str(Path(work) / "bikes.csv"), "-q",
             str(Path(work) / "rider.toml"), "-c", str(catalogue), "--out", str(folder),
             "--format", kind, "--processes", str(processes)], check=True,
        )  # fmt: skip
        seconds = time.monotonic() - begin
        used = resource.getrusage(resource.RUSAGE_CHILDREN)
        size = sum(path.stat().st_size for path in folder.iterdir())
        print(
            f"{bikes:,} bikes in {seconds:.0f} s, {used.ru_utime + used.ru_stime:.0f} s of "
            f"processors; {size / 2**20:.0f} MiB; largest process {used.ru_maxrss / 1024:.0f} MiB"
        )


if __name__ == "__main__":
    typer.run(main)
