"""Seeds in a pod and seedlings of a pot: what is to be expected, and how single ones scatter."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from breeding.fertility.counts import Amount, Sowing, Yield
from breeding.fertility.told import counted, many, spreads

if TYPE_CHECKING:
    from breeding.fertility.parents import Parents
    from breeding.fertility.tuning import Fitted
    from breeding.flowering.absorbing import Floats

NONE = (0, 0, 0)
# Before any count: some 25 seeds in a pod (reports go from a few to 72), the spread of its
# logarithm between gardens, seed parents and pollen parents, and the size of the negative binomial
# between single pods: a size of 3 is a standard deviation of about six tenths of the mean.
SEEDS_CENTRE, SEEDS_USUAL = (3.2, 0.7), (0.4, 0.25, 3.0)
# Germination: mostly between a fifth and four fifths, in logits; and between single pots.
UP_CENTRE, UP_USUAL = (0.0, 0.9), (0.6, 0.4, 0.8)


@dataclass(frozen=True)
class Pooled(ABC):
    """What seeds and pots have in common; plants without counts are allowed everywhere."""

    fitted: Fitted
    parents: Parents
    things: ClassVar[str]
    what: ClassVar[str]
    third: ClassVar[str]

    @abstractmethod
    def _expected(self, mean: Floats, variance: Floats) -> Floats:
        """From normal predictors to expectations."""

    @abstractmethod
    def _amount(
        self, mean: float, variance: float, counts: tuple[int, int], told: tuple[str, ...]
    ) -> Amount:
        """From a normal predictor to what is said."""

    @property
    def garden(self) -> Amount:
        """With middling parents."""
        return self._said(self.fitted.one(None, None), self.parents.total)

    @property
    def told(self) -> tuple[str, ...]:
        """Which spreads are estimated and which are the usual ones, in sentences."""
        return spreads(self.fitted, self.what, self.third)

    def of(self, plant: Hashable) -> Amount:
        """The plant as seed parent, with a middling pollen parent."""
        found = self.fitted.one(int(self.parents.seed([plant])[0]), None)
        return self._said(found, self.parents.of_seed.get(plant, NONE)[:2])

    def pair(self, seed: Hashable, pollen: Hashable | None) -> Amount:
        """This seed parent with this pollen parent (None: any pollen).

        Counts are the pair's own; those of each parent with others are reckoned in.
        """
        at_seed, at_pollen = self.parents.seed([seed])[0], self.parents.pollen([pollen])[0]
        found = self.fitted.one(int(at_seed), int(at_pollen))
        return self._said(found, self.parents.of_pair.get((seed, pollen), NONE)[:2])

    def pair_means(self, seeds: Sequence[Hashable], pollens: Sequence[Hashable | None]) -> Floats:
        """(seeds, pollens): expectations of all pairs at once, as `pair` gives them singly."""
        at = self.parents.seed(seeds), self.parents.pollen(pollens)
        return self._expected(*self.fitted.predicted(*at))

    def _said(self, found: tuple[float, float], counts: tuple[int, int]) -> Amount:
        tried, came = counts
        told = counted(came, tried, self.things, len(self.parents.seeds), "seed parent")
        return self._amount(*found, counts, told)


class Seeds(Pooled):
    """Seeds in a pod; made by `fit_seeds`. `spread` is that between single pods."""

    things, what = "pods", "The logarithm of seeds in a pod"
    third = "Single pods scatter as a negative binomial of size"

    def _expected(self, mean: Floats, variance: Floats) -> Floats:
        import numpy as np

        found: Floats = np.exp(mean + variance / 2)
        return found

    def _amount(
        self, mean: float, variance: float, counts: tuple[int, int], told: tuple[str, ...]
    ) -> Amount:
        from math import exp, expm1, sqrt

        from breeding.fertility.quadrature import REACH

        middle, reach = exp(mean + variance / 2), REACH * sqrt(variance)
        square = middle**2 * expm1(variance)
        scatter = middle + (middle**2 + square) / self.fitted.parts[2]
        if counts[0]:
            told = (f"{counts[1]:,} seeds in {many(counts[0], 'own pod')}", *told[1:])
        low, high = exp(mean - reach), exp(mean + reach)
        return Amount(middle, low, high, sqrt(square), sqrt(scatter), *counts, told)


class Germination(Pooled):
    """Share of seeds that come up; made by `fit_germination`. `spread` is that between pots."""

    things, what = "seeds", "The logit of germination"
    third = "Single pots differ by"

    def _expected(self, mean: Floats, variance: Floats) -> Floats:
        from breeding.fertility.quadrature import logistic_normal

        return logistic_normal(mean, variance + self._pot)[0]

    def _error(self, mean: Floats, variance: Floats) -> Floats:
        """Variance of a pot's expectation, where the parents' effects are as unsure as that."""
        import numpy as np

        from breeding.fertility.quadrature import logistic_normal, nodes

        at, weights = nodes()
        there = mean[..., None] + np.sqrt(variance)[..., None] * at
        square = logistic_normal(there, np.full_like(there, self._pot))[0] ** 2
        found: Floats = square @ weights - self._expected(mean, variance) ** 2
        return found

    @property
    def _pot(self) -> float:
        return self.fitted.parts[2] ** 2

    def _amount(
        self, mean: float, variance: float, counts: tuple[int, int], told: tuple[str, ...]
    ) -> Amount:
        import numpy as np

        from breeding.fertility.quadrature import REACH, logistic_normal

        normal = np.array([mean]), np.array([variance])
        square = self._error(*normal)
        middle, whole = logistic_normal(normal[0], normal[1] + self._pot)
        ends = mean + REACH * variance**0.5 * np.array([-1.0, 1.0])
        low, high = logistic_normal(ends, np.full(2, self._pot))[0].tolist()
        error, spread = np.sqrt(np.maximum([square[0], whole[0] - square[0]], 0)).tolist()
        return Amount(float(middle[0]), low, high, error, spread, *counts, told)


def fit_seeds(yields: Sequence[Yield]) -> Seeds:
    """Seeds in a pod by seed and pollen parent, partly pooled, with the spread between pods.

    Parameters
    ----------
    yields : sequence of Yield
        Counted pods, empty ones among them. Pods counted one by one tell their spread best.

    Returns
    -------
    Seeds

    Notes
    -----
    log(mean) = garden + seed parent + pollen parent, both normal about nought; single pods scatter
    as a negative binomial. Spreads are found as in `fit_pods`, and so is the cost.

    Examples
    --------
    >>> found = fit_seeds([Yield("a", "b", 40), Yield("a", "c", 52), Yield("d", "b", 8)])
    >>> found.of("a").mean > found.of("never").mean > found.of("d").mean
    True
    """
    import numpy as np

    from breeding.fertility.likelihoods import negative_binomial
    from breeding.fertility.parents import parents
    from breeding.fertility.tuning import tune
    from breeding.fertility.twoway import Model

    known = parents(
        [(each.seed, each.pollen, each.pods, each.seeds) for each in yields if each.pods]
    )
    counted_seeds = np.array([each.seeds for each in yields if each.pods], float)
    lots = np.array([each.pods for each in yields if each.pods], float)
    model = Model(negative_binomial(counted_seeds, lots), False, SEEDS_CENTRE, SEEDS_USUAL)
    return Seeds(tune(model, known.rows), known)


def fit_germination(sowings: Sequence[Sowing]) -> Germination:
    """Share of seeds that come up by seed and pollen parent, with the spread between pots.

    Parameters
    ----------
    sowings : sequence of Sowing
        One for each pot; those without seeds are passed over.

    Returns
    -------
    Germination

    Notes
    -----
    logit(share) = garden + seed parent + pollen parent + pot, the last three normal about nought.
    Spreads are found as in `fit_pods`, and so is the cost.

    Examples
    --------
    >>> found = fit_germination([Sowing("a", "b", 50, 40), Sowing("c", "b", 50, 5)])
    >>> found.of("c").mean < found.garden.mean < found.of("a").mean, found.garden.spread > 0.1
    (True, True)
    """
    import numpy as np

    from breeding.fertility.likelihoods import binomial
    from breeding.fertility.parents import parents
    from breeding.fertility.tuning import tune
    from breeding.fertility.twoway import Model

    pots = [each for each in sowings if each.sown]
    known = parents([(each.seed, each.pollen, each.sown, each.up) for each in pots])
    up, sown = (np.array([getattr(each, name) for each in pots], float) for name in ("up", "sown"))
    model = Model(binomial(up, sown), True, UP_CENTRE, UP_USUAL)
    return Germination(tune(model, known.rows), known)
