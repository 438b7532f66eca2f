"""Counted seedlings that do not fit their record under the hypothesis."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from breeding.inheritance.copies.chances import LEAST, Chances
from breeding.inheritance.copies.garden import Counted, Garden
from breeding.inheritance.copies.matings import family_weight
from breeding.inheritance.copies.odds import MISREAD, Clue
from breeding.inheritance.copies.predicting import Told

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

# More likely a mistake than not.
LIKELY = 0.5


@dataclass(frozen=True, slots=True)
class Found:
    """A contradiction whose odds are not weighed yet."""

    plant: int | None
    family: int | None
    types: tuple[str, ...]
    chance: float
    clue: Clue
    by_offspring: bool = False


def normal(weights: Array) -> Array:
    """Scaled to a sum of 1."""
    return np.asarray(weights / weights.sum())


def counted(garden: Garden, chances: Chances, told: Told) -> list[Found]:
    found: list[Found] = []
    for family in garden.families:
        parents = told.together[family.mates][0]
        for at, came in enumerate(family.counts):
            if came and _type_mistaken(chances, family, at, parents) > LIKELY:
                one = _family_found(chances, family, at, parents)
                # Of a family that is strange as a whole, the types that came too often.
                if one.chance * sum(family.counts) < came:
                    found.append(one)
    return found


def _type_mistaken(chances: Chances, family: Counted, at: int, parents: Array) -> float:
    """Chance that a seedling of this type is a mistake, alone or with its whole family."""
    weight, ways = family_weight(chances, family), chances.of_types(family.kinds)
    alone = 1 - ways.shares[0] * ways.recorded[..., at] / np.maximum(ways.mixed[..., at], LEAST)
    as_told = np.exp(weight.each - weight.log)
    return float((parents * (as_told * alone + 1 - as_told)).sum())


def _family_found(chances: Chances, family: Counted, at: int, parents: Array) -> Found:
    """The likelihoods of the seedlings of one type by each explanation."""
    ways, came = chances.of_types(family.kinds), family.counts[at]
    weight = family_weight(chances, family)
    fewer = tuple(0 if place == at else count for place, count in enumerate(family.counts))
    without = family_weight(chances, family, fewer)
    # What the parents are by all else, in logs; and with the other seedlings of the family.
    beyond = np.log(np.maximum(parents, LEAST)) - weight.log
    before = normal(np.exp(beyond + without.log - (beyond + without.log).max()))
    recorded, strange, unknown = (told[..., at] for told in (ways.recorded, ways.strange, ways.tag))
    misread = MISREAD * (1 - recorded) / max(len(family.counts) - 1, 1)
    right, strange_share, tag_share = ways.shares
    alone = np.stack([right * recorded, strange_share * strange, tag_share * unknown, misread])
    each = weight.each + came * np.log(
        np.maximum(alone.sum(axis=0), LEAST) / np.maximum(ways.mixed[..., at], LEAST)
    )
    readings = [_log_sum(beyond + told) for told in (each, weight.pod, weight.tag)]
    in_all = _log_sum(np.array(readings))
    of_each, of_pod, of_tag = (float(np.exp(told - in_all)) for told in readings)
    among = normal(np.exp(beyond + each - (beyond + each).max()))
    shares = (among * alone / np.maximum(alone.sum(axis=0), LEAST)).reshape(4, -1).sum(axis=1)
    odds = of_each * shares + np.array([0.0, of_pod, of_tag, 0.0])
    likely = float(np.exp((in_all - _log_sum(beyond + without.log)) / came))
    as_recorded, bee, tag, misreading = (float(told) * likely for told in odds)
    exempt = float((before * unknown).sum())
    clue = Clue(as_recorded, bee, tag, misreading, exempt, came)
    type_ = chances.locus.types[at].key
    return Found(None, family.place, (type_,), float((before * recorded).sum()), clue)


def _log_sum(logs: Array) -> float:
    return float(np.logaddexp.reduce(logs, axis=None))
