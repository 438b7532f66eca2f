"""Small gardens: how common an allele is can hardly be known, so all that fits is averaged over."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from breeding.inheritance.copies.chances import Chances
from breeding.inheritance.copies.frequency import founders_copies
from breeding.inheritance.copies.garden import Garden
from breeding.inheritance.copies.predicting import Told
from breeding.inheritance.genotypes import Sets

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

POINTS = 9
# How far the points reach to either side, in errors of the frequency.
REACH = 4.8
# What is known of more copies than this leaves too little open to be worth the time, and larger
# tables in all take too long.
MOST_COPIES, MOST_ENTRIES = 160, 2**21
# How far the frequency is moved to see how the founders follow.
STEP = 0.02


class Blend(Chances):
    """Tables at the mean frequencies, but founders drawn from all frequencies by their weights."""

    def __init__(self, mean: Chances, parts: Sequence[tuple[float, Chances]]) -> None:
        super().__init__(mean.locus, mean.frequencies, mean.mistakes)
        self._parts = parts

    def founder(self, sets: Sets, double: float = 0.0) -> Array:
        return np.asarray(sum(weight * each.founder(sets, double) for weight, each in self._parts))


def worth_it(garden: Garden, told: Told, alleles: int) -> bool:
    """Whether to average: two alleles, founders, and an answer that is exact and quick."""
    entries = sum(clique.entries for clique in told.beliefs.cliques)
    exact = told.beliefs.exact and all(told.exact.values())
    return alleles == 2 and bool(garden.keys) and exact and entries <= MOST_ENTRIES


def known_copies(
    garden: Garden,
    told: Told,
    middle: float,
    chances: Callable[[Array], Chances],
    solved: Callable[[Chances], Told],
) -> float:
    """As if so many of the founders' copies had been seen, 2 or more.

    What follows the frequency when it is moved is missing information (Dempster, Laird & Rubin
    1977): a founder that nothing is known of follows wholly, one whose copies are known not at all.
    """
    step = STEP if middle < 0.5 else -STEP
    there = solved(chances(_both(middle + step)))
    before, after = (founders_copies(garden, each.marginals, 2)[0] for each in (told, there))
    copies = sum(garden.sets[at].ploidy for at, kind in enumerate(garden.kinds) if kind is None)
    return max(2.0, copies - float(after - before) / step)


def _both(share: float) -> Array:
    """The frequencies of two alleles."""
    return np.array([share, 1 - share])


def points(copies: float, middle: float) -> tuple[Array, Array]:
    """Frequencies of the first allele about the estimate, and the prior weight of each.

    Evenly apart as log odds, as far as so many known `copies` leave them open; the prior is even in
    the frequency itself.
    """
    error = 1 / np.sqrt(copies * middle * (1 - middle))
    odds = np.log(middle / (1 - middle)) + np.linspace(-REACH, REACH, POINTS) * error
    shares = 1 / (1 + np.exp(-odds))
    return shares, shares * (1 - shares)


def averaged(
    garden: Garden,
    told: Told,
    middle: Array,
    chances: Callable[[Array], Chances],
    solved: Callable[[Chances], Told],
) -> tuple[Told, Chances] | None:
    """The answer averaged over the frequencies by how well each explains what was seen.

    Parameters
    ----------
    garden, told, middle
        The garden, its answer at the estimated frequencies, and these.
    chances, solved : callables
        From frequencies to tables, from tables to the answer.

    Returns
    -------
    (Told, Chances) or None
        With the marginals averaged, and tables to go with them; None where so much is known of the
        frequencies that averaging would change next to nothing.
    """
    share = float(middle[0])
    copies = known_copies(garden, told, share, chances, solved)
    if copies > MOST_COPIES:
        return None
    shares, prior = points(copies, share)
    logs, answers, tables = np.log(prior), [], [chances(_both(share)) for share in shares]
    for at, each in enumerate(tables):
        answer = solved(each)
        answers.append(answer.marginals)
        logs[at] += answer.beliefs.log_evidence + _alone(garden, answer, each)
    weights = np.exp(logs - logs.max())
    weights /= weights.sum()
    blend = Blend(
        chances(_both(float(weights @ shares))), list(zip(weights.tolist(), tables, strict=True))
    )
    return replace(told, marginals=_mean(answers, weights)), blend


def _alone(garden: Garden, told: Told, chances: Chances) -> float:
    """Log evidence of flowers of founders that are not in the network."""
    return sum(
        float(np.log((chances.founder(garden.sets[at], garden.double[at]) * shown).sum()))
        for at, allowed in garden.seen.items()
        if garden.kinds[at] is None and at not in told.built.variable
        for shown in [chances.shows(garden.sets[at], allowed)]
    )


def _mean(answers: Sequence[Mapping[int, Array]], weights: Array) -> dict[int, Array]:
    return {
        plant: np.asarray(weights @ np.array([answer[plant] for answer in answers]))
        for plant in answers[0]
    }
