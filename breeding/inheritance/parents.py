"""What two parents may carry at one locus, and the types that follow from each reading of it."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from breeding.inheritance.gametes import Number
from breeding.inheritance.genotypes import (
    Genotype,
    Sets,
    gamete_sizes,
    gametes,
    totals,
)
from breeding.inheritance.loci import Locus
from breeding.inheritance.mixtures import Mixture, mixture

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[Any]

# One group of four sets: the only one in which double reduction is reckoned with.
TETRASOMIC = (4,)
# Readings less likely than this are left out.
LEAST_LIKELY = 1e-10
# Beyond this a denominator says nothing to the eye.
LARGEST_DENOMINATOR = 1000


@dataclass(frozen=True, slots=True)
class Mating:
    """How the sets of two plants meet in a seedling.

    `double_reduction` is the rate α of `gamete_frequencies`, of plants with four sets that all
    pair with each other; others have none (see `rates`). `uneven` says of the seed parent and of
    the pollen parent whether its four sets are odd or unlike, and so not of that kind.

    Raises
    ------
    ValueError
        If no gametes of the parents add up to the seedling.
    """

    seed: Sets
    pollen: Sets
    child: Sets
    double_reduction: Number = 0
    uneven: tuple[bool, bool] = (False, False)

    def __post_init__(self) -> None:
        if not self.ways:
            raise ValueError(
                f"No gametes of plants with {self.seed.ploidy} and {self.pollen.ploidy} sets make "
                f"a seedling with {self.child.ploidy}."
            )

    @property
    def rates(self) -> tuple[Number, Number]:
        """Double reduction in the gametes of the seed parent and of the pollen parent."""
        one, other = (
            0 if uneven or sets.groups != TETRASOMIC else self.double_reduction
            for sets, uneven in zip((self.seed, self.pollen), self.uneven, strict=True)
        )
        return one, other

    @property
    def ways(self) -> tuple[tuple[int, int], ...]:
        """Sizes of the two gametes, each pair taken as equally likely."""
        return gamete_sizes(self.seed, self.pollen, self.child)


@dataclass(frozen=True, slots=True)
class Reading:
    """One pair of genotypes the parents may have, and what would follow from it.

    `seed_copies` and `pollen_copies` are those of the locus's counted allele; `ratio` says the
    chance of the type asked for in words, `chances` those of all types, exactly.
    """

    seed: Genotype
    pollen: Genotype
    seed_copies: int
    pollen_copies: int
    probability: float
    ratio: str
    chances: Mapping[str, Fraction]


@dataclass(frozen=True, slots=True, eq=False)
class Readings:
    """All readings of two parents at one locus.

    Attributes
    ----------
    pairs : tuple of (Genotype, Genotype), length n
        Seed parent, pollen parent.
    weights : ndarray of float, shape (n,)
        Their probabilities; the sum is 1.
    chances : ndarray of float, shape (n, types)
        Of the types, in the order of the locus, in a seedling.
    """

    locus: Locus
    mating: Mating
    pairs: tuple[tuple[Genotype, Genotype], ...]
    weights: Array
    chances: Array

    @property
    def keys(self) -> tuple[str, ...]:
        return tuple(each.key for each in self.locus.types)

    def mixture(self, keys: Collection[str]) -> Mixture:
        """The chance that a seedling is of one of these types, as it may be."""
        at = [place for place, key in enumerate(self.keys) if key in keys]
        exact = None
        if len(self.pairs) == 1:
            told = exact_types(self.locus, *self.pairs[0], self.mating)
            exact = sum((told[key] for key in self.keys if key in keys), Fraction(0))
        return mixture(self.chances[:, at].sum(axis=1).clip(0, 1), self.weights, exact)

    def distinct(self) -> tuple[Array, Array]:
        """(weights, chances) with readings that give the same ratio as one."""
        import numpy as np

        _, first, place = np.unique(
            self.chances.round(10), axis=0, return_index=True, return_inverse=True
        )
        return np.bincount(place.ravel(), self.weights), self.chances[first]

    def likely(self, key: str, most: int = 6, cover: float = 0.99) -> tuple[Reading, ...]:
        """The likeliest readings, down to `cover` of the probability or to `most` of them."""
        order = (-self.weights).argsort(kind="stable")
        told, so_far = [], 0.0
        for at in order[:most].tolist():
            told.append(self.reading(at, key))
            so_far += float(self.weights[at])
            if so_far >= cover:
                break
        return tuple(told)

    def reading(self, at: int, key: str) -> Reading:
        seed, pollen = self.pairs[at]
        chances = exact_types(self.locus, seed, pollen, self.mating)
        counted = self.locus.alleles.index(self.locus.counted)
        return Reading(
            seed, pollen, totals(seed)[counted], totals(pollen)[counted],
            float(self.weights[at]), ratio_in_words(chances[key]), chances,
        )  # fmt: skip


def readings(
    locus: Locus,
    seed: Mapping[Genotype, float],
    pollen: Mapping[Genotype, float] | None,
    mating: Mating,
) -> Readings:
    """All readings of two parents whose copies are not known for certain.

    Parameters
    ----------
    locus : Locus
    seed, pollen : mapping of Genotype to float
        Probabilities, scaled to the sum 1; those of the two plants are taken as independent.
        `pollen` None: the plant is selfed, so that both gametes come from one genotype.
    mating : Mating

    Returns
    -------
    Readings

    Raises
    ------
    ValueError
        If a genotype does not fit the locus or the sets, or nothing is possible.
    """
    import numpy as np

    seeds, seed_weights = support(seed, mating.seed, locus)
    if pollen is None:
        if mating.pollen != mating.seed:
            raise ValueError("A plant that is selfed has the same sets on both sides.")
        table = type_chances(locus, seeds, seeds, mating)
        at = np.arange(len(seeds))
        pairs = tuple((genotype, genotype) for genotype in seeds)
        return Readings(locus, mating, pairs, seed_weights, table[at, at])
    pollens, pollen_weights = support(pollen, mating.pollen, locus)
    weights = np.outer(seed_weights, pollen_weights).ravel()
    chances = type_chances(locus, seeds, pollens, mating).reshape(len(weights), -1)
    kept = weights >= LEAST_LIKELY
    every = ((one, other) for one in seeds for other in pollens)
    pairs = tuple(pair for pair, keep in zip(every, kept.tolist(), strict=True) if keep)
    return Readings(locus, mating, pairs, weights[kept] / weights[kept].sum(), chances[kept])


def type_chances(
    locus: Locus, seeds: Sequence[Genotype], pollens: Sequence[Genotype], mating: Mating
) -> Array:
    """Chances of the types in a seedling of every pair, shape (seeds, pollens, types)."""
    import numpy as np

    told = np.zeros((len(seeds), len(pollens), len(locus.types)))
    place = {each.key: at for at, each in enumerate(locus.types)}
    rates = mating.rates
    for seed_size, pollen_size in mating.ways:
        of_seed, seed_copies = _gamete_table(seeds, rates[0], seed_size)
        of_pollen, pollen_copies = _gamete_table(pollens, rates[1], pollen_size)
        shown = np.zeros((len(seed_copies), len(pollen_copies), len(locus.types)))
        for i, one in enumerate(seed_copies):
            for j, other in enumerate(pollen_copies):
                copies = tuple(map(sum, zip(one, other, strict=True)))
                shown[i, j, place[locus.type_of(copies).key]] = 1
        told += np.einsum("sg,gpt->spt", of_seed, np.einsum("ph,ght->gpt", of_pollen, shown))
    return told / len(mating.ways)


def exact_types(
    locus: Locus, seed: Genotype, pollen: Genotype, mating: Mating
) -> dict[str, Fraction]:
    """Chances of all types, in the order of the locus, in a seedling of two known genotypes."""
    told = {each.key: Fraction(0) for each in locus.types}
    for sizes in mating.ways:
        of_seed, of_pollen = (
            gametes(plant, rate, size).items()
            for plant, rate, size in zip((seed, pollen), mating.rates, sizes, strict=True)
        )
        for one, share in of_seed:
            for other, chance in of_pollen:
                copies = tuple(map(sum, zip(totals(one), totals(other), strict=True)))
                told[locus.type_of(copies).key] += share * chance / len(mating.ways)
    return told


def ratio_in_words(chance: Fraction) -> str:
    """A chance as a breeder says it.

    Examples
    --------
    >>> [ratio_in_words(Fraction(*pair)) for pair in ((1, 4), (35, 36), (0, 1), (1, 1))]
    ['1 in 4', '35 in 36', 'none', 'all']
    >>> ratio_in_words(Fraction(1, 4321)), ratio_in_words(Fraction(3001, 9007))
    ('1 in 4,321', 'about 333 in 1,000')
    """
    if chance in (0, 1):
        return "all" if chance else "none"
    if chance.numerator == 1 or chance.denominator <= LARGEST_DENOMINATOR:
        return f"{chance.numerator:,} in {chance.denominator:,}"
    if chance < Fraction(1, 10):
        return f"about 1 in {round(1 / chance):,}"
    if chance > Fraction(9, 10):
        return f"all but about 1 in {round(1 / (1 - chance)):,}"
    return f"about {round(1000 * chance)} in 1,000"


def support(
    told: Mapping[Genotype, float], sets: Sets, locus: Locus
) -> tuple[tuple[Genotype, ...], Array]:
    """Genotypes that are possible, and their probabilities with the sum 1."""
    import numpy as np

    for genotype in told:
        if tuple(map(sum, genotype)) != sets.groups or len(genotype[0]) != len(locus.alleles):
            raise ValueError(f"{genotype} is no genotype of {sets.groups} sets at {locus.symbol}.")
    weights = np.fromiter(told.values(), dtype=float, count=len(told))
    if not (weights >= 0).all() or not weights.sum() > 0:
        raise ValueError(f"At {locus.symbol} some genotype must be possible, and none negative.")
    weights = weights / weights.sum()
    kept = weights >= LEAST_LIKELY
    pairs = zip(told, kept.tolist(), strict=True)
    return tuple(genotype for genotype, keep in pairs if keep), weights[kept] / weights[kept].sum()


def _gamete_table(
    plants: Sequence[Genotype], double_reduction: Number, size: int
) -> tuple[Array, tuple[tuple[int, ...], ...]]:
    """Chances of gametes by their copies, shape (plants, gametes), and the copies."""
    import numpy as np

    columns: dict[tuple[int, ...], int] = {}
    cells = [
        (row, columns.setdefault(totals(gamete), len(columns)), share)
        for row, genotype in enumerate(plants)
        for gamete, share in gametes(genotype, double_reduction, size).items()
    ]
    table = np.zeros((len(plants), len(columns)))
    for row, column, share in cells:
        table[row, column] += float(share)
    return table, tuple(columns)
