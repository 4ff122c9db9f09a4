"""Alike bikes fold into groups; each group is one question with a range of riders to be served."""

import re
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from recommender.advice.delivered import with_delivered
from recommender.catalogue.catalogue import Catalogue
from recommender.catalogue.question import Question, read_question
from recommender.facts.bike import Bike, PresentShock
from recommender.facts.nearest import nearest
from recommender.facts.problems import BadInput, Problem
from recommender.facts.quantity import Quantity
from recommender.fleet.reading import Bikes, read_rows
from recommender.rules.fitted import fitted_shock

_FILE = re.compile(r"[A-Za-z0-9][A-Za-z0-9 ._-]{0,79}")


@dataclass(frozen=True)
class Group:
    """Bikes that are alike in all that a plan reads. `changes`: springs may be changed."""

    name: str
    model: str
    rows: tuple[Bikes, ...]
    question: Question
    changes: bool

    @property
    def count(self) -> int:
        return sum(row.count for row in self.rows)

    @property
    def riders(self) -> Quantity:
        return self.question.rider.mass_with_kit_kg

    @property
    def riders_text(self) -> str:
        low, high = (f"{round(mass, 1):g}" for mass in (self.riders.low, self.riders.high))
        return f"{low} kg" if low == high else f"{low} to {high} kg"

    @property
    def bikes(self) -> tuple[str, ...]:
        return tuple(name for row in self.rows for name in row.names())


def read_groups(
    path: Path, catalogue: Catalogue, mapping: Path | None = None
) -> tuple[Group, ...]:
    """The groups of a fleet file; the model and wishes files stand beside it. Raises BadInput with
    the problems of the file's cells, and of all that those name, together."""
    rows, problems = read_rows(path, mapping)
    groups, more = _fold(rows, path.parent, catalogue)
    if problems or more:
        mine = [one for one in (*problems, *more) if one.file == str(path) and one.row is not None]
        rest = [one for one in (*problems, *more) if one not in mine]
        raise BadInput([*sorted(mine, key=lambda one: one.row or 0), *rest])
    return groups


def fold(rows: Sequence[Bikes], folder: Path, catalogue: Catalogue) -> tuple[Group, ...]:
    """The groups, by model, then range, then row. Model and wishes files stand in `folder`.

    Raises BadInput with the problems of all rows and files.
    """
    groups, problems = _fold(rows, folder, catalogue)
    if problems:
        raise BadInput(problems)
    return groups


def _fold(
    rows: Sequence[Bikes], folder: Path, catalogue: Catalogue
) -> tuple[tuple[Group, ...], list[Problem]]:
    """The groups of the rows in which nothing is wrong, and what is wrong in the others. Of a cell
    that could not be read nothing more is said."""
    problems: list[Problem] = []
    models: dict[tuple[str, str], tuple[Question | None, bool]] = {}
    alike: dict[tuple[object, ...], list[Bikes]] = defaultdict(list)
    made: dict[tuple[object, ...], Question] = {}
    for row in rows:
        facts = row.facts
        if row.unread & {"model", "wishes"}:
            continue
        key = facts.model, facts.wishes
        if key not in models:
            base, wrong = _model(*key, folder, catalogue, row)
            models[key] = base, not wrong
            problems += wrong
        base, whole = models[key]
        if base is None:
            continue
        try:
            question = _question(base, row, catalogue)
        except BadInput as bad:
            problems += [one for one in bad.problems if one.column not in row.unread]
            continue
        changes = facts.spring_changes == "yes"
        same = (
            facts.model, question.bike, question.rider, question.wishes.model_dump_json(), changes
        )
        if whole:
            alike[_key(same)].append(row)
            made[_key(same)] = question
    groups = [_group(made[key], some) for key, some in alike.items()]
    return _with_names(sorted(groups, key=_order)), problems


def _key(parts: tuple[object, ...]) -> tuple[object, ...]:
    return tuple(repr(part) for part in parts)


def _order(group: Group) -> tuple[object, ...]:
    """What stands in the file above does not matter, but for groups alike in all this."""
    return group.model, group.riders.low, group.riders.high, group.rows[0].name


def _group(question: Question, rows: list[Bikes]) -> Group:
    changes = rows[0].facts.spring_changes == "yes"
    return Group("", rows[0].facts.model, tuple(rows), question, changes)


