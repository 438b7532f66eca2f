"""A sheet of flowers in the proportions that are expected."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from breeding.inheritance.outcomes import Outcome

FLOWERS = 48


@dataclass(frozen=True, slots=True)
class Sheet:
    """Flowers to draw.

    Attributes
    ----------
    flowers : tuple of Outcome
        One for each flower, those alike side by side, the likeliest first.
    rare : tuple of Outcome
        Possible, but too rare for a flower of their own.
    """

    flowers: tuple[Outcome, ...]
    rare: tuple[Outcome, ...]

    @property
    def counts(self) -> tuple[tuple[Outcome, int], ...]:
        """Each outcome on the sheet once, with its number of flowers."""
        found: dict[int, tuple[Outcome, int]] = {}
        for each in self.flowers:
            found[id(each)] = (each, found.get(id(each), (each, 0))[1] + 1)
        return tuple(found.values())


def sheet(outcomes: Sequence[Outcome], flowers: int = FLOWERS) -> Sheet:
    """Deal `flowers` out to outcomes in proportion to their chances.

    Parameters
    ----------
    outcomes : sequence of Outcome
        As of `Expectation.outcomes`; chances scaled to a sum of 1.
    flowers : int
        1 or more.

    Returns
    -------
    Sheet

    Raises
    ------
    ValueError
        If there is no flower to deal, or nothing that can come.

    Notes
    -----
    Largest remainders: each outcome gets the whole flowers of its share, and those left over go to
    the largest parts of a flower; of equal ones to the likelier outcome, then to the earlier.

    Examples
    --------
    >>> told = sheet([Outcome({"V": "violet"}, 0.7, 0, 1), Outcome({"V": "white"}, 0.3, 0, 1)], 4)
    >>> [number for _, number in told.counts]
    [3, 1]
    """
    there = sorted((each for each in outcomes if each.chance > 0), key=lambda each: -each.chance)
    if flowers < 1 or not there:
        raise ValueError("A sheet needs a flower, and something that can come.")
    whole = sum(each.chance for each in there)
    shares = [flowers * each.chance / whole for each in there]
    # A whole number that rounding has left a hair too small is whole.
    counts = [int(share + 1e-9) for share in shares]
    rest = sorted(range(len(there)), key=lambda at: round(counts[at] - shares[at], 9))
    for at in rest[: flowers - sum(counts)]:
        counts[at] += 1
    return Sheet(
        tuple(each for each, many in zip(there, counts, strict=True) for _ in range(many)),
        tuple(each for each, many in zip(there, counts, strict=True) if not many),
    )
