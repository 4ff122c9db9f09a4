"""The installed command, run as a user runs it."""

import os
import subprocess
import sys
from pathlib import Path

PROGRAM = Path(sys.executable).parent / "recommender"
_PLAIN = ("NO_COLOR", "FORCE_COLOR", "CLICOLOR_FORCE", "TTY_COMPATIBLE", "COLORTERM")


def run(
    *arguments: object, columns: int = 80, cwd: Path | None = None, **environment: str
) -> subprocess.CompletedProcess[str]:
    """Exit code and what the command printed, at that width; colour variables only if given."""
    inherited = {name: value for name, value in os.environ.items() if name not in _PLAIN}
    return subprocess.run(
        [str(PROGRAM), *map(str, arguments)],
        capture_output=True, text=True, encoding="utf-8", check=False, timeout=120, cwd=cwd,
        env={**inherited, "COLUMNS": str(columns), "PYTHONUTF8": "1", **environment},
    )  # fmt: skip


def snapshot(folder: Path) -> dict[str, bytes | None]:
    """Everything in a folder, to tell whether anything was written."""
    return {
        str(path.relative_to(folder)): path.read_bytes() if path.is_file() else None
        for path in sorted(folder.rglob("*"))
    }
