"""Gametes and seedlings at one locus, for any ploidy, as exact fractions.

A dosage is the number of copies of the allele that is spoken of, from 0 to the ploidy.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from fractions import Fraction
from functools import lru_cache
from itertools import product
from math import comb

MOST_SETS = 8
Frequencies = dict[int, Fraction]
Number = int | float | str | Fraction


def gamete_frequencies(dosage: int, ploidy: int = 4, double_reduction: Number = 0) -> Frequencies:
    """How often a gamete carries how many copies, where any set pairs with any other.

    Parameters
    ----------
    dosage : int
        Copies in the plant, 0–ploidy.
    ploidy : int
        Sets of chromosomes, 1–8. An even number gives half of them; of an odd number one half of
        the gametes carries the smaller and one half the larger part (an assumption: whatever
        becomes of an odd set is uncertain).
    double_reduction : int, str, float or Fraction
        Chance, 0–1, that two copies drawn from one gamete descend from one copy of the plant; in
        tetraploids the rate α itself: 0 by random chromosomes, 1/7 by random chromatids [1]_, at
        most 1/6 [2]_. A float is read as the simplest fraction beside it. Diploids have none.

    Returns
    -------
    dict of int to Fraction
        By copies in the gamete, only what can occur; the sum is 1.

    Raises
    ------
    ValueError
        If the dosage, the ploidy or the rate cannot be.

    Notes
    -----
    At most one pair of a gamete is taken to be doubled, which is exact up to six sets. In a
    simplex tetraploid with the rate α: α/4, (1−α)/2, (2+α)/4 for 2, 1 and 0 copies.

    References
    ----------
    .. [1] Haldane 1930, J. Genet. 22:359–372.
    .. [2] Mather 1935, J. Genet. 30:53–78; reviewed by Little 1945, Bot. Rev. 11:60–85.

    Examples
    --------
    >>> {copies: str(share) for copies, share in gamete_frequencies(2).items()}
    {0: '1/6', 1: '2/3', 2: '1/6'}
    """
    check(dosage, ploidy)
    return dict(_gametes(dosage, ploidy, rate(double_reduction)))


def progeny_frequencies(
    seed_dosage: int,
    pollen_dosage: int,
    ploidy: int | tuple[int, int] = 4,
    double_reduction: Number = 0,
) -> Frequencies:
    """How often a seedling carries how many copies.

    Parameters
    ----------
    seed_dosage, pollen_dosage : int
        Copies in the two parents.
    ploidy : int or (int, int)
        Sets of both parents, or of seed and pollen parent.
    double_reduction
        As for `gamete_frequencies`.

    Returns
    -------
    dict of int to Fraction
        By copies in the seedling, only what can occur; the sum is 1.

    Examples
    --------
    >>> {copies: str(share) for copies, share in progeny_frequencies(1, 1).items()}
    {0: '1/4', 1: '1/2', 2: '1/4'}
    """
    seed_sets, pollen_sets = ploidy if isinstance(ploidy, tuple) else (ploidy, ploidy)
    return united(
        gamete_frequencies(seed_dosage, seed_sets, double_reduction),
        gamete_frequencies(pollen_dosage, pollen_sets, double_reduction),
    )


def disomic_gamete_frequencies(dosages: tuple[int, ...]) -> Frequencies:
    """The same where sets pair in twos: `dosages` are the copies, 0–2, in each pair of sets.

    Two copies in one pair are both passed on as one; two in two pairs segregate apart. A standard
    dwarf (40 chromosomes) has two such pairs.

    Raises
    ------
    ValueError
        If a pair holds anything but 0, 1 or 2 copies.

    Examples
    --------
    >>> disomic_gamete_frequencies((2, 0))
    {1: Fraction(1, 1)}
    """
    if not dosages or any(copies not in (0, 1, 2) for copies in dosages):
        raise ValueError("Each pair of sets holds 0, 1 or 2 copies.")
    found: Frequencies = {0: Fraction(1)}
    for copies in dosages:
        found = united(found, dict(_gametes(copies, 2, Fraction(0))))
    return found


def united(one: Mapping[int, Fraction], other: Mapping[int, Fraction]) -> Frequencies:
    """Copies of two gametes that meet at random, in order of copies."""
    sums: defaultdict[int, Fraction] = defaultdict(Fraction)
    for (left, share), (right, chance) in product(one.items(), other.items()):
        sums[left + right] += share * chance
    return dict(sorted(sums.items()))


def check(dosage: int, ploidy: int) -> None:
    """Raise ValueError unless there can be `dosage` copies in `ploidy` sets."""
    if not (type(ploidy) is int and 1 <= ploidy <= MOST_SETS):
        raise ValueError(f"A plant has from 1 to {MOST_SETS} sets, not {ploidy}.")
    if not (type(dosage) is int and 0 <= dosage <= ploidy):
        raise ValueError(f"A plant of {ploidy} sets has from 0 to {ploidy} copies, not {dosage}.")


def rate(double_reduction: Number) -> Fraction:
    """The rate of double reduction as a fraction; a float as the simplest one beside it.

    Raises
    ------
    ValueError
        If it is no number from 0 to 1.
    """
    try:
        read = Fraction(double_reduction)
    except (ValueError, OverflowError, ZeroDivisionError):
        raise ValueError(f"{double_reduction!r} is no rate of double reduction.") from None
    if isinstance(double_reduction, float):
        read = read.limit_denominator(10_000)
    if not 0 <= read <= 1:
        raise ValueError("Double reduction is a chance between 0 and 1.")
    return read


@lru_cache(maxsize=4096)
def _gametes(dosage: int, ploidy: int, double: Fraction) -> tuple[tuple[int, Fraction], ...]:
    halves = sorted({ploidy // 2, ploidy - ploidy // 2})
    sums: defaultdict[int, Fraction] = defaultdict(Fraction)
    for size in halves:
        for copies, share in _of_size(dosage, ploidy, size, double).items():
            sums[copies] += share / len(halves)
    return tuple(sorted((copies, share) for copies, share in sums.items() if share))


def _of_size(dosage: int, ploidy: int, size: int, double: Fraction) -> Frequencies:
    """Gametes of `size` copies: all from different sets, or one pair from the same."""
    pairs = comb(size, 2)
    # The chance that some pair is doubled, from that of one pair drawn at random.
    doubled = double * pairs if ploidy > 2 else Fraction(0)
    if doubled > 1:
        raise ValueError(f"In a gamete of {size} copies double reduction is at most 1/{pairs}.")
    sums: defaultdict[int, Fraction] = defaultdict(Fraction)
    for copies in range(size + 1):
        sums[copies] += (1 - doubled) * _drawn(dosage, ploidy, copies, size)
    if doubled:
        for twice, share in ((1, Fraction(dosage, ploidy)), (0, 1 - Fraction(dosage, ploidy))):
            for copies in range(size - 1):
                rest = _drawn(dosage - twice, ploidy - 1, copies, size - 2)
                sums[copies + 2 * twice] += doubled * share * rest
    return dict(sums)


def _drawn(dosage: int, ploidy: int, copies: int, size: int) -> Fraction:
    """Hypergeometric: `copies` among `size` drawn without replacement."""
    if dosage < 0 or copies > dosage or size - copies > ploidy - dosage:
        return Fraction(0)
    return Fraction(comb(dosage, copies) * comb(ploidy - dosage, size - copies), comb(ploidy, size))
