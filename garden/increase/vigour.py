"""The yearly factor of a plant with its spread, and what it rests on.

Growth over t years is taken as normal on the log scale with mean mu·t and variance sigma²·t, so
that counts two years apart weigh as two years: Dennis, Munholland and Scott (1991), "Estimation
of growth and extinction parameters for endangered species", Ecological Monographs 61: 115-143;
also Morris and Doak (2002), Quantitative Conservation Biology, chapter 3.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from garden.increase.pooling import LEAST_SAMPLES, shrink
from garden.increase.spans import Span


@dataclass(frozen=True, slots=True)
class Vigour:
    """How a plant increases, per year on the log scale.

    `mean` and its `variance` lean towards the garden's other plants by the share `leaning`, 0-1;
    `spread` is the standard deviation between years, with `freedom` degrees of freedom, common to
    the garden. `own` is the plant's own mean; `spans` and `years` are its own, `plants` all that
    are pooled with it, itself among them. `usual` is the garden's common mean.
    """

    mean: float
    variance: float
    spread: float
    freedom: int
    own: float
    spans: int
    years: float
    plants: int
    leaning: float
    usual: float

    @property
    def factor(self) -> float:
        """The yearly factor in the middle."""
        return math.exp(self.mean)

    @property
    def tells_spread(self) -> bool:
        """Whether years were compared at all, so that a forecast can have an interval."""
        return self.freedom > 0

    def between(self, share: float = 0.9) -> tuple[float, float]:
        """The factors between which a coming year's lies with that chance, 0-1; loads scipy.

        Raises ValueError when no spread is known.
        """
        if not self.tells_spread:
            raise ValueError("no spread between years is known")
        from scipy.special import stdtrit

        reach = float(stdtrit(self.freedom, 0.5 + share / 2))
        wide = reach * math.sqrt(self.variance + self.spread**2)
        return math.exp(_kept(self.mean - wide)), math.exp(_kept(self.mean + wide))


def _kept(log: float) -> float:
    """A log factor within what a number can hold."""
    return min(max(log, -50.0), 50.0)


def observed(spans: Sequence[Span]) -> tuple[float, float]:
    """(mean log growth a year, years): sum of growth over sum of years, which is the weighted
    least-squares and maximum-likelihood estimate.

    Raises ValueError without a span.
    """
    years = sum(span.years for span in spans)
    if not years:
        raise ValueError("no growth was counted")
    return sum(span.growth for span in spans) / years, years


def spread_of(garden: Mapping[object, Sequence[Span]]) -> tuple[float, int]:
    """(variance of a year's log growth, its degrees of freedom), pooled within plants.

    sigma² = sum of (growth - mean·t)²/t over all plants, divided by spans less plants; (0, 0)
    where no plant has two spans.
    """
    squares, freedom = 0.0, 0
    for spans in garden.values():
        if len(spans) > 1:
            mean, _ = observed(spans)
            squares += sum((one.growth - mean * one.years) ** 2 / one.years for one in spans)
            freedom += len(spans) - 1
    return (squares / freedom, freedom) if freedom else (0.0, 0)


def vigour(plant: object, garden: Mapping[object, Sequence[Span]]) -> Vigour | None:
    """A plant's vigour, leaned on the garden's other plants; None without a span of its own.

    Arguments, meaning and cost as `vigours`; `plant` is a key of `garden`.
    """
    return vigours(garden).get(plant) if garden.get(plant) else None


def vigours(garden: Mapping[object, Sequence[Span]]) -> dict[object, Vigour]:
    """The vigour of every plant that has a span.

    Parameters
    ----------
    garden : spans by plant; plants without any are passed over.

    With fewer than four plants nothing is leaned; without a plant that has two spans no spread
    is known and each plant's own mean stands alone. Cost: linear in the number of spans.
    """
    known = {key: spans for key, spans in garden.items() if spans}
    seen = {key: observed(spans) for key, spans in known.items()}
    variance, freedom = spread_of(known)
    if not freedom:
        return {
            key: Vigour(mean, 0.0, 0.0, 0, mean, len(known[key]), years, 1, 0.0, mean)
            for key, (mean, years) in seen.items()
        }
    found = shrink([one for one, _ in seen.values()], [variance / t for _, t in seen.values()])
    pooled = len(known) if len(known) >= LEAST_SAMPLES else 1
    spread = math.sqrt(variance)
    return {
        key: Vigour(found.means[at], found.variances[at], spread, freedom, mean, len(known[key]),
                    years, pooled, found.leaning[at], found.common)
        for at, (key, (mean, years)) in enumerate(seen.items())
    }  # fmt: skip
