"""The chance of wanted types for all pairs of candidates, by what is known of their copies."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from copy import copy
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

from breeding.heredity import GardenCopies
from breeding.inheritance.loci import Locus, visible
from breeding.inheritance.sets import Sets, totals

if TYPE_CHECKING:
    from breeding.inheritance.mixtures import Mixture
    from breeding.planning.candidates import Flags, Floats, Ints

Wanted = Sequence[tuple[str, str]]
# Fewer bits than this of a parent's copies say next to nothing.
LITTLE = 0.1


def that_work(loci: Sequence[Locus], wanted: Wanted) -> list[tuple[str, str]]:
    """The wanted types of loci that the garden works with, in their order."""
    known = {(locus.symbol, type_.key) for locus in loci for type_ in locus.types}
    return [(symbol, key) for symbol, key in wanted if (symbol, key) in known]


def types_that_show(loci: Sequence[Locus], wanted: Wanted) -> dict[str, frozenset[str]] | None:
    """By locus the types with which all wanted ones can be seen, of loci where that is not all.

    None where one wanted type hides another, so that no flower shows both.
    """
    asked = dict(wanted)
    if visible(loci, asked).keys() != asked.keys():
        return None
    found: dict[str, frozenset[str]] = {}
    for locus in loci:
        if locus.symbol in asked:
            found[locus.symbol] = frozenset({asked[locus.symbol]})
            continue
        beside = frozenset(
            each.key
            for each in locus.types
            if asked.keys() <= visible(loci, {**asked, locus.symbol: each.key}).keys()
        )
        if len(beside) < len(locus.types):
            found[locus.symbol] = beside
    return found


@dataclass
class AtLocus:
    """What the candidates' gametes carry at one locus, and which unions show a type that will do.

    Attributes
    ----------
    kind : ndarray of int, shape (plants,)
        Place in `kinds`; −1 where a plant has an odd number of sets, whose gametes are not known.
    chances : list of ndarray of float, shape (genotypes,)
        Of each plant.
    gametes : list of ndarray of float, shape (genotypes, kinds of gametes)
        For each of `kinds`: sets with their rate of double reduction.
    shows : ndarray of bool, shape (kinds of gametes, kinds of gametes)
    """

    kinds: list[tuple[Sets, float]]
    kind: Ints
    chances: list[Floats]
    gametes: list[Floats]
    shows: Flags
    _tables: dict[tuple[int, int], Floats] = field(default_factory=dict)

    @property
    def shares(self) -> Floats:
        """(plants, kinds of gametes); NaN where nothing is known."""
        import numpy as np

        found = np.full((len(self.kind), len(self.shows)), np.nan)
        for at, (kind, chances) in enumerate(zip(self.kind.tolist(), self.chances, strict=True)):
            if kind >= 0:
                found[at] = chances @ self.gametes[kind]
        return found

    def among(self, places: Sequence[int]) -> AtLocus:
        """The same of some of the plants."""
        chances = [self.chances[at] for at in places]
        return AtLocus(self.kinds, self.kind[places], chances, self.gametes, self.shows)

    def table(self, seed: int, pollen: int) -> Floats:
        """Chance of a type that will do for each two genotypes of two kinds of plants."""
        if (seed, pollen) not in self._tables:
            told = self.gametes[seed] @ self.shows @ self.gametes[pollen].T
            self._tables[seed, pollen] = told.clip(0, 1)
        return self._tables[seed, pollen]


class WantedTypes:
    """The chance that a seedling shows all wanted types, for all pairs of some plants.

    Attributes
    ----------
    keys : tuple of int
        The plants.
    wanted : list of (str, str)
        Symbol and type, of loci that the garden works with.
    hidden : bool
        Whether one wanted type hides another, so that no flower shows both.

    Notes
    -----
    Loci are taken as not linked. The inference at each locus that matters comes with it.
    """

    def __init__(self, held: GardenCopies, wanted: Wanted, keys: Sequence[int]) -> None:
        self.held, self.keys = held, tuple(keys)
        self.wanted = that_work(held.loci, wanted)
        asked = {symbol for symbol, _ in self.wanted}
        # As in what is expected of a single pair: a locus of which nothing is known hides nothing.
        loci = [each.locus for each in held.working
                if each in held.telling or each.locus.symbol in asked]  # fmt: skip
        show = types_that_show(loci, self.wanted)
        self.hidden = show is None
        self.at = {symbol: self._locus(symbol, keys) for symbol, keys in (show or {}).items()}
        self.place = {plant: at for at, plant in enumerate(self.keys)}

    def among(self, keys: Sequence[int]) -> WantedTypes:
        """The same of some of the plants, nothing worked out again."""
        found = copy(self)
        found.keys = tuple(keys)
        picked = [self.place[plant] for plant in keys]
        found.at = {symbol: at.among(picked) for symbol, at in self.at.items()}
        found.place = {plant: at for at, plant in enumerate(keys)}
        return found

    def _locus(self, symbol: str, will_do: frozenset[str]) -> AtLocus:
        import numpy as np

        from breeding.inheritance.matrices import gamete_matrix, gamete_states
        from breeding.planning.chances import unions

        copies = self.held.of(symbol)
        locus, many = copies.locus, len(copies.locus.alleles)
        of_plants = [(copies.sets(plant), copies.double(plant)) for plant in self.keys]
        kinds = list(dict.fromkeys(each for each in of_plants if each[0].ploidy % 2 == 0))
        carried = [[totals(gamete) for gamete in gamete_states(sets, many)] for sets, _ in kinds]
        column = {kind: at for at, kind in enumerate(dict.fromkeys(sum(carried, [])))}
        tables = []
        for (sets, double), carries in zip(kinds, carried, strict=True):
            onto = np.zeros((len(carries), len(column)))
            onto[np.arange(len(carries)), [column[kind] for kind in carries]] = 1
            tables.append(gamete_matrix(sets, many, double) @ onto)
        place = {each: at for at, each in enumerate(kinds)}
        return AtLocus(
            kinds,
            np.array([place.get(each, -1) for each in of_plants], dtype=np.intp),
            [np.fromiter(copies.genotypes(plant).values(), float) for plant in self.keys],
            tables,
            unions(
                list(column), list(column), lambda one, other: _shows(locus, will_do, one, other)
            ),
        )

    @cached_property
    def matrix(self) -> Floats:
        """(plants, plants): seed parents in rows; NaN with a parent that nothing is known of."""
        import numpy as np

        from breeding.planning.chances import chance_of_all, chance_of_type

        if self.hidden or not self.at:
            return np.full((len(self.keys),) * 2, 0.0 if self.hidden else np.nan)
        return chance_of_all(chance_of_type(each.shares, each.shows) for each in self.at.values())

    def with_anybody(self) -> Floats:
        """(plants,): about the chance with a mate drawn from all; 0 where nothing is told."""
        import numpy as np

        found = np.zeros(len(self.keys)) if self.hidden or not self.at else np.ones(len(self.keys))
        for at in self.at.values():
            shares = at.shares
            found *= shares @ at.shows @ np.nan_to_num(shares).mean(axis=0)
        return np.nan_to_num(found)

    def mixture(self, seed: int, pollen: int) -> Mixture | None:
        """What the chance of one pair may be; None where nothing can be told."""
        import numpy as np

        from breeding.inheritance.mixtures import mixture, product

        one, other = self.place[seed], self.place[pollen]
        if np.isnan(self.matrix[one, other]):
            return None
        if not self.at:
            return mixture([0.0], [1.0])
        return product(
            mixture(
                at.table(int(at.kind[one]), int(at.kind[other])).ravel(),
                np.outer(_whole(at.chances[one]), _whole(at.chances[other])).ravel(),
            )
            for at in self.at.values()
        )

    @property
    def methods(self) -> list[str]:
        """How the copies at the wanted loci were found, in sentences."""
        return [self.held.of(symbol).method for symbol, _ in self.wanted]

    def little(self, plant: int) -> list[str]:
        """The wanted loci at which next to nothing is known of a plant's copies."""
        return [
            symbol for symbol, _ in self.wanted if self.held.of(symbol).support(plant).bits < LITTLE
        ]


def _shows(locus: Locus, will_do: frozenset[str], one: Sequence[int], other: Sequence[int]) -> bool:
    copies = tuple(a + b for a, b in zip(one, other, strict=True))
    return locus.type_of(copies).key in will_do


def _whole(chances: Floats) -> Floats:
    """Scaled to the sum 1, rounding of the inference left out."""
    return chances.clip(0) / chances.clip(0).sum()


def names_of(loci: Sequence[Locus], wanted: Wanted) -> list[str]:
    """What wanted types are called."""
    named: Mapping[str, Locus] = {locus.symbol: locus for locus in loci}
    return [named[symbol].type_named(key).name for symbol, key in that_work(loci, wanted)]
