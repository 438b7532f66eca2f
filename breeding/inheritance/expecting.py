"""What to expect from a cross of two plants whose copies are known with more or less certainty.

Nothing is put in place of what is not known: every sum goes over all readings of both parents'
copies, and an interval says how far the readings differ. Loci are taken as not linked, and what is
known of them as independent.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cached_property

from breeding.inheritance.gametes import Number
from breeding.inheritance.genotypes import Genotype, Sets
from breeding.inheritance.loci import Locus
from breeding.inheritance.mixtures import Chance, Mixture
from breeding.inheritance.outcomes import Outcome, outcomes_of
from breeding.inheritance.parents import Mating, Reading, Readings, readings
from breeding.inheritance.raising import SURE, Grow, grow_for
from breeding.inheritance.wanted import Wanted, mixture_of

Copies = Mapping[str, Mapping[Genotype, float]]

__all__ = ["Chance", "Expectation", "Grow", "Mating", "Outcome", "Reading", "expect", "grow"]


class Expectation:
    """What a cross may give; made by `expect`.

    Attributes
    ----------
    crosses : dict of str to Readings
        By symbol of the locus: what the parents may carry and what follows.
    """

    def __init__(self, crosses: dict[str, Readings]) -> None:
        self.crosses = crosses

    @property
    def outcomes(self) -> tuple[Outcome, ...]:
        """Kinds of flowers, the likeliest first, with 90 % intervals; see `outcomes_of`."""
        return self._told[0]

    @property
    def left_out(self) -> float:
        """Chance of the rarest kinds, that are not among `outcomes`; mostly 0."""
        return self._told[1]

    @cached_property
    def _told(self) -> tuple[tuple[Outcome, ...], float]:
        return outcomes_of(tuple(self.crosses.values()))

    @cached_property
    def by_locus(self) -> dict[str, dict[str, Chance]]:
        """Chances of the types of each locus, whether another locus hides them or not."""
        return {
            symbol: {key: cross.mixture((key,)).chance() for key in cross.keys}
            for symbol, cross in self.crosses.items()
        }

    def chance_of(self, wanted: Wanted) -> Chance:
        """The chance that a seedling shows these types.

        Parameters
        ----------
        wanted : mapping of str to str, or to a collection of str
            By symbol, the key of the wanted type, or of all that will do.

        Returns
        -------
        Chance
            A type that another locus hides is not shown.

        Raises
        ------
        ValueError
            If there is no such locus or type.
        """
        return self.mixture_of(wanted).chance()

    def mixture_of(self, wanted: Wanted) -> Mixture:
        """The same with all values that the chance may have."""
        return mixture_of(self.crosses, wanted)

    def explain(self, symbol: str, key: str | None = None, most: int = 6) -> tuple[Reading, ...]:
        """The likely readings of the parents at a locus, and what each would give.

        Parameters
        ----------
        symbol : str
        key : str, optional
            The type whose ratio is said in words; the first of the locus by default.
        most : int
            So many readings at most; fewer where they hold 99 % of the probability.
        """
        cross = self.crosses[symbol]
        return cross.likely(cross.keys[0] if key is None else key, most)


def expect(
    loci: Sequence[Locus],
    seed: Copies,
    pollen: Copies | None,
    seed_sets: Sets,
    pollen_sets: Sets | None = None,
    child_sets: Sets | None = None,
    double_reduction: Number = 0,
    uneven: tuple[bool, bool] = (False, False),
) -> Expectation:
    """What a cross of two plants may give.

    Parameters
    ----------
    loci : sequence of Locus
    seed, pollen : mapping of str to mapping of Genotype to float
        By symbol, the probabilities of the plant's genotypes. `pollen` None: the plant is selfed.
    seed_sets, pollen_sets, child_sets : Sets
        Of both plants and of their seedlings; those left out are as the seed parent's.
    double_reduction : int, str, float or Fraction
        The rate α, as for `gamete_frequencies`, of plants with one group of four sets.
    uneven : (bool, bool)
        Whether the four sets of the seed parent and of the pollen parent are odd or unlike, so
        that there is no double reduction; see `Mating`.

    Returns
    -------
    Expectation

    Raises
    ------
    ValueError
        If copies of a locus are missing or do not fit, or no gametes make such a seedling.

    Examples
    --------
    >>> from breeding.inheritance.loci import Confidence, Type
    >>> t = Locus("t", "tangerine", ("T", "t"), (Type("other", "not pink", (("T", 1),)),
    ...           Type("pink", "pink")), "", Confidence.SUPPORTED, counted="t")
    >>> simplex = {"t": {((1, 3),): 1.0}}
    >>> told = expect([t], simplex, simplex, Sets((4,)))
    >>> told.chance_of({"t": "pink"}).chance, grow(told, {"t": "pink"}).seedlings
    (0.25, 11)
    """
    mating = Mating(
        seed_sets, pollen_sets or seed_sets, child_sets or seed_sets, double_reduction, uneven
    )
    crosses = {}
    for locus in loci:
        symbol = locus.symbol
        if symbol not in seed or (pollen is not None and symbol not in pollen):
            raise ValueError(f"The copies of {symbol} are missing for one of the parents.")
        told = None if pollen is None else pollen[symbol]
        crosses[symbol] = readings(locus, seed[symbol], told, mating)
    return Expectation(crosses)


def grow(
    expectation: Expectation, wanted: Wanted, at_least: int = 1, probability: Number = SURE
) -> Grow:
    """How many seedlings give `at_least` that show the wanted types; see `grow_for`."""
    return grow_for(expectation.mixture_of(wanted), at_least, probability)
