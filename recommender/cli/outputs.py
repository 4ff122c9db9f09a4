"""Files that commands write: never one that the answer was read from."""

import os
from collections.abc import Iterable
from pathlib import Path

from recommender.facts.problems import BadInput, Problem


def check_apart(outputs: Iterable[Path], files: Iterable[Path | None], folder: Path | None) -> None:
    """BadInput for an output that is one of the files, or a table or frame of the folder.

    Links are followed. Files that are not there cannot be meant.
    """
    tables = [] if folder is None else [*folder.glob("*.csv"), *folder.glob("frames/*.toml")]
    there = [path for path in (*files, *tables) if path is not None and path.exists()]
    inputs = {_identity(path): path for path in there}
    problems = []
    for output in outputs:
        name = _identity(output)
        if name is not None and name in inputs:
            message = f"would be written over {inputs[name]}, which is read here: name another file"
            problems.append(Problem(str(output), message))
    if problems:
        raise BadInput(problems)


def check_folder(output: Path) -> None:
    """BadInput where the folder of a file is missing, before anything dear is worked out."""
    if not output.parent.is_dir():
        reason = f"the folder {output.parent} does not exist"
        raise BadInput([Problem(str(output), f"cannot be written: {reason}")])


def make_folder(path: Path) -> None:
    """The folder that several files go to, made with those above it. BadInput where it cannot be.
    """
    try:
        path.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        reason = error.strerror or str(error)
        raise BadInput([Problem(str(path), f"cannot be made a folder: {reason}")]) from None


def check_new(outputs: Iterable[Path], otherwise: str) -> None:
    """BadInput for each output that is there already; `otherwise` says what the user may do."""
    there = [path for path in outputs if path.exists()]
    if there:
        message = f"this file is there already: {otherwise}"
        raise BadInput(Problem(str(path), message) for path in there)


def tell_written(outputs: Iterable[Path | None], as_json: bool = False) -> None:
    """Says what was written (None: nothing); JSON on the standard output stands alone."""
    from recommender.output.screen import safe

    written = [safe(str(path)) for path in outputs if path is not None]
    if written and not as_json:
        print(f"Written: {', '.join(written)}")


def _identity(path: Path) -> tuple[int, int] | None:
    """What tells a file from every other; None where there is none."""
    try:
        found = os.stat(path)
    except (OSError, ValueError):
        return None
    return found.st_dev, found.st_ino
