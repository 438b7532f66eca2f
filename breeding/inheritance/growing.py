"""How many seedlings to grow, and how many it takes to tell two ratios apart."""

from __future__ import annotations

from fractions import Fraction
from math import comb, exp, log, log1p, sqrt

from breeding.inheritance.gametes import Number

# Beyond this nobody grows: the answer is 'not in one garden'.
MOST_SEEDLINGS = 100_000
FINEST = 1_000_000


def seedlings_to_grow(
    chance: Number, at_least: int = 1, probability: Number = Fraction(19, 20)
) -> int | None:
    """The smallest number that gives `at_least` seedlings of a type with that probability.

    Parameters
    ----------
    chance : int, str, float or Fraction
        Chance, 0–1, that one seedling is of the type.
    at_least : int
        How many are wanted, 1 or more.
    probability
        How sure, between 0 and 1.

    Returns
    -------
    int or None
        None when no number up to 100,000 is enough, so also for a chance of 0.

    Raises
    ------
    ValueError
        If a number cannot be.

    Notes
    -----
    X is binomial; the tail is compared exactly, as whole numbers, so that nothing is rounded to
    the wrong side (0.75^16 leaves 1.002 %, not 1 %).

    References
    ----------
    .. [1] Sedcole 1977, Crop Sci. 17:667–668.

    Examples
    --------
    >>> seedlings_to_grow(Fraction(1, 36)), seedlings_to_grow("1/4", probability=Fraction(99, 100))
    (107, 17)
    """
    share, sure = _chance(chance), _chance(probability)
    if at_least < 1 or not 0 < sure < 1:
        raise ValueError("At least one seedling, with a probability between 0 and 1.")
    if share == 1:
        return at_least
    if chance_of_at_least(share, MOST_SEEDLINGS, at_least) < float(sure):
        return None
    low, high = 0, at_least
    while not _enough(high, share, at_least, sure):
        low, high = high, 2 * high
    while high - low > 1:
        middle = (low + high) // 2
        if _enough(middle, share, at_least, sure):
            high = middle
        else:
            low = middle
    return high


def chance_of_at_least(chance: Number, grown: int, at_least: int = 1) -> float:
    """Probability, 0–1, of `at_least` seedlings of a type among `grown` ones."""
    share = float(_chance(chance))
    if grown < at_least:
        return 0.0
    if share in (0.0, 1.0):
        return share
    # In logs: of thousands of seedlings the chance of none is too small for a float.
    term, odds = grown * log1p(-share), log(share) - log1p(-share)
    fewer = 0.0
    for found in range(at_least):
        fewer += exp(term)
        term += log((grown - found) / (found + 1)) + odds
    return max(0.0, 1 - fewer)


def seedlings_to_tell_apart(one: Number, other: Number, z: float = 1.959963984540054) -> float:
    """About how many seedlings tell two frequencies of one type apart.

    n = z² [(√(a(1−a)) + √(b(1−b))) / (a−b)]², as used by Mather and by Hanson [1]_; `z` for a
    two-sided test, by default 5 %.

    Raises
    ------
    ValueError
        If the frequencies are equal or cannot be.

    References
    ----------
    .. [1] Hanson 1959, Agron. J. 51:711–715.

    Examples
    --------
    >>> round(seedlings_to_tell_apart("1/4", "1/16"), 2)
    49.8
    """
    a, b = float(_chance(one)), float(_chance(other))
    if a == b:
        raise ValueError("Two equal frequencies are not to be told apart.")
    return (z * (sqrt(a * (1 - a)) + sqrt(b * (1 - b))) / (a - b)) ** 2


def _chance(value: Number) -> Fraction:
    try:
        read = Fraction(value)
    except (ValueError, OverflowError, ZeroDivisionError):
        raise ValueError(f"{value!r} is no chance.") from None
    if isinstance(value, float):
        read = read.limit_denominator(FINEST)
    if not 0 <= read <= 1:
        raise ValueError(f"{value} is no chance between 0 and 1.")
    return read


def _enough(grown: int, chance: Fraction, at_least: int, sure: Fraction) -> bool:
    """Whether P(X ≥ at_least) ≥ sure among `grown`, compared as whole numbers."""
    if grown < at_least:
        return False
    hit, whole = chance.numerator, chance.denominator
    missed = whole - hit
    # The chances of too few, all over whole**grown; missed**(grown - least) is common to them.
    common = missed ** (grown - at_least + 1)
    fewer = sum(
        comb(grown, found) * hit**found * missed ** (at_least - 1 - found)
        for found in range(at_least)
    )
    left = (sure.denominator - sure.numerator) * whole**grown
    return bool(fewer * common * sure.denominator <= left)
