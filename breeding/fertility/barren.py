"""Plants and pairs that never set: a class of their own beside those that set now and then.

A normal spread knows no sterile plants; gardens do. So each seed parent, pollen parent and pair is
held for barren with a small chance, which its failures raise and the first pod refutes.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import erfc, exp, sqrt

import numpy as np

from breeding.fertility.quadrature import logistic, nodes
from breeding.fertility.tuning import Fitted
from breeding.fertility.twoway import predictor
from breeding.flowering.absorbing import Flags, Floats, Ints

# What barren means: at most one pod of fifty flowers, one of a hundred in the middle.
AT_MOST, MIDDLE = 0.02, 0.01
# Held before any count: three plants of a hundred and one pair of a thousand, as sure as if twenty
# plants had been seen. Assumptions.
PLANTS, PAIRS, BESIDE = 0.03, 0.001, 20.0
ROUNDS = 12


@dataclass(frozen=True)
class Barren:
    """Chances, 0–1, of being barren: seed parents, pollen parents (one stranger more each).

    `alive` (rows,): chance that neither parent nor the pair itself is barren, all told.
    """

    seed: Floats
    pollen: Floats
    alive: Floats


@dataclass(frozen=True)
class _Side:
    """Rows seen from one side (seed parents, pollen parents, pairs).

    `base` (rows,): predictors without this side's effect, of spread `spread`; `index` (rows,) of
    `many`; `told` whether the row tells of this side at all; `prior` and whether it is learnt.
    """

    base: Floats
    spread: float
    index: Ints
    many: int
    told: Flags
    prior: float
    learnt: bool


def judge(fitted: Fitted, worked: Floats, came: Floats) -> Barren:
    """Chances of being barren, from the rows' flowers worked and pods, (rows,) each.

    For each plant that never set, the chance of its failures is compared: as a barren one, and as
    one drawn from the spread of the others, where another side may be the barren one (messages
    between seed parents, pollen parents and pairs, passed round by round). So a failure that good
    pollen had everywhere else is the seed parent's, and that of two strangers is shared out.

    References
    ----------
    Pearl 1988, Probabilistic Reasoning in Intelligent Systems, on messages passed and on causes
    that explain each other away.
    """
    sides = _sides(fitted)
    fails = came == 0
    never = [np.bincount(side.index, came, side.many) == 0 for side in sides]
    # Chances of being barren as all other rows tell it, by side and row.
    cavity = [np.where(fails, side.prior, 0.0) for side in sides]
    beliefs = [np.full(side.many, side.prior) for side in sides]
    for _ in range(ROUNDS):
        for at, side in enumerate(sides):
            others = 1 - np.prod([1 - each for k, each in enumerate(cavity) if k != at], axis=0)
            prior = side.prior
            if side.learnt:
                prior = (BESIDE * prior + beliefs[at].sum()) / (BESIDE + side.many)
            beliefs[at], cavity[at] = _passed(side, worked, others, never[at], prior)
    alive = np.where(fails, _alive(sides[0], beliefs[0], cavity, worked), 1.0)
    return Barren(_with_stranger(beliefs[0]), _with_stranger(beliefs[1][:-1]), alive)


def _sides(fitted: Fitted) -> tuple[_Side, _Side, _Side]:
    rows, parts, found = fitted.rows, fitted.parts, fitted.peak.posterior
    shared, seeds = found.mean, found.own[:, 0]
    at, known = predictor(rows, shared, seeds), rows.pollen >= 0
    pollen = np.where(known, rows.pollen, rows.pollens)
    every = np.ones(len(at), bool)
    from_pollen = np.where(known, shared[1 + pollen], 0)
    return (
        _Side(at - seeds[rows.seed], parts[0], rows.seed, rows.seeds, every, PLANTS, True),
        _Side(at - from_pollen, parts[1], pollen, rows.pollens + 1, known, PLANTS, True),
        _Side(at, parts[2], np.arange(len(at)), len(at), every, PAIRS, False),
    )


def _passed(
    side: _Side, worked: Floats, others: Floats, never: Flags, prior: float
) -> tuple[Floats, Floats]:
    """Chances of being barren (many,), and the same as all rows but one tell it (rows,)."""
    here = never[side.index] & side.told
    index, base, flowers = side.index[here], side.base[here], worked[here]
    blame, dead = others[here], flowers * np.log1p(-MIDDLE)
    at, weights = nodes()
    alive = -flowers * np.logaddexp(0, base + side.spread * at[:, None])
    terms = np.logaddexp(np.log(blame + 1e-300) + dead, np.log1p(-blame) + alive)
    sums = np.array([np.bincount(index, term, side.many) for term in terms])
    total = np.bincount(index, dead, side.many)
    odds = np.log(prior) - np.log1p(-prior)
    logs = np.log(weights)[:, None]
    belief = logistic(odds + total - np.logaddexp.reduce(sums + logs, axis=0))
    without = sums[:, index] - terms + logs
    # Of unknown pollen only what is held of any is known.
    left = np.where(side.told, 0.0, prior)
    left[here] = logistic(odds + total[index] - dead - np.logaddexp.reduce(without, axis=0))
    return np.where(never, belief, 0.0), left


def _alive(side: _Side, belief: Floats, cavity: list[Floats], worked: Floats) -> Floats:
    """(rows,): chance that nothing is barren about failing rows, seen from the seed parents."""
    at, weights = nodes()
    fails = -worked * np.logaddexp(0, side.base + side.spread * at[:, None])
    usual = (1 - cavity[1]) * (1 - cavity[2]) * (weights @ np.exp(fails))
    dead = (1 - (1 - cavity[1]) * (1 - cavity[2])) * np.exp(worked * np.log1p(-MIDDLE))
    # Both vanish where hundreds of flowers set, and nothing is asked.
    found: Floats = (1 - belief[side.index]) * usual / np.maximum(usual + dead, 1e-300)
    return found


def _with_stranger(chances: Floats) -> Floats:
    """As many and one more, who is held for what the garden's others are."""
    share = (BESIDE * PLANTS + chances.sum()) / (BESIDE + len(chances))
    return np.append(chances, share)


def quantile(part: float, mean: float, error: float, barren: float) -> float:
    """Below which `part` of the chance of a pod lies: barren with that chance, else logit normal.

    Barren plants' chances lie evenly between 0 and AT_MOST.
    """
    low, high = -40.0, 40.0
    for _ in range(50):
        middle = (low + high) / 2
        share = 1 / (1 + exp(-middle))
        usual = erfc((mean - middle) / (error * sqrt(2))) / 2
        below = barren * min(share / AT_MOST, 1) + (1 - barren) * usual
        low, high = (middle, high) if below < part else (low, middle)
    return 1 / (1 + exp(-low))
