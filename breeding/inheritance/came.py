"""What came from a cross, against what was expected of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from breeding.inheritance.counts import log_best, log_chances, number_of_tables, tables
from breeding.inheritance.fit import ALIKE, Fit, goodness_of_fit
from breeding.inheritance.intervals import exact_interval
from breeding.inheritance.loci import Locus
from breeding.inheritance.parents import Reading, Readings

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[Any]

# Chances of tables worked out one by one (tables times ratios); else tables are thrown, seeded.
MOST_CHANCES, THROWS, SEED = 2_000_000, 20_000, 26
# Below it counts are called stranger than chance; the usual convention.
STRANGE = 0.05


@dataclass(frozen=True, slots=True)
class Share:
    """One type: how many came, their share with its exact 95 % interval, and what was expected."""

    key: str
    came: int
    share: float
    low: float
    high: float
    expected: float


@dataclass(frozen=True, slots=True)
class Judged:
    """A reading of the parents' copies, the fit of what came, and its probability afterwards."""

    reading: Reading
    fit: Fit
    after: float


@dataclass(frozen=True, slots=True)
class Came:
    """What came against what was expected.

    Attributes
    ----------
    shares : tuple of Share
        In the order of the locus.
    p : float
        Chance, 0–1, of counts that fit no better, over all readings of the parents' copies.
    method : str
        'exact' or 'simulated'; where one ratio is certain that of `goodness_of_fit`.
    judged : tuple of Judged
        The readings best supported beforehand, and the one best supported now.
    impossible : tuple of str
        Types that came although no reading allows them.
    """

    locus: Locus
    shares: tuple[Share, ...]
    p: float
    method: str
    judged: tuple[Judged, ...]
    impossible: tuple[str, ...]

    @property
    def seedlings(self) -> int:
        return sum(each.came for each in self.shares)

    @property
    def parts(self) -> tuple[str, ...]:
        """Sentences that say it, the verdict first."""
        if self.impossible:
            names = " and ".join(self.locus.type_named(key).name for key in self.impossible)
            return (
                f"No reading of the parents' copies allows {names}.",
                "A bee, a mistaken tag, a misread flower, or the hypothesis is wrong.",
            )
        if self.p >= STRANGE:
            told = [f"What came is what chance gives when this is expected (p = {self.p:.2f})."]
        else:
            p = f"p = {self.p:.3f}" if self.p >= 0.001 else "p below 0.001"
            told = [f"What came is further off than chance would have it ({p})."]
        best = max(self.judged, key=lambda one: one.after)
        told.append(
            f"It now speaks most for {best.reading.seed_copies} copies of {self.locus.counted} in "
            f"the seed parent and {best.reading.pollen_copies} in the pollen parent "
            f"(probability {100 * best.after:.0f} %)."
        )
        return tuple(told)


def compare(cross: Readings, counts: Mapping[str, int], most: int = 3) -> Came:
    """Set counts of seedlings by type against what was expected of a cross at one locus.

    Parameters
    ----------
    cross : Readings
        Of `Expectation.crosses`; made without these counts, or they are held against themselves.
    counts : mapping of str to int
        By key of the type; a type left out did not come.
    most : int
        So many readings are judged, by their probability beforehand.

    Returns
    -------
    Came
        Each reading with its own fit (`goodness_of_fit`: the exact test for small counts), and p
        for all of them together: the counts are drawn from the readings as well as from chance.

    Raises
    ------
    ValueError
        If a type is not of the locus, a count is negative, or nothing came.
    """
    import numpy as np

    keys = cross.keys
    unknown = counts.keys() - set(keys)
    if unknown or min(counts.values(), default=0) < 0 or not sum(counts.values()):
        raise ValueError(
            f"Counts of the types {', '.join(keys)} are needed, and something counted."
        )
    seen = np.array([counts.get(key, 0) for key in keys])
    logs = log_chances(seen[None], cross.chances)[:, 0]
    after = cross.weights * np.exp(logs - logs.max())
    after = after / after.sum()
    weights, ratios = cross.distinct()
    p, method = _p(seen, weights, ratios)
    mean, total = cross.weights @ cross.chances, int(seen.sum())
    shares = tuple(
        Share(key, came, came / total, *exact_interval(came, total), total * chance)
        for key, came, chance in zip(keys, seen.tolist(), mean.tolist(), strict=True)
    )
    return Came(
        cross.locus, shares, p, method, _judged(cross, seen, after, most),
        tuple(each.key for each in shares if each.came and each.expected == 0),
    )  # fmt: skip


def _judged(cross: Readings, seen: Array, after: Array, most: int) -> tuple[Judged, ...]:
    places = (-cross.weights).argsort(kind="stable")[:most].tolist()
    best = int(after.argmax())
    found = []
    for at in places if best in places else [*places, best]:
        fit = goodness_of_fit(seen.tolist(), cross.chances[at].tolist())
        found.append(Judged(cross.reading(at, cross.keys[0]), fit, float(after[at])))
    return tuple(found)


def _p(seen: Array, weights: Array, ratios: Array) -> tuple[float, str]:
    """Chance of tables that fit no better than the one seen, over all ratios, and how it was found.

    Fit is the likelihood under the mixture against that of the best ratio for the table: tables of
    a ratio that spreads them widely are not taken for strange because each of them is rare.
    """
    import numpy as np

    total, types = int(seen.sum()), len(seen)
    if len(weights) == 1:
        alone = goodness_of_fit(seen.tolist(), ratios[0].tolist())
        return alone.p, alone.method
    chance, fit = _fit(seen[None], weights, ratios)
    if chance[0] == 0:
        return 0.0, "exact"
    limit = fit[0] * ALIKE
    if number_of_tables(total, types) * len(weights) <= MOST_CHANCES:
        chance, fit = _fit(tables(total, types), weights, ratios)
        return min(1.0, float(chance[fit <= limit].sum())), "exact"
    dice = np.random.default_rng(SEED)
    clean = ratios / ratios.sum(axis=1, keepdims=True)
    thrown = dice.multinomial(total, clean[dice.choice(len(weights), THROWS, p=weights)])
    # Far fewer tables than throws are different.
    each, times = np.unique(thrown, axis=0, return_counts=True)
    _, fit = _fit(each, weights, ratios)
    return float((1 + times[fit <= limit].sum()) / (1 + THROWS)), "simulated"


def _fit(counts: Array, weights: Array, ratios: Array) -> tuple[Array, Array]:
    """Chances of tables under the mixture, and as parts of those under their own ratios."""
    import numpy as np

    chance: Array = weights @ np.exp(log_chances(counts, ratios))
    return chance, chance / np.exp(log_best(counts))