def _with_names(groups: list[Group]) -> tuple[Group, ...]:
    """'trail-hire, 55 to 95 kg', with a letter where that does not tell groups apart."""
    names: dict[str, int] = defaultdict(int)
    for group in groups:
        names[f"{group.model}, {group.riders_text}"] += 1
    seen: dict[str, int] = defaultdict(int)
    out = []
    for group in groups:
        name = f"{group.model}, {group.riders_text}"
        seen[name] += 1
        mark = f" ({group.rows[0].name})" if names[name] > 1 else ""
        out.append(replace(group, name=name + mark))
    return tuple(out)


def _model(
    model: str, wishes: str, folder: Path, catalogue: Catalogue, row: Bikes
) -> tuple[Question | None, Sequence[Problem]]:
    """The model's own file, or a frame of the catalogue, with the wishes of theirs or a file; and
    what is wrong with them. Without its wishes a model still tells whether its rows are in order.
    """
    paths, problems = [], []
    for name, column in ((model, "model"), (wishes, "wishes")):
        if not name:
            continue
        stem = name.removesuffix(".toml")
        path = folder / f"{stem}.toml"
        if _FILE.fullmatch(stem) and path.is_file():
            paths.append(path)
        elif column == "wishes" or stem not in catalogue.frames:
            known = sorted(p.stem for p in folder.glob("*.toml"))
            if column == "model":
                known += list(catalogue.frames)
            message = f"neither a file {stem[:80]}.toml beside the fleet file nor a frame's id"
            if column == "wishes":
                message = f"no file {stem[:80]}.toml beside the fleet file"
            message += nearest(stem[:80], known)
            problems.append(Problem(row.file, message, row.number, column, name))
    if any(one.column == "model" for one in problems):
        return None, problems
    try:
        return _asked(model, wishes, paths, catalogue, row), problems
    except BadInput as bad:
        return None, [*problems, *bad.problems]


def _asked(
    model: str, wishes: str, paths: Sequence[Path], catalogue: Catalogue, row: Bikes
) -> Question:
    """The question that these files tell of the model."""
    stem = model.removesuffix(".toml")
    if stem in catalogue.frames and not (paths and paths[0].stem == stem):
        bike = catalogue.frames[stem].bike.model_copy(update={"frame": stem})
        told = read_question(paths, catalogue.frames, bike_wanted=False)
        if told.bike != Bike():
            message = "a [bike] stands in it, and the model is a frame of the catalogue: keep one"
            raise BadInput([Problem(row.file, message, row.number, "wishes", wishes)])
        return replace(told, bike=bike)
    return read_question(paths, catalogue.frames)


def _question(base: Question, row: Bikes, catalogue: Catalogue) -> Question:
    facts = row.facts
    mass = facts.rider_mass_with_kit_kg
    if not mass.known:
        mass = base.rider.mass_with_kit_kg
    problems = []
    if not mass.known:
        message = "the riders' masses are wanted, here or in the model's [rider]: '55 to 95'"
        problems.append(Problem(row.file, message, row.number, "rider_mass_with_kit_kg"))
    told: dict[str, object] = {"mass_with_kit_kg": mass, "name": "the riders"}
    if facts.taste is not None:
        told["taste"] = facts.taste
    bike = base.bike.model_copy(update={"present_shock": _present(base.bike.present_shock, row)})
    question = Question(bike, base.rider.model_copy(update=told), base.wishes, base.digest)
    try:
        question = with_delivered(question, catalogue)
        fitted_shock(question, catalogue)
    except BadInput as bad:
        problems += [
            Problem(row.file, p.message, row.number, "present_shock", p.value)
            for p in bad.problems
        ]  # fmt: skip
    if problems:
        raise BadInput(problems)
    return question


_OF_ITSELF = (
    "facts", "own_tune", "volume_spacers", "spring_rate_n_per_mm", "spring_mass_g",
    "spring_outer_diameter_mm", "sag_mm",
)  # fmt: skip
"""What is told of one shock and holds of no other; its hardware and its wear are the bikes'."""


def _present(now: PresentShock | None, row: Bikes) -> PresentShock | None:
    """The shock that is fitted, by the row where it tells another than the model's file."""
    facts = row.facts
    if facts.present_shock.lower() == "none":
        return None
    update: dict[str, object] = {}
    if facts.present_shock:
        update["part_number"] = facts.present_shock
        if now is not None and facts.present_shock != now.part_number:
            update |= {name: getattr(PresentShock(), name) for name in _OF_ITSELF}
    if facts.condition is not None:
        update["condition"] = facts.condition
    if now is None and not update:
        return None
    return (now or PresentShock()).model_copy(update=update)
