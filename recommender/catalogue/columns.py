"""A table as typed columns. Of numbers that are not exact the upper ends are held beside."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Self

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Codes = npt.NDArray[np.int16]
Ints = npt.NDArray[np.int64]
Mask = npt.NDArray[np.bool_]

UNKNOWN_CODE = -1


@dataclass(frozen=True)
class NumberColumn:
    """Each cell lies between `low` and `top`; `known` None: no cell unknown.

    An unknown cell spans the field's declared bounds and is False in `known`. Most cells are exact:
    of the `loose` ones, in ascending order, the upper end is held beside.
    """

    low: Floats
    loose: npt.NDArray[np.int32]
    loose_top: Floats
    known: Mask | None = None

    @classmethod
    def of(cls, low: Floats, top: Floats | None = None, known: Mask | None = None) -> Self:
        """The column of cells between those ends; `top` None: every cell is exact."""
        loose = np.flatnonzero(low != (low if top is None else top))
        upper = low if top is None else top
        every = known is None or bool(known.all())
        return cls(low, loose.astype(np.int32), upper[loose], None if every else known)

    def take(self, rows: Ints) -> Self:
        at = np.searchsorted(self.loose, rows)
        at[at == len(self.loose)] = 0
        low, mine = self.low[rows], np.zeros(len(rows), bool)
        if len(self.loose):
            mine = self.loose[at] == rows
        known = None if self.known is None else self.known[rows]
        found = np.flatnonzero(mine)
        return type(self)(low, found.astype(np.int32), self.loose_top[at[found]], known)

    @property
    def top(self) -> Floats:
        """The upper end of every cell, put together anew."""
        if not len(self.loose):
            return self.low
        out = self.low.copy()
        out[self.loose] = self.loose_top
        return out

    @property
    def is_known(self) -> Mask:
        return np.ones(len(self.low), bool) if self.known is None else self.known

    @classmethod
    def join(cls, parts: "list[NumberColumn]") -> Self:
        known = None
        if any(part.known is not None for part in parts):
            known = np.concatenate([part.is_known for part in parts])
        low, top = (np.concatenate([getattr(p, end) for p in parts]) for end in ("low", "top"))
        return cls.of(low, top, known)


@dataclass(frozen=True)
class ChoiceColumn:
    """Each cell is an index into `values`, or UNKNOWN_CODE."""

    codes: Codes
    values: tuple[str, ...]

    def take(self, rows: Ints) -> "ChoiceColumn":
        return ChoiceColumn(self.codes[rows], self.values)

    def words(self) -> list[str | None]:
        return [None if code < 0 else self.values[code] for code in self.codes.tolist()]

    def word(self, row: int) -> str | None:
        code = int(self.codes[row])
        return None if code < 0 else self.values[code]

    @classmethod
    def join(cls, parts: "list[ChoiceColumn]") -> "ChoiceColumn":
        return cls(np.concatenate([part.codes for part in parts]), parts[0].values)


@dataclass(frozen=True)
class TextColumn:
    """Each cell is an index into `words`: texts repeat (makers, suppliers, damper families)."""

    codes: npt.NDArray[np.int32]
    words: tuple[str, ...]

    def __len__(self) -> int:
        return len(self.codes)

    def take(self, rows: Ints) -> "TextColumn":
        return TextColumn(self.codes[rows], self.words)

    def __getitem__(self, row: int) -> str:
        return self.words[int(self.codes[row])]

    def between(self, before: int, after: int) -> "TextColumn":
        """The column with so many blank cells before and after it."""
        return self.join([self.blank(before), self, self.blank(after)])

    def texts(self) -> list[str]:
        return [self.words[code] for code in self.codes.tolist()]

    @classmethod
    def blank(cls, size: int) -> "TextColumn":
        return cls(np.zeros(size, np.int32), ("",))

    @classmethod
    def of(cls, texts: "list[str]") -> "TextColumn":
        index: dict[str, int] = {}
        codes = np.fromiter((index.setdefault(t, len(index)) for t in texts), np.int32, len(texts))
        return cls(codes, tuple(index))

    @classmethod
    def join(cls, parts: "list[TextColumn]") -> "TextColumn":
        words = dict.fromkeys(word for part in parts for word in part.words)
        place = {word: code for code, word in enumerate(words)}
        codes = [np.array([place[one] for one in part.words], np.int32)[part.codes]
                 for part in parts]  # fmt: skip
        return cls(np.concatenate(codes), tuple(words))


Column = NumberColumn | ChoiceColumn | TextColumn


@dataclass(frozen=True)
class Table:
    """A catalogue table. Row i stands in file `file` at line `lines[i]` (the header is line 1)."""

    name: str
    key: str
    columns: Mapping[str, Column]
    file: str = ""
    lines: Ints | None = None

    def __len__(self) -> int:
        first = next(iter(self.columns.values()))
        return len(first.low) if isinstance(first, NumberColumn) else len(first.codes)

    def number(self, name: str) -> NumberColumn:
        column = self.columns[name]
        if not isinstance(column, NumberColumn):
            raise TypeError(f"{self.name}.{name} is no number column")
        return column

    def choice(self, name: str) -> ChoiceColumn:
        column = self.columns[name]
        if not isinstance(column, ChoiceColumn):
            raise TypeError(f"{self.name}.{name} is no choice column")
        return column

    def text(self, name: str) -> TextColumn:
        column = self.columns[name]
        if not isinstance(column, TextColumn):
            raise TypeError(f"{self.name}.{name} is no text column")
        return column

    def keys(self) -> list[str]:
        column = self.columns[self.key]
        if isinstance(column, ChoiceColumn):
            return [word or "" for word in column.words()]
        return self.text(self.key).texts()

    def key_of(self, row: int) -> str:
        """One row's key."""
        column = self.columns[self.key]
        if isinstance(column, ChoiceColumn):
            return column.word(row) or ""
        return self.text(self.key)[row]

    def place(self, row: int) -> tuple[str, int | None]:
        """File and line of a row, for messages."""
        return self.file, None if self.lines is None else int(self.lines[row])

    def take(self, rows: Ints) -> "Table":
        return replace(
            self,
            columns={name: column.take(rows) for name, column in self.columns.items()},
            lines=None if self.lines is None else self.lines[rows],
        )

    def append(self, other: "Table") -> "Table":
        """This table with the other's rows after its own; both have the same columns."""
        columns: dict[str, Column] = {}
        for name, column in self.columns.items():
            pair = [column, other.columns[name]]
            columns[name] = type(column).join(pair)  # type: ignore[arg-type]
        lines = None
        if self.lines is not None:
            more = other.lines if other.lines is not None else np.zeros(len(other), np.int64)
            lines = np.concatenate([self.lines, more])
        return replace(self, columns=columns, lines=lines)
