"""What may lie behind contradictions at one locus, weighed by Bayes' rule, all of them together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from breeding.inheritance.copies.told import Odds

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

# That a flower was misread or miswritten: a convention.
MISREAD = 0.01
# Under a wrong hypothesis a share of the seedlings goes its own way. Nobody knows how large; one in
# ten is expected (Beta(1, 9)): a convention.
ONE, NINE = 1.0, 9.0
STEPS = 400
LEAST = 1e-300


@dataclass(frozen=True, slots=True)
class Clue:
    """One contradiction: its likelihood by each explanation that leaves the hypothesis standing.

    Attributes
    ----------
    recorded, strange, tag, misread : float
        Likelihood of what was seen, times the chance of the explanation beforehand; on one scale.
    exception : float
        Likelihood if it is exempt from the hypothesis and looks like any plant of the garden.
    seedlings : int
        How many show it; the likelihoods are those of one.
    """

    recorded: float
    strange: float
    tag: float
    misread: float
    exception: float
    seedlings: int = 1

    @property
    def standing(self) -> float:
        """Likelihood of one seedling while the hypothesis stands."""
        return max(self.recorded + self.strange + self.tag + self.misread, LEAST)


def weigh(clues: Sequence[Clue], agreeing: float, wrong: float) -> list[Odds]:
    """Odds of the explanations of each contradiction.

    Parameters
    ----------
    clues : sequence of Clue
    agreeing : float
        Plants and seedlings that could have contradicted, and did not.
    wrong : float
        Chance beforehand that the hypothesis is wrong.

    Notes
    -----
    If the hypothesis is wrong, each seedling that could contradict is an exception with the chance
    ε, unknown, distributed as Beta(1, 9); ε is summed over a grid. So one contradiction says little
    against a hypothesis that held a hundred times, and five of ten say much.

    Examples
    --------
    >>> clue = Clue(0.0, 0.003, 0.001, 0.001, 0.5)
    >>> [round(weigh([clue] * many, 20, 0.1)[0].wrong_hypothesis, 2) for many in (1, 2, 4)]
    [0.1, 0.43, 0.92]
    """
    if not clues:
        return []
    share = (np.arange(STEPS) + 0.5) / STEPS
    many = np.array([clue.seedlings for clue in clues], dtype=float)
    standing = np.array([clue.standing for clue in clues])
    exempt = np.array([clue.exception for clue in clues])
    # Under each ε: of each clue (rows) relative to the hypothesis standing.
    ratio = share[None, :] * (exempt / standing)[:, None] + (1 - share)[None, :]
    prior = (1 - share) ** (NINE - 1) * share ** (ONE - 1)
    logs = np.log(prior / prior.sum()) + many @ np.log(ratio) + agreeing * np.log1p(-share)
    most = float(logs.max())
    weights = np.exp(logs - most)
    against = most + float(np.log(weights.sum())) + float(np.log(wrong / (1 - wrong)))
    chance = 1 / (1 + np.exp(np.clip(-against, -700, 700)))
    exception = (share[None, :] * (exempt / standing)[:, None] / ratio) @ (weights / weights.sum())
    return [_odds(clue, float(chance * told)) for clue, told in zip(clues, exception, strict=True)]


def _odds(clue: Clue, wrong: float) -> Odds:
    rest = (1 - wrong) / clue.standing
    strange, tag, misread = (rest * told for told in (clue.strange, clue.tag, clue.misread))
    alone = max(0.0, 1 - wrong - strange - tag - misread)
    return Odds(strange, tag, misread, wrong, alone)
