"""How many seedlings to grow, when what the parents carry is itself not known for certain."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from breeding.inheritance.gametes import Number
from breeding.inheritance.growing import MOST_SEEDLINGS, seedlings_to_grow
from breeding.inheritance.mixtures import Chance, Mixture, mixture

SURE = Fraction(19, 20)
# Sums of floats are right to far less than this.
TIE = 1e-8


@dataclass(frozen=True, slots=True)
class Grow:
    """Seedlings to grow.

    Attributes
    ----------
    wanted : int
        How many of the type are wanted.
    probability : float
        How sure that shall be, 0–1.
    seedlings : int or None
        The smallest number that reaches it over all readings; None when no number up to 100,000
        does.
    given_possible : int or None
        The same if the parents can give the type at all.
    fewest, most : int or None
        What would do if the chance stood at the upper and at the lower end of its interval.
    chance : Chance
        What it rests on.
    """

    wanted: int
    probability: float
    seedlings: int | None
    given_possible: int | None
    fewest: int | None
    most: int | None
    chance: Chance

    @property
    def beyond(self) -> bool:
        """Whether only more than 100,000 seedlings make it sure: the type is likely enough."""
        return self.seedlings is None and self.chance.possible > self.probability

    @property
    def parts(self) -> tuple[str, ...]:
        """Sentences that say it, the answer first."""
        sure = f"{100 * self.probability:.4g} %"
        what = "at least one" if self.wanted == 1 else f"at least {self.wanted}"
        if self.chance.possible == 0:
            return ("These parents cannot give it, by what is recorded.",)
        told = []
        if self.seedlings is not None:
            told.append(f"{self._number(self.seedlings)} {what} with a probability of {sure}.")
        elif self.chance.possible < self.probability:
            told.append(
                "It is not sure that these parents can give it at all (probability "
                f"{100 * self.chance.possible:.0f} %), so that no number of seedlings makes {sure}."
            )
            if self.given_possible is not None:
                told.append(f"If they can, {self._number(self.given_possible)} {what} with {sure}.")
            else:
                told.append(f"Even if they can, {MOST_SEEDLINGS:,} seedlings are not enough.")
        else:
            told.append(f"No number up to {MOST_SEEDLINGS:,} gives {what} with {sure}.")
        if self.fewest is not None and self.fewest != self.most:
            most = f"{self.most:,}" if self.most else "more than any garden holds"
            told.append(f"By the parents' copies it may take from {self.fewest:,} to {most}.")
        return tuple(told)

    @staticmethod
    def _number(seedlings: int) -> str:
        return "1 seedling gives" if seedlings == 1 else f"{seedlings:,} seedlings give"


def grow_for(chance: Mixture, at_least: int = 1, probability: Number = SURE) -> Grow:
    """How many seedlings give `at_least` of a type whose chance is known as a mixture.

    Parameters
    ----------
    chance : Mixture
        Of the type in one seedling.
    at_least : int
        How many are wanted, 1–1,000.
    probability : int, str, float or Fraction
        How sure, between 0 and 1.

    Returns
    -------
    Grow

    Raises
    ------
    ValueError
        If a number cannot be.

    Notes
    -----
    The smallest n with Σ w·P(binomial(n, q) ≥ `at_least`) ≥ `probability` over the values q with
    the weights w. It is larger than the number for the mean of q: luck with the readings does not
    make up for bad luck. Where one value is certain, near ties are compared exactly
    (`seedlings_to_grow`).

    Examples
    --------
    >>> from breeding.inheritance.mixtures import mixture
    >>> told = grow_for(mixture([0, 1 / 4], [0.5, 0.5]))
    >>> told.seedlings, told.given_possible
    (None, 11)
    """
    sure = Fraction(probability)
    if isinstance(probability, float):
        sure = sure.limit_denominator(1_000_000)
    if not 1 <= at_least <= 1000 or not 0 < sure < 1:
        raise ValueError("From 1 to 1,000 seedlings, with a probability between 0 and 1.")
    told, alive = chance.chance(), chance.given_possible()
    seedlings = smallest(chance, at_least, sure)
    given = seedlings
    if alive is not None and alive is not chance:
        given = smallest(alive, at_least, sure)
    ends = (seedlings, seedlings)
    if len(chance.values) > 1:
        high, low = (mixture([end], [1.0]) for end in (told.high, told.low))
        ends = (smallest(high, at_least, sure), smallest(low, at_least, sure))
    return Grow(at_least, float(sure), seedlings, given, *ends, told)


def smallest(chance: Mixture, at_least: int, probability: Fraction) -> int | None:
    """The smallest number of seedlings that is enough; None beyond 100,000."""
    found = _by_floats(chance, at_least, probability)
    if len(chance.values) > 1:
        return found
    # One value can be compared exactly, which takes long, and matters where floats nearly tie.
    beside = {found, found - 1} if found else {MOST_SEEDLINGS}
    if all(abs(reached(chance, n, at_least) - probability) > TIE for n in beside):
        return found
    value: Number = chance.exact if chance.exact is not None else float(chance.values[0])
    return seedlings_to_grow(value, at_least, probability)


def _by_floats(chance: Mixture, at_least: int, probability: Fraction) -> int | None:
    # What is as good as enough, by the rounding of sums of floats.
    enough = float(probability) - 1e-12
    if reached(chance, MOST_SEEDLINGS, at_least) < enough:
        return None
    low, high = at_least - 1, at_least
    while reached(chance, high, at_least) < enough:
        low, high = high, min(2 * high, MOST_SEEDLINGS)
    while high - low > 1:
        middle = (low + high) // 2
        if reached(chance, middle, at_least) < enough:
            low = middle
        else:
            high = middle
    return high


def reached(chance: Mixture, grown: int, at_least: int = 1) -> float:
    """Probability, 0–1, of `at_least` seedlings of the type among `grown` ones."""
    import numpy as np

    if grown < at_least:
        return 0.0
    with np.errstate(divide="ignore"):
        missed = np.log1p(-chance.values.clip(0, 1))
        # Odds in logs; a chance of 1 misses nothing, whatever the odds.
        odds = np.log(chance.values) - np.where(chance.values < 1, missed, 0)
    found = np.arange(1, at_least)[:, None]
    steps = np.log((grown - found + 1) / found) + odds
    first = (grown * missed)[None, :]
    logs = np.concatenate((first, first + steps.cumsum(axis=0)))
    fewer = np.exp(logs).sum(axis=0)
    return float((1 - fewer).clip(0, 1) @ chance.weights)
