"""How many flowers to work, so that enough seedlings of the wanted type bloom."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import ceil, inf
from typing import TYPE_CHECKING, Any

from breeding.inheritance.mixtures import Mixture, mixture
from breeding.inheritance.quadrature import Spread, number, shape_of_share, share

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[Any]

# Nobody works more flowers of one cross.
MOST_FLOWERS = 2000
# Values that stand for what is not known of a cross.
VALUES = 128
THROWS, SEED = 4000, 26
STAGES = ("pods", "seeds", "seedlings", "blooming", "wanted")


@dataclass(frozen=True, slots=True)
class Rates:
    """What becomes of a worked flower in this garden.

    Attributes
    ----------
    pods : Spread
        Share of the worked flowers that set a pod, and how it varies from cross to cross.
    seeds : Spread
        Seeds in a pod; the variance is that from pod to pod of one cross. Pods are taken to vary
        at least as chance has it (variance ≥ mean).
    germination : Spread
        Share of the seeds that come up, and how it varies from sowing to sowing.
    bloom : Spread
        Share of the seedlings that live to bloom.
    seeds_of_crosses : float
        Variance of the mean number of seeds from cross to cross.

    What is not known of a mean (few pods counted) belongs into the variance from cross to cross.
    """

    pods: Spread
    seeds: Spread
    germination: Spread
    bloom: Spread = field(default_factory=lambda: Spread(1.0))
    seeds_of_crosses: float = 0.0

    def __post_init__(self) -> None:
        for each in (self.pods, self.germination, self.bloom):
            shape_of_share(each)

    @property
    def seedlings(self) -> float:
        """Seedlings in bloom that one worked flower gives, on the average."""
        return self.pods.mean * self.seeds.mean * self.germination.mean * self.bloom.mean

    @property
    def evenness(self) -> float:
        """How alike pods are: the size of the negative binomial; infinite for Poisson."""
        above = self.seeds.variance - self.seeds.mean
        return self.seeds.mean**2 / above if above > 1e-9 else inf


@dataclass(frozen=True, slots=True)
class Step:
    """What a number of flowers gives: the mean, and the range that holds 90 %."""

    stage: str
    mean: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Flowers:
    """Flowers to work.

    Attributes
    ----------
    on_average : int or None
        So many give the wanted number in the mean of many such crosses; None when that is beyond
        2,000.
    sure : int or None
        So many give it with the `probability` asked for; None when no number up to 2,000 does.
    given_possible : int or None
        The same if the parents can give the type at all.
    possible : float
        Probability, 0–1, that they can.
    reached : float
        Probability with `sure` flowers, or with 2,000.
    beyond : bool
        Whether more than 2,000 flowers might do: the type may come, and flowers give seedlings.
    steps : tuple of Step
        From flowers to wanted seedlings in bloom, for `sure` flowers (else `given_possible`, else
        `on_average`, else 2,000).
    """

    wanted: int
    probability: float
    on_average: int | None
    sure: int | None
    given_possible: int | None
    possible: float
    reached: float
    beyond: bool
    steps: tuple[Step, ...]

    @property
    def sure_beyond(self) -> bool:
        """Whether only more than 2,000 flowers make it sure: the type is likely enough to come."""
        return self.sure is None and self.beyond and self.possible > self.probability


def flowers_to_work(
    readings: Sequence[tuple[float, float]] | Mixture,
    wanted: int,
    rates: Rates,
    probability: float = 0.95,
) -> Flowers:
    """How many flowers to work for `wanted` blooming seedlings of a type.

    Parameters
    ----------
    readings : sequence of (chance, weight), or Mixture
        The chance of the type, 0–1, as it may be; `Expectation.mixture_of` gives it.
    wanted : int
        Seedlings of the type that shall bloom, 1–1,000.
    rates : Rates
        Of the garden, or of these two plants.
    probability : float
        How sure, between 0 and 1.

    Returns
    -------
    Flowers

    Raises
    ------
    ValueError
        If a number cannot be.

    Notes
    -----
    A cross draws its share of pods from a beta distribution, so that pods among flowers are beta
    binomial. Seeds of a pod are negative binomial, and remain so when every seed becomes a wanted
    bloom with the same small chance. What this chance may be (readings × germination × living) is
    gone through by quadrature. Nothing is thrown but the ranges of `steps`, seeded.

    Examples
    --------
    >>> rates = Rates(Spread(0.5), Spread(20, 20), Spread(0.5))
    >>> told = flowers_to_work([(1 / 36, 1.0)], 1, rates)
    >>> told.on_average, told.sure
    (8, 24)
    """
    if not 1 <= wanted <= 1000 or not 0 < probability < 1:
        raise ValueError("From 1 to 1,000 seedlings, with a probability between 0 and 1.")
    chance = readings if isinstance(readings, Mixture) else _mixed(readings)
    if chance.values[-1] > 1:
        raise ValueError("A chance is not above 1.")
    alive, each = chance.given_possible(), chance.mean * rates.seedlings
    average = ceil(wanted / each - 1e-9) if each * MOST_FLOWERS >= wanted else None
    found = _Search(chance, wanted, rates)
    sure = found.flowers(probability)
    reached = found.reached(sure or MOST_FLOWERS)
    given = sure
    if alive is not None and alive is not chance:
        given = _Search(alive, wanted, rates).flowers(probability)
    told = sure or given or average or MOST_FLOWERS
    return Flowers(
        wanted, probability, average, sure, given, chance.possible, reached, each > 0,
        _steps(told, chance, rates) if each else (),
    )  # fmt: skip


def _mixed(readings: Sequence[tuple[float, float]]) -> Mixture:
    return mixture([chance for chance, _ in readings], [weight for _, weight in readings])


class _Search:
    """The probability of enough, by flowers; what pods give is worked out once."""

    def __init__(self, chance: Mixture, wanted: int, rates: Rates) -> None:
        seeds = number(Spread(rates.seeds.mean, rates.seeds_of_crosses))
        each = chance.drawn_together(VALUES)
        for part in (share(rates.germination), share(rates.bloom), seeds):
            each = each.times(part, VALUES)
        self.each, self.wanted, self.rates = each, wanted, rates
        self.by_pods: list[float] = [0.0]

    def flowers(self, probability: float) -> int | None:
        """The smallest number that is enough, None when there is none."""
        high = 1
        while self.reached(high) < probability:
            if high == MOST_FLOWERS:
                return None
            high = min(2 * high, MOST_FLOWERS)
        low = high // 2
        while high - low > 1:
            middle = (low + high) // 2
            low, high = (low, middle) if self.reached(middle) >= probability else (middle, high)
        return high

    def reached(self, flowers: int) -> float:
        """Probability of enough from so many flowers."""
        import numpy as np

        done = len(self.by_pods)
        if flowers >= done:
            self.by_pods += self._enough(np.arange(done, flowers + 1)).tolist()
        pods = _pods(flowers, self.rates.pods)
        return float(pods @ np.array(self.by_pods[: flowers + 1]))

    def _enough(self, pods: Array) -> Array:
        """Probability of enough wanted ones from so many pods, shape as `pods`."""
        import numpy as np

        size = self.rates.evenness
        mean = self.each.values
        many = pods[:, None].astype(float)
        with np.errstate(divide="ignore"):
            if size == inf:
                log, odds = -many * mean, np.log(mean)
            else:
                log, odds = -many * size * np.log1p(mean / size), np.log(mean / (size + mean))
            fewer = np.exp(log)
            for found in range(1, self.wanted):
                more = many if size == inf else many * size + found - 1
                log = log + odds + np.log(more / found)
                fewer = fewer + np.exp(log)
        told: Array = (1 - fewer).clip(0) @ self.each.weights
        return told


def _pods(flowers: int, share: Spread) -> Array:
    """Chances of 0 to `flowers` pods: beta binomial, or binomial where the share is fixed."""
    import numpy as np

    pods = np.arange(flowers + 1)
    if share.mean in (0.0, 1.0):
        fixed: Array = (pods == flowers * int(share.mean)).astype(float)
        return fixed
    factorials = np.concatenate(([0.0], np.log(np.arange(1, flowers + 1)).cumsum()))
    log = factorials[-1] - factorials - factorials[::-1]
    shape = shape_of_share(share)
    if shape is None:
        log = log + pods * np.log(share.mean) + (flowers - pods) * np.log1p(-share.mean)
    else:
        set_, failed, all_ = (
            np.concatenate(([0.0], np.log(start + np.arange(flowers)).cumsum()))
            for start in (*shape, sum(shape))
        )
        log = log + set_ + failed[::-1] - all_[-1]
    chances: Array = np.exp(log)
    chances /= chances.sum()
    return chances


def _steps(flowers: int, chance: Mixture, rates: Rates) -> tuple[Step, ...]:
    """What so many flowers give at every stage: means exact, ranges from seeded throws."""
    import numpy as np

    dice = np.random.default_rng(SEED)

    def drawn(spread: Spread) -> Array:
        shape = shape_of_share(spread)
        return np.full(THROWS, spread.mean) if shape is None else dice.beta(*shape, THROWS)

    pods = dice.binomial(flowers, drawn(rates.pods))
    of_cross, mean = np.full(THROWS, rates.seeds.mean), rates.seeds.mean
    if rates.seeds_of_crosses > 0 and mean:
        of_cross = dice.gamma(
            mean**2 / rates.seeds_of_crosses, rates.seeds_of_crosses / mean, THROWS
        )
    lot = pods * of_cross
    if rates.evenness != inf:
        lot = dice.gamma(np.maximum(pods * rates.evenness, 1e-12)) * of_cross / rates.evenness
    seeds = dice.poisson(np.where(pods > 0, lot, 0))
    up = dice.binomial(seeds, drawn(rates.germination))
    blooming = dice.binomial(up, drawn(rates.bloom))
    found = dice.binomial(blooming, dice.choice(chance.values, THROWS, p=chance.weights))
    means = [flowers * rates.pods.mean]
    for each in (rates.seeds, rates.germination, rates.bloom, chance):
        means.append(means[-1] * each.mean)
    steps = [Step("flowers", float(flowers), float(flowers), float(flowers))]
    for stage, mean, thrown in zip(STAGES, means, (pods, seeds, up, blooming, found), strict=True):
        low, high = np.quantile(thrown, (0.05, 0.95), method="inverted_cdf")
        steps.append(Step(stage, mean, float(low), float(high)))
    return tuple(steps)
