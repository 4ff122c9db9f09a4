"""Names of bikes, alike ones told together."""

from collections.abc import Iterable


def ranged(bikes: Iterable[str]) -> str:
    """'A1/1 to A1/3, B2': runs of one row's bikes are told by their ends."""
    runs: list[list[str]] = []
    for name in bikes:
        if runs and _next(runs[-1][-1]) == name:
            runs[-1].append(name)
        else:
            runs.append([name])
    return ", ".join(
        ", ".join(run) if len(run) < 3 else f"{run[0]} to {run[-1].rpartition('/')[2]}"
        for run in runs
    )


def _next(name: str) -> str:
    stem, slash, number = name.rpartition("/")
    return f"{stem}/{int(number) + 1}" if slash and number.isdecimal() else ""
