"""Scenario folders: a question, the parts on offer, and what must come of it.

    question.toml   [bike], [rider], [wishes], as a user writes them
    parts.toml      what differs from the builder's usual parts; a table left out is its usual part
    expected.toml   the expected answer and the expected reasons

The frame `bench` stands in every scenario's catalogue, and once more with its shaft end unmeasured.
"""

import re
import tomllib
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

from recommender.answer.answer import Case, answer
from recommender.answer.records import Answer, BundleRecord, Turned
from recommender.catalogue.catalogue import read_catalogue
from recommender.catalogue.question import read_question
from tests.catalogue import build

HERE = Path(__file__).parent
BENCH = (HERE / "frames" / "bench.toml").read_text(encoding="utf-8")
FRAMES = {"bench": BENCH, "bench-shaft-unmeasured": re.sub(r"(?m)^shaft = .*$", "", BENCH)}

# The worked example needs about 4,370 N s/m of rebound and 2,010 of compression.
TUNE_CLASSES = tuple(
    build.tune_class(
        word, low, high, compression_low_n_s_per_m=low / 3, compression_high_n_s_per_m=high / 2
    )
    for word, low, high in (("light", 1500, 3600), ("medium", 3000, 6000), ("firm", 4800, 9000))
)
_MAKERS = {
    "air": build.shock, "coil": build.coil_shock, "kits": build.kit, "services": build.service,
    "springs": build.spring,
}  # fmt: skip


def folders() -> list[Path]:
    """Every scenario's folder, in name order."""
    return sorted(path.parent for path in HERE.glob("*/expected.toml"))


def read(path: Path) -> dict[str, Any]:
    """A TOML file's tables."""
    return tomllib.loads(path.read_text(encoding="utf-8"))


def write_parts(parts: dict[str, Any], folder: Path) -> Path:
    """The catalogue that a scenario's parts.toml tells, written into `folder`."""
    tables: dict[str, Any] = {"services": [], "springs": [], "tune_classes": TUNE_CLASSES}
    for name, rows in parts.items():
        if name == "shocks":
            tables[name] = [_MAKERS[row.get("spring_kind", "air")](**row) for row in rows]
        elif name in _MAKERS:
            tables[name] = [_MAKERS[name](**row) for row in rows]
        else:
            tables[name] = rows
    return build.write_catalogue(folder, frames=FRAMES, **tables)


@dataclass(frozen=True)
class Outcome:
    """A scenario's case and its whole answer."""

    case: Case
    answer: Answer

    @cached_property
    def bundles(self) -> dict[str, BundleRecord]:
        return {one.shock: one for one in self.answer.bundles}

    @cached_property
    def turned(self) -> dict[str, Turned]:
        return {one.shock: one for one in self.answer.turned_down}

    def state(self, shock: str) -> str:
        """The state the answer tells, whichever list the shock stands in."""
        return self.turned[shock].state if shock in self.turned else self.bundles[shock].state


def outcome(question: Path, catalogue: Path) -> Outcome:
    """The whole answer to a question file on a catalogue."""
    read_in = read_catalogue(catalogue)
    case = Case(read_question([question], read_in.frames), read_in)
    return Outcome(case, answer(case, top=1000, rejected=None))
