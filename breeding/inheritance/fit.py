"""What came against what was expected: chi-square, and the exact test where counts are small."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import comb, exp, lgamma, log

# Beneath it the chi-square distribution is a poor guide (common practice, after Cochran).
LEAST_EXPECTED = 5.0
# So many tables are gone through one by one; more are thrown.
MOST_TABLES = 200_000
THROWS, SEED = 50_000, 26
# Tables as likely as the one seen, up to rounding.
ALIKE = 1 + 1e-9


@dataclass(frozen=True, slots=True)
class Fit:
    """How well counts fit what was expected of them.

    `p` is the chance of counts as far off or further, were the expectation true; `method` is
    'exact', 'simulated' or 'chi-square'. `impossible` names the places of types that came although
    they cannot.
    """

    chi_square: float
    degrees: int
    p: float
    method: str
    expected: tuple[float, ...]
    impossible: tuple[int, ...] = ()


def goodness_of_fit(observed: Sequence[int], chances: Sequence[float]) -> Fit:
    """Test counts of types against their expected chances.

    Parameters
    ----------
    observed : sequence of int, length k
        How many of each type came.
    chances : sequence of float, length k
        What was expected; scaled to a sum of 1.

    Returns
    -------
    Fit
        By the exact multinomial test (tables no likelier than the one seen) where a count below 5
        is expected, by chi-square [1]_ otherwise.

    Raises
    ------
    ValueError
        If the lengths differ, a number is negative, or nothing came.

    References
    ----------
    .. [1] Pearson 1900, Philos. Mag. 50:157–175; Fisher 1936, Ann. Sci. 1:115–137 on Mendel's
       counts.

    Examples
    --------
    >>> round(goodness_of_fit([5474, 1850], [3, 1]).chi_square, 5)
    0.26288
    """
    total, whole = sum(observed), float(sum(chances))
    if len(observed) != len(chances) or min(observed, default=-1) < 0 or total == 0:
        raise ValueError("Counts and chances of the same types are needed, and something counted.")
    if min(chances) < 0 or whole <= 0:
        raise ValueError("Chances are not negative, and not all zero.")
    shares = [chance / whole for chance in chances]
    expected = tuple(total * share for share in shares)
    impossible = tuple(
        at for at, (came, share) in enumerate(zip(observed, shares, strict=True))
        if came and share == 0
    )  # fmt: skip
    degrees = sum(share > 0 for share in shares) - 1
    if impossible:
        return Fit(float("inf"), degrees, 0.0, "exact", expected, impossible)
    there = [(came, share) for came, share in zip(observed, shares, strict=True) if share]
    chi_square = sum((came - total * share) ** 2 / (total * share) for came, share in there)
    if degrees == 0:
        return Fit(0.0, 0, 1.0, "exact", expected)
    if min(total * share for _, share in there) >= LEAST_EXPECTED:
        return Fit(
            chi_square, degrees, _chi_square_tail(chi_square, degrees), "chi-square", expected
        )
    counts, chance = [came for came, _ in there], [share for _, share in there]
    if comb(total + degrees, degrees) <= MOST_TABLES:
        return Fit(chi_square, degrees, _exact(counts, chance), "exact", expected)
    return Fit(chi_square, degrees, _thrown(counts, chance), "simulated", expected)


def _chi_square_tail(value: float, degrees: int) -> float:
    from scipy.special import chdtrc

    return float(chdtrc(degrees, value))


def _log_chance(counts: Sequence[int], shares: Sequence[float]) -> float:
    told = lgamma(sum(counts) + 1)
    return told + sum(
        came * log(share) - lgamma(came + 1) for came, share in zip(counts, shares, strict=True)
    )


def _exact(observed: list[int], shares: list[float]) -> float:
    """The chance of every table that is no likelier than the one seen."""
    limit = _log_chance(observed, shares) + log(ALIKE)
    logs = [log(share) for share in shares]
    sums = 0.0

    def go(at: int, left: int, so_far: float) -> None:
        nonlocal sums
        if at == len(shares) - 1:
            told = so_far + left * logs[at] - lgamma(left + 1)
            if told <= limit:
                sums += exp(told)
            return
        for came in range(left + 1):
            go(at + 1, left - came, so_far + came * logs[at] - lgamma(came + 1))

    total = sum(observed)
    go(0, total, lgamma(total + 1))
    return min(1.0, sums)


def _thrown(observed: list[int], shares: list[float]) -> float:
    """The same from seeded throws; never below one in the number of throws."""
    import numpy as np
    from scipy.special import gammaln

    limit = _log_chance(observed, shares) + log(ALIKE)
    thrown = np.random.default_rng(SEED).multinomial(sum(observed), shares, size=THROWS)
    told = lgamma(sum(observed) + 1) + (thrown * np.log(shares) - gammaln(thrown + 1)).sum(axis=1)
    return float((1 + (told <= limit).sum()) / (1 + THROWS))
