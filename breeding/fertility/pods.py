"""How readily plants set pods, as seed parents and as pollen parents."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from breeding.fertility.counts import Attempt, Rate
from breeding.fertility.told import counted, spreads

if TYPE_CHECKING:
    from breeding.fertility.barren import Barren
    from breeding.fertility.parents import Parents
    from breeding.fertility.tuning import Fitted
    from breeding.flowering.absorbing import Floats

# Before any count: four flowers of ten set in the middle, and the spread of the logit between
# gardens, seed parents, pollen parents and single pairs. From memory, and wide.
CENTRE = (-0.4, 1.3)
USUAL = (1.0, 0.8, 0.5)
Pair = tuple[Hashable, Hashable | None]
NONE = (0, 0, 0)
# Degrees of freedom of parents' effects: some plants stand far off. Solutions by turns; components
# are found half way. Rows of what is surely barren keep a trace of weight.
TAIL, TURNS, LEAST = 4.0, 5, 1e-6


@dataclass(frozen=True)
class PodSet:
    """Chances that a worked flower sets a pod; made by `fit_pods`.

    Plants never worked are allowed everywhere: they are what plants of this garden may be.
    """

    fitted: Fitted
    parents: Parents
    barren: Barren
    row_of: dict[Pair, int]

    @property
    def garden(self) -> Rate:
        """A middling seed parent with a middling pollen parent."""
        flowers, pods = self.parents.total
        seeds, pollens = len(self.parents.seeds), len(self.parents.pollens)
        told = (f"{pods:,} of {flowers:,} flowers", f"{seeds} seed and {pollens} pollen parents")
        return _rate(*self.fitted.one(None, None), 0.0, flowers, pods, told)

    @property
    def told(self) -> tuple[str, ...]:
        """Which spreads are estimated and which are the usual ones, in sentences."""
        third = "Beyond both parents, single pairs differ by"
        return spreads(self.fitted, "The logit of pod set", third)

    def seed(self, plant: Hashable) -> Rate:
        """The plant as seed parent, with a middling pollen parent."""
        flowers, pods, _ = self.parents.of_seed.get(plant, NONE)
        told = counted(pods, flowers, "flowers", len(self.parents.seeds), "seed parent")
        at = int(self.parents.seed([plant])[0])
        return _rate(*self.fitted.one(at, None), float(self.barren.seed[at]), flowers, pods, told)

    def pollen(self, plant: Hashable) -> Rate:
        """The plant as pollen parent, on a middling seed parent."""
        flowers, pods, _ = self.parents.of_pollen.get(plant, NONE)
        told = counted(pods, flowers, "flowers", len(self.parents.pollens), "pollen parent")
        at = int(self.parents.pollen([plant])[0])
        return _rate(*self.fitted.one(None, at), float(self.barren.pollen[at]), flowers, pods, told)

    def pair(self, seed: Hashable, pollen: Hashable | None) -> Rate:
        """This seed parent with this pollen parent (None: any pollen).

        What single pairs do beyond their parents is in it, as found from the pair's own flowers.
        """
        at_seed = int(self.parents.seed([seed])[0])
        at_pollen = int(self.parents.pollen([pollen])[0])
        mean, variance = self.fitted.one(at_seed, at_pollen)
        row = self.row_of.get((seed, pollen))
        if row is None:
            alive = self._untried(self.barren.seed[at_seed], self.barren.pollen[at_pollen])
            variance += self.fitted.parts[2] ** 2
        else:
            alive = self.barren.alive[row]
            mean, variance = self.fitted.with_own(row, mean, variance)
        flowers, pods, _ = self.parents.of_pair.get((seed, pollen), NONE)
        told = [f"{pods} of {flowers} flowers of this pair" if flowers else "pair never tried"]
        for side, held in (
            ("seed parent", self.parents.of_seed.get(seed, NONE)),
            ("pollen parent", self.parents.of_pollen.get(pollen, NONE)),
        ):
            told.append(f"{side}: {held[1]:,} of {held[0]:,} flowers in all")
        return _rate(mean, variance, float(1 - alive), flowers, pods, tuple(told))

    def pair_means(self, seeds: Sequence[Hashable], pollens: Sequence[Hashable | None]) -> Floats:
        """(seeds, pollens): expected chances of all pairs at once, as `pair` gives them singly."""

        from breeding.fertility.barren import MIDDLE
        from breeding.fertility.quadrature import logistic_normal

        at_seed, at_pollen = self.parents.seed(seeds), self.parents.pollen(pollens)
        mean, variance = self.fitted.predicted(at_seed, at_pollen)
        fresh = variance + self.fitted.parts[2] ** 2
        alive = self._untried(self.barren.seed[at_seed][:, None], self.barren.pollen[at_pollen])
        rows: dict[Hashable, list[tuple[Hashable | None, int]]] = {}
        for (seed, pollen), row in self.row_of.items():
            rows.setdefault(seed, []).append((pollen, row))
        columns: dict[Hashable | None, list[int]] = {}
        for j, mate in enumerate(pollens):
            columns.setdefault(mate, []).append(j)
        for i, seed in enumerate(seeds):
            for pollen, row in rows.get(seed, ()):
                for j in columns.get(pollen, ()):
                    mean[i, j], fresh[i, j] = self.fitted.with_own(
                        row, float(mean[i, j]), float(variance[i, j])
                    )
                    alive[i, j] = self.barren.alive[row]
        found: Floats = alive * logistic_normal(mean, fresh)[0] + (1 - alive) * MIDDLE
        return found

    def _untried(self, seed: Floats, pollen: Floats) -> Floats:
        """Chance that nothing is barren about a pair that was never tried."""
        from breeding.fertility.barren import PAIRS

        return (1 - seed) * (1 - pollen) * (1 - PAIRS)


def fit_pods(attempts: Sequence[Attempt]) -> PodSet:
    """Pod set of seed and pollen parents, from all flowers worked, partly pooled.

    Parameters
    ----------
    attempts : sequence of Attempt
        In any order, several for one pair as well; those without flowers are passed over.

    Returns
    -------
    PodSet

    Notes
    -----
    logit(chance) = garden + seed parent + pollen parent + pair, the last three spread about
    nought: a plant with one failure stays near the garden, one with none of forty does not. The
    three spreads are those that make the counts likeliest (Laplace's approximation), drawn towards
    usual ones where there are few parents; `PodSet.told` says which. Parents' effects have the long
    tails of Student's distribution; those that never set may also be barren, see
    `breeding.fertility.barren`. An attempt with unknown
    pollen tells of its seed parent as one with pollen of any plant of the garden would. Seasons,
    weather and hands are not told apart.

    About a hundred solutions of (pollen parents)³ each: a quarter of a second for 100 + 100
    parents, 1.3 seconds for 300 + 300.

    References
    ----------
    Breslow and Clayton 1993, Approximate inference in generalized linear mixed models, J. Am.
    Stat. Assoc. 88:9-25.

    Examples
    --------
    >>> worked = [Attempt("a", "c", 40, 0), Attempt("b", "c", 1, 0), Attempt("d", "c", 9, 6)]
    >>> found = fit_pods(worked)
    >>> found.seed("a").mean < 0.1 < 0.25 < found.seed("b").mean
    True
    """
    import numpy as np

    from breeding.fertility.parents import parents

    sums: dict[Pair, list[int]] = {}
    unknown: list[tuple[Hashable, None, int, int]] = []
    for each in attempts:
        if each.pollen is None and each.worked:
            # Each may be another father: they are not one pair.
            unknown.append((each.seed, None, each.worked, each.set))
        elif each.worked:
            held = sums.setdefault((each.seed, each.pollen), [0, 0])
            held[0] += each.worked
            held[1] += each.set
    told = [(*pair, worked, came) for pair, (worked, came) in sums.items()] + unknown
    known = parents(told)
    fitted, barren = _settled(known, *(np.array([row[at] for row in told], float) for at in (2, 3)))
    return PodSet(fitted, known, barren, {pair: row for row, pair in enumerate(sums)})


def _settled(known: Parents, worked: Floats, came: Floats) -> tuple[Fitted, Barren]:
    """By turns: effects of parents that set, who stands far off, who never sets."""
    import numpy as np

    from breeding.fertility.barren import judge
    from breeding.fertility.likelihoods import binomial
    from breeding.fertility.tuning import Fitted, tune
    from breeding.fertility.twoway import Model, climb

    model = Model(binomial(came, worked), True, CENTRE, USUAL)
    fitted = Fitted(model, known.rows, USUAL, climb(model, known.rows, USUAL))
    barren = judge(fitted, worked, came)
    for turn in range(TURNS):
        seed, pollen = fitted.scales(TAIL)
        alive = np.maximum(barren.alive, LEAST)
        model = Model(binomial(came * alive, worked * alive), True, CENTRE, USUAL, seed, pollen)
        if turn == TURNS // 2:
            fitted = tune(model, known.rows, fitted.peak)
        else:
            peak = climb(model, known.rows, fitted.parts, fitted.peak)
            fitted = Fitted(model, known.rows, fitted.parts, peak)
        barren = judge(fitted, worked, came)
    return fitted, barren


def _rate(
    mean: float, variance: float, barren: float, flowers: int, pods: int, told: tuple[str, ...]
) -> Rate:
    """From the logit, and the chance of being barren, to the chance of a pod."""
    from breeding.fertility.barren import AT_MOST, MIDDLE, quantile
    from breeding.fertility.quadrature import one_logistic

    usual, square = one_logistic(mean, variance)
    middle = barren * MIDDLE + (1 - barren) * usual
    whole = barren * (MIDDLE**2 + AT_MOST**2 / 12) + (1 - barren) * (square + usual**2)
    low, high = (quantile(part, mean, variance**0.5, barren) for part in (0.05, 0.95))
    return Rate(middle, low, high, (whole - middle**2) ** 0.5, flowers, pods, told)
