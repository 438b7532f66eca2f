"""Parents by index, and what each has counted."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np

from breeding.fertility.twoway import Rows
from breeding.flowering.absorbing import Ints

Key = TypeVar("Key", bound=Hashable | None)
# (seed parent, pollen parent or None, tried, come of it)
Told = tuple[Hashable, Hashable | None, int, int]


@dataclass(frozen=True)
class Parents:
    """Seed and pollen parents by index, and their counts: (tried, come of it, mates)."""

    seeds: dict[Hashable, int]
    pollens: dict[Hashable, int]
    of_seed: dict[Hashable, tuple[int, int, int]]
    of_pollen: dict[Hashable | None, tuple[int, int, int]]
    of_pair: dict[tuple[Hashable, Hashable | None], tuple[int, int, int]]
    rows: Rows

    def seed(self, plants: Iterable[Hashable]) -> Ints:
        """Indices as seed parents; strangers get the last."""
        return np.array([self.seeds.get(each, len(self.seeds)) for each in plants], np.intp)

    def pollen(self, plants: Iterable[Hashable | None]) -> Ints:
        """Indices as pollen parents; strangers and unknown ones get the last."""
        return np.array([self.pollens.get(each, len(self.pollens)) for each in plants], np.intp)

    @property
    def total(self) -> tuple[int, int]:
        """Tried, and come of it, in the whole garden."""
        held = self.of_seed.values()
        return sum(tried for tried, _, _ in held), sum(came for _, came, _ in held)


def parents(told: Sequence[Told]) -> Parents:
    """Everybody's counts; the rows stand in the order of `told`."""
    seeds = {each: at for at, each in enumerate(dict.fromkeys(seed for seed, *_ in told))}
    known = dict.fromkeys(pollen for _, pollen, *_ in told if pollen is not None)
    pollens: dict[Hashable, int] = {each: at for at, each in enumerate(known)}
    rows = Rows(
        np.array([seeds[seed] for seed, *_ in told], np.intp),
        np.array([-1 if p is None else pollens[p] for _, p, *_ in told], np.intp),
        len(seeds),
        len(pollens),
    )
    return Parents(
        seeds,
        pollens,
        _counts((seed, pollen, tried, came) for seed, pollen, tried, came in told),
        _counts((pollen, seed, tried, came) for seed, pollen, tried, came in told),
        _counts(((seed, pollen), None, tried, came) for seed, pollen, tried, came in told),
        rows,
    )


def _counts(
    told: Iterable[tuple[Key, Hashable | None, int, int]],
) -> dict[Key, tuple[int, int, int]]:
    """(tried, come of it, different mates; an unknown one counts as one) by key."""
    sums: dict[Key, list[int]] = {}
    mates: dict[Key, set[Hashable | None]] = {}
    for key, mate, tried, came in told:
        held = sums.setdefault(key, [0, 0])
        held[0] += tried
        held[1] += came
        mates.setdefault(key, set()).add(mate)
    return {key: (tried, came, len(mates[key])) for key, (tried, came) in sums.items()}
