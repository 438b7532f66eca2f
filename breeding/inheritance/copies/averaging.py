"""Small gardens: how common an allele is can hardly be known, so all that fits is averaged over."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from breeding.inheritance.copies.chances import Chances
from breeding.inheritance.copies.garden import Garden
from breeding.inheritance.copies.predicting import Told

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

POINTS = 9
# How far the points reach to either side, in errors of a garden whose founders were all known.
REACH = 4.8
# In more founders than this, or larger tables in all, the average is not worth its time.
MOST_FOUNDERS, MOST_ENTRIES = 40, 2**21


def worth_it(garden: Garden, told: Told, alleles: int) -> bool:
    """Whether to average: two alleles, few founders, and an answer that is exact and quick."""
    founders = sum(kind is None for kind in garden.kinds)
    entries = sum(clique.entries for clique in told.beliefs.cliques)
    exact = told.beliefs.exact and all(told.exact.values())
    return alleles == 2 and founders <= MOST_FOUNDERS and exact and entries <= MOST_ENTRIES


def points(garden: Garden, middle: float) -> tuple[Array, Array]:
    """Frequencies of the first allele about the estimate, and the prior weight of each.

    Evenly apart as log odds; the prior is even in the frequency itself.
    """
    copies = sum(garden.sets[at].ploidy for at, kind in enumerate(garden.kinds) if kind is None)
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
) -> tuple[Told, Array]:
    """The answer averaged over the frequencies by how well each explains what was seen.

    Parameters
    ----------
    garden, told, middle
        The garden, its answer at the estimated frequencies, and these.
    chances, solved : callables
        From frequencies to tables, from tables to the answer.

    Returns
    -------
    (Told, ndarray)
        With the marginals averaged, and the mean frequencies.
    """
    shares, prior = points(garden, float(middle[0]))
    logs, answers = np.log(prior), []
    for at, share in enumerate(shares):
        tables = chances(np.array([share, 1 - share]))
        answer = solved(tables)
        answers.append(answer.marginals)
        logs[at] += answer.beliefs.log_evidence + _alone(garden, answer, tables)
    weights = np.exp(logs - logs.max())
    weights /= weights.sum()
    mean = float(weights @ shares)
    return replace(told, marginals=_mean(answers, weights)), np.array([mean, 1 - mean])


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
