"""How long commands take from a cold start, against merely importing what they need.

    python -m tests.bench.start --runs 15

Whole processes, in turn, in processor seconds (user and system): medians and their ratios. Every
module is compiled before, as an installed one is, whatever the environment says of byte code.
"""

import os
import resource
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Annotated

import typer

ROOT = Path(__file__).resolve().parent.parent.parent
COMMAND = "import sys; from recommender.cli.main import main; sys.argv[0] = 'recommender'; main()"
LOADED = (
    "import sys\n"
    "from recommender.cli.main import main\n"
    "sys.argv[0] = 'recommender'\n"
    "try:\n    main()\nexcept SystemExit:\n    pass\n"
    "sys.stderr.write(' '.join(sys.modules))\n"
)


ENVIRONMENT = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}


def run(code: str, *arguments: str) -> str:
    """What a fresh interpreter says on its error stream; its answer goes nowhere."""
    done = subprocess.run(
        [sys.executable, "-c", code, *arguments], cwd=ROOT, check=False, text=True,
        stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, env={**ENVIRONMENT, "COLUMNS": "80"},
    )  # fmt: skip
    if done.returncode not in (0, 1):
        raise RuntimeError(done.stderr)
    return done.stderr


def seconds(code: str, *arguments: str) -> float:
    """Processor seconds of a fresh interpreter that runs the code."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    run(code, *arguments)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def libraries(*arguments: str) -> list[str]:
    """Every module that a command loads, less the project's own and those of the language."""
    modules = run(LOADED, *arguments).split()
    own = {"recommender", "__main__", *sys.stdlib_module_names}
    return [
        name for name in modules
        if name.partition(".")[0] not in own and not name.startswith("_")
        and all(part.isidentifier() for part in name.split("."))
    ]  # fmt: skip


def importing(modules: list[str]) -> str:
    """Code that imports those modules, each as far as it may be imported by itself."""
    return (
        "import importlib\n"
        f"for name in {modules!r}:\n"
        "    try:\n        importlib.import_module(name)\n"
        "    except ImportError:\n        pass\n"
    )


def main(runs: Annotated[int, typer.Option(min=1, max=99)] = 9) -> None:
    """Print medians and ratios."""
    with tempfile.TemporaryDirectory() as compiled:
        ENVIRONMENT["PYTHONPYCACHEPREFIX"] = compiled
        pairs = {
            "--help": (("--help",), "import typer"),
            "shortlist on the demo": (("shortlist",), importing(libraries("shortlist"))),
        }
        works = [one for arguments, floor in pairs.values()
                 for one in ((COMMAND, *arguments), (floor,), ("pass",))]  # fmt: skip
        # The first round compiles.
        taken = [[seconds(*work) for work in works] for _ in range(runs + 1)][1:]
    medians = [statistics.median(column) for column in zip(*taken, strict=True)]
    for k, name in enumerate(pairs):
        ours, floor, bare = medians[3 * k : 3 * k + 3]
        print(
            f"{name:<24} {ours:7.3f} s, its libraries alone {floor:7.3f} s: {ours / floor:5.2f} x"
            f"  (bare interpreter {bare:.3f} s)"
        )


if __name__ == "__main__":
    typer.run(main)
