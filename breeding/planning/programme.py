"""What is to be chosen from, as the solvers see it: pairs as places, values as numbers."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from breeding.planning.candidates import Floats, Ints
from breeding.planning.convex import Curve, Cut, uses

# Kinship this far above a limit still keeps it.
CLOSE = 1e-9


@dataclass(frozen=True, slots=True)
class Found:
    """A set of crosses: pairs' places in ascending order, their value, the set's kinship."""

    rows: Ints
    value: float
    kinship: float


@dataclass
class Programme:
    """N crosses out of m pairs of n plants.

    Attributes
    ----------
    first, second : ndarray of int, shape (pairs,)
        Places of the parents.
    value : ndarray of float, shape (pairs,)
        What is summed and made as large as may be.
    kin : ndarray of float, shape (plants, plants)
        Kinship / (2N)², so that n'kin n is the programme's for the uses n.
    curve : Curve
    crosses, most_uses : int
    cuts : list of Cut
        Flat pieces met so far; each holds for every limit.
    found : list of Found
        Sets met so far that keep `most_uses`.
    """

    first: Ints
    second: Ints
    value: Floats
    kin: Floats
    curve: Curve
    crosses: int
    most_uses: int
    cuts: list[Cut] = field(default_factory=list)
    found: list[Found] = field(default_factory=list)

    def __len__(self) -> int:
        return len(self.value)

    def uses(self, rows: Ints) -> Floats:
        """How often each plant is a parent in these pairs."""
        return uses(self.first[rows], self.second[rows], len(self.kin))

    def kinship(self, rows: Ints) -> float:
        """c'Kc of these pairs."""
        n = self.uses(rows)
        return float(n @ self.kin @ n)

    def keep(self, rows: Ints) -> Found:
        """Remember a set."""
        rows = np.sort(rows)
        found = Found(rows, float(self.value[rows].sum()), self.kinship(rows))
        self.found.append(found)
        return found

    def best(self, limit: float) -> Found | None:
        """The set of the highest value within the limit; among equals that of the least kinship."""
        within = [each for each in self.found if each.kinship <= limit + CLOSE]
        return max(within, key=lambda each: (each.value, -each.kinship), default=None)

    def least(self) -> Found | None:
        """The set of the least kinship; among equals that of the highest value."""
        return min(self.found, key=lambda each: (each.kinship, -each.value), default=None)
