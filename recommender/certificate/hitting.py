"""Minimal hitting sets by Berge's multiplication: C. Berge, 'Hypergraphs', North-Holland 1989.

The plainest way, set by set; families of a certificate are small enough for it.
"""

from collections.abc import Iterable

Sets = set[frozenset[str]]


def minimal(family: Iterable[frozenset[str]]) -> Sets:
    """The sets of a family that contain no other of it."""
    kept: list[frozenset[str]] = []
    for one in sorted(set(family), key=len):
        if not any(other <= one for other in kept):
            kept.append(one)
    return set(kept)


def hitting_sets(family: Iterable[frozenset[str]], most: int) -> Sets | None:
    """All minimal sets that meet every set of the family; None where more than `most` come up on
    the way, since then it would take too long."""
    found: Sets = {frozenset()}
    for edge in sorted(minimal(family), key=lambda one: (len(one), sorted(one))):
        hit = {one for one in found if one & edge}
        more = {one | {member} for one in found - hit for member in edge}
        found = hit | {one for one in minimal(more) if not any(old <= one for old in hit)}
        if len(found) > most:
            return None
    return found
