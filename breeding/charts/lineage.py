"""The part of a pedigree that a chart shows: who is in reach, circles cut, shares, loops."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from breeding.charts.model import Key, Parents, Plants

ROLES = ("seed", "pollen")


@dataclass(frozen=True)
class Unknown:
    """A parent nobody knows; `words` as recorded, ``''`` for none."""

    words: str = ""


@dataclass(frozen=True)
class Lineage:
    """Plants within reach of the roots, each once.

    up
        key -> (seed parent, pollen parent), or () where neither is on record or both lie beyond
        the depth.
    cut
        (key, role) of the lines that would close a circle.
    order
        All keys, every plant before its parents (lines that are cut do not count).
    beyond
        Keys with parents on record that lie beyond the depth.
    """

    up: dict[Key, tuple[Key | Unknown, ...]]
    cut: set[tuple[Key, str]]
    order: list[Key]
    beyond: set[Key]

    def above(self, key: Key) -> Iterator[tuple[str, Key]]:
        """(role, parent) of the known parents whose lines are not cut."""
        for role, parent in zip(ROLES, self.up[key], strict=False):
            if not isinstance(parent, Unknown) and (key, role) not in self.cut:
                yield role, parent


def _parent(value: Key | None, plants: Plants, child: Key) -> Key | Unknown:
    if value is None:
        return Unknown()
    if value in plants:
        return value
    if isinstance(value, str):
        return Unknown(value)
    raise ValueError(f"the parent {value!r} of {child!r} is not among the plants")


def parents_of(key: Key, parents: Parents, plants: Plants) -> tuple[Key | Unknown, ...]:
    """Both parents of `key`, or () when none is on record.

    Raises
    ------
    ValueError
        When a parent is neither a key of `plants` nor words; names it and its child.
    """
    pair = parents.get(key, (None, None))
    if pair[0] is None and pair[1] is None:
        return ()
    return tuple(_parent(value, plants, key) for value in pair)


def lineage(roots: Sequence[Key], parents: Parents, plants: Plants, depth: int) -> Lineage:
    """What lies within `depth` generations (shortest way) of the roots; cost grows with that.

    Raises
    ------
    ValueError
        When a plant is unknown or `depth` is negative.
    """
    if depth < 0:
        raise ValueError(f"depth {depth} is negative")
    for root in roots:
        if root not in plants:
            raise ValueError(f"{root!r} is not among the plants")
    up: dict[Key, tuple[Key | Unknown, ...]] = {}
    beyond: set[Key] = set()
    ring = list(dict.fromkeys(roots))
    for step in range(depth + 1):
        following: dict[Key, None] = {}
        for key in ring:
            pair = parents_of(key, parents, plants)
            if pair and step == depth:
                up[key] = ()
                beyond.add(key)
                continue
            up[key] = pair
            following.update((one, None) for one in pair if not isinstance(one, Unknown))
        ring = [key for key in following if key not in up]
    return _ordered(roots, up, beyond)


def _ordered(roots: Sequence[Key], up: dict, beyond: set[Key]) -> Lineage:
    """Depth first from the roots: a line back to a plant still open closes a circle."""
    cut: set[tuple[Key, str]] = set()
    state: dict[Key, bool] = {}  # True while its ancestors are being walked
    done: list[Key] = []
    for root in reversed(roots):  # so that the first root comes first in the end
        if root in state:
            continue
        state[root] = True
        stack = [(root, zip(ROLES, up[root], strict=False))]
        while stack:
            key, rest = stack[-1]
            role, parent = next(rest, ("", None))
            if not role:
                state[key] = False
                done.append(key)
                stack.pop()
            elif not isinstance(parent, Unknown):
                if parent not in state:
                    state[parent] = True
                    stack.append((parent, zip(ROLES, up[parent], strict=False)))
                elif state[parent]:
                    cut.add((key, role))
    return Lineage(up, cut, done[::-1], beyond)


def shares(line: Lineage, begin: Mapping[Key, float]) -> dict[Key, float]:
    """Expected contributions when each parent gives half; `begin` has those of the roots."""
    share = dict.fromkeys(line.order, 0.0)
    share.update(begin)
    for key in line.order:
        for _, parent in line.above(key):
            share[parent] += share[key] / 2
    return share


def meetings(line: Lineage, one: Key, other: Key) -> set[Key]:
    """Ancestors at which a way from `one` and a way from `other` meet that share nothing before.

    These are the common ancestors of the path method of Wright (1922), the plants themselves
    included. Pairs are opened younger plant first, as in the recursion for kinship, so that two
    ways can never pass the same plant at different times.
    """
    rank = {key: at for at, key in enumerate(line.order)}
    if one == other:
        return {one}
    both = _ancestry(line, one) & _ancestry(line, other)
    live = set(both)
    for key in reversed(line.order):  # plants from which a common ancestor can be reached
        if any(parent in live for _, parent in line.above(key)):
            live.add(key)
    found: set[Key] = set()
    seen: set[tuple[Key, Key]] = set()
    stack = [(one, other)]
    while stack:
        pair = stack.pop()
        if pair in seen or not live.issuperset(pair):
            continue
        seen.add(pair)
        if pair[0] == pair[1]:
            found.add(pair[0])
            continue
        young, old = sorted(pair, key=rank.__getitem__)
        stack += [(parent, old) for _, parent in line.above(young)]
    return found


def _ancestry(line: Lineage, key: Key) -> set[Key]:
    seen, stack = {key}, [key]
    while stack:
        for _, parent in line.above(stack.pop()):
            if parent not in seen:
                seen.add(parent)
                stack.append(parent)
    return seen


def letter(number: int) -> str:
    """A, B … Z, AA, AB … for 0, 1 …"""
    text = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        text = chr(65 + rest) + text
    return text
