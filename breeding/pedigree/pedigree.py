"""The pedigree of a garden, as others ask it."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping, Sequence
from math import sqrt
from typing import TYPE_CHECKING

from breeding.pedigree import completeness, contributions, paths, words
from breeding.pedigree.check import Ploidy, Row
from breeding.pedigree.copies import Gamete
from breeding.pedigree.record import Parents, Record
from breeding.pedigree.rules import Mode

if TYPE_CHECKING:
    import numpy as np

    from breeding.pedigree.contributions import Founders
    from breeding.pedigree.paths import CommonAncestor, CommonPaths


class Pedigree(Record):
    """Plants and their parents, with the sums that follow from them.

    A picture of the moment: what is handed over is copied, and later changes of the mapping do
    not reach it. Build a new one from the record when the record has changed; building 100,000
    plants takes a few tenths of a second.

    Parameters
    ----------
    parents : mapping of plant to (seed parent or None, pollen parent or None)
        In any order. Every parent is a key itself.
    ploidy : int or mapping of plant to int
        Sets of chromosomes.
    double_reduction : float
        Chance that the two copies at a locus in a diploid gamete of a tetraploid descend from
        the same chromosome copy of the parent, 0–1: λ of [2]_. 0 by random chromosomes, 1/7 by
        random chromatids, 1/6 at most in theory.
    modes : mapping of plant to Mode, optional
        How sets pair in the plants' meiosis; by default from the ploidy.
    gametes : mapping of plant to ((copies, λ), (copies, λ)), optional
        The gametes of seed and pollen parent that a plant came from, where more is known than
        its ploidy tells: λ of unreduced gametes, clones (0 copies from one side).

    Raises
    ------
    PedigreeError
        A ValueError; if the pedigree cannot be. Its `faults` name the plants.
    TypeError
        If `parents` is no mapping.

    Notes
    -----
    Founders, and unknown parents of half-founders, carry the inbreeding that double reduction
    alone keeps [2]_: λ/(2+λ) in tetraploids. Half-founders have one fresh, unrelated parent.
    Where the ploidy is not the sum of half the parents', a gamete was not reduced; the only
    possible reading is taken, otherwise the plant is refused. A plant with an odd number of sets
    gives the smaller or the larger half.

    References
    ----------
    .. [1] Kerr, Li, Tier, Dutkowski & McRae 2012, Theor. Appl. Genet. 124:1271–1282.
    .. [2] Hamilton & Kerr 2018, Theor. Appl. Genet. 131:851–860.
    .. [3] Wright 1922, Am. Nat. 56:330–338 (diploids).

    Examples
    --------
    >>> garden = Pedigree({"A": (None, None), "S": ("A", "A")}, ploidy=4)
    >>> garden.kinship("S", "A")
    0.25
    >>> round(garden.inbreeding("S"), 4)
    0.1667
    """

    def __init__(
        self,
        parents: Mapping[Hashable, Parents],
        ploidy: int | Mapping[Hashable, int] = 4,
        double_reduction: float = 0.0,
        *,
        modes: Mapping[Hashable, Mode] | None = None,
        gametes: Mapping[Hashable, tuple[Gamete, Gamete]] | None = None,
    ) -> None:
        if not isinstance(parents, Mapping):
            raise TypeError("parents is a mapping of each plant to its two parents")
        try:
            rows = [(plant, seed, pollen) for plant, (seed, pollen) in parents.items()]
        except (TypeError, ValueError):
            raise TypeError("every plant has two parents, None for an unknown one") from None
        self._build(rows, ploidy, double_reduction, modes or {}, gametes or {})

    @classmethod
    def from_rows(
        cls,
        rows: Sequence[Row],
        ploidy: Ploidy = 4,
        double_reduction: float = 0.0,
    ) -> Pedigree:
        """The same from rows (plant, seed parent, pollen parent), where plants may be doubled.

        `ploidy` may also be a list, one for each row.

        Raises
        ------
        PedigreeError
            Each fault knows the place of its row.
        """
        made = cls.__new__(cls)
        made._build(rows, ploidy, double_reduction, {}, {})
        return made

    def kinship(self, a: Hashable, b: Hashable) -> float:
        """Chance that one copy of `a` and one of `b`, drawn at random, are alike by descent.

        Parameters
        ----------
        a, b : plants
            For a plant with itself, the same copy may be drawn twice.

        Returns
        -------
        float
            0–1. Of two plants with the same diploid sets that do not pair with each other
            (standard dwarfs), within each set, as for diploids.

        Raises
        ------
        UnknownPlant
            A KeyError and a ValueError.

        Notes
        -----
        Time grows with the ancestors of the pair; see `inbreeding.inbreeding` for those that
        both share. Later pairs are quicker, as their inbreeding is remembered.

        Examples
        --------
        >>> family = {"A": (None, None), "B": (None, None), "C": ("A", "B"), "D": ("A", "B")}
        >>> Pedigree(family, ploidy=2).kinship("C", "D")
        0.25
        """
        at, bt = self._at(a), self._at(b)
        found = self._memory.kinship(at, bt) * self._scale(self._row(a), self._row(b))
        return min(found, 1.0)

    def inbreeding(self, a: Hashable) -> float:
        """Chance that two different copies of a plant are alike by descent, 0–1.

        Of a plant with several diploid sets that do not pair with each other, within each set.

        Raises
        ------
        UnknownPlant

        Notes
        -----
        Cost as of `inbreeding.inbreeding` for the plant's ancestors, once.

        Examples
        --------
        >>> Pedigree({"A": (None, None), "S": ("A", "A")}, ploidy=2).inbreeding("S")
        0.5
        """
        return self._told_inbreeding(self._row(a), self._memory.inbreeding(self._at(a)))

    def _told_inbreeding(self, row: int, found: float) -> float:
        # Where only the two copies of a pair can be alike, they are one in ploidy − 1 of all twos.
        within = int(self._checked.ploidy[row]) - 1 if self._pairs(row) > 1 else 1
        return min(found * within, 1.0)

    def inbreedings(self) -> dict[Hashable, float]:
        """Inbreeding of every plant, in the order given. Cost as of `inbreeding.inbreeding`."""
        found = self._memory.all_inbreeding()[self._place].tolist()
        return {
            plant: self._told_inbreeding(row, found[row]) for row, plant in enumerate(self._keys)
        }

    def relationship(self, a: Hashable, b: Hashable) -> float:
        """Additive relationship, kinship × √(ploidy of a × ploidy of b).

        Twice the kinship of diploids, four times that of tetraploids; of a plant with itself
        1 + (ploidy − 1) × inbreeding. The one scale on which plants of all make-ups compare.

        Examples
        --------
        >>> Pedigree({"A": (None, None), "S": ("A", None)}, ploidy=4).relationship("S", "A")
        0.5
        """
        root = sqrt(self.ploidy(a) * self.ploidy(b))
        return self._memory.kinship(self._at(a), self._at(b)) * root

    def kinship_matrix(self, keys: Iterable[Hashable] | None = None) -> np.ndarray:
        """Kinship of every pair, each as `kinship` tells it.

        Parameters
        ----------
        keys : iterable of plants, optional
            Rows and columns of the answer; all plants by default. One may come twice.

        Returns
        -------
        ndarray of float, shape (keys, keys)
            Fractions, 0–1; symmetric.

        Raises
        ------
        UnknownPlant

        Notes
        -----
        Time and memory grow with (keys and their ancestors)², or for few keys with many
        ancestors with keys² × ancestors and keys × ancestors.

        Examples
        --------
        >>> Pedigree({"A": (None, None), "S": ("A", None)}, ploidy=4).kinship_matrix().tolist()
        [[0.25, 0.125], [0.125, 0.25]]
        """
        chosen = self._keys if keys is None else list(keys)
        rows = [self._row(plant) for plant in chosen]
        table = self._memory.table(self._place[rows])
        return self._scaled(table, rows)

    def _scaled(self, table: np.ndarray, rows: list[int]) -> np.ndarray:
        import numpy as np

        pairs = np.array([self._pairs(row) for row in rows])
        for many in set(pairs[pairs > 1].tolist()):
            which = np.flatnonzero(pairs == many)
            table[np.ix_(which, which)] *= many
            np.minimum(table, 1.0, out=table)
        return table

    def contributions(self, a: Hashable) -> dict[Hashable, float]:
        """Expected contribution of each ancestor; see `contributions.of_plant`."""
        return contributions.of_plant(self, a)

    def founders(self, a: Hashable) -> Founders:
        """Founders and founder equivalents of a plant; see `contributions.founders`."""
        return contributions.founders(self, a)

    def common_ancestors(self, a: Hashable, b: Hashable) -> dict[Hashable, CommonAncestor]:
        """Plants from which both descend, nearest first; see `paths.common_ancestors`."""
        return paths.common_ancestors(self, a, b)

    def common_paths(self, a: Hashable, b: Hashable, most: int = 12) -> CommonPaths:
        """The paths that make the kinship of a pair; see `paths.common_paths`."""
        return paths.common_paths(self, a, b, most)

    def completeness(self, a: Hashable, generations: int = 5) -> list[float]:
        """Known part of each generation of ancestors; see `completeness.by_generation`."""
        return completeness.by_generation(self, a, generations)

    def rule(self, a: Hashable, b: Hashable | None = None) -> str:
        """Say in a sentence or two which rule gave the numbers of a plant or a pair."""
        return words.rule(self, a, a if b is None else b)
