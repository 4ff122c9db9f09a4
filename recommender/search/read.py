"""Values by name that are made when they are first read: of many facts few are looked at."""

from collections.abc import Callable, Iterator, Mapping
from typing import TypeVar

Source = TypeVar("Source")
Made = TypeVar("Made")


class WhenRead(Mapping[str, Made]):
    """The values of a mapping, each made from its source by `make(name, source)` and kept."""

    def __init__(
        self, source: Mapping[str, Source], make: Callable[[str, Source], Made]
    ) -> None:
        self._source, self._make = source, make
        self._made: dict[str, Made] = {}

    def __getitem__(self, name: str) -> Made:
        if name not in self._made:
            self._made[name] = self._make(name, self._source[name])
        return self._made[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._source)

    def __len__(self) -> int:
        return len(self._source)

    def __contains__(self, name: object) -> bool:
        return name in self._source
