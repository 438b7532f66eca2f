"""Points by a rubric: weighted shares of full marks, with missing marks told and never guessed.

A mark is worth ``weight * share`` points, its share running from 0 at `least` to 1 at `full`.
Missing marks are NaN. They are not taken as nothing and not filled in: the percentage is of the
points that could be earned with the marks given, and two totals say what the missing ones could
still do, from nothing to all.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, TypeAlias

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

    Floats: TypeAlias = NDArray[np.float64]

SCALES = ("points", "count", "measure", "yes_no", "choice")
YES_NO = {"yes": 1.0, "no": 0.0}


@dataclass(frozen=True)
class Criterion:
    """One thing that is judged.

    Parameters
    ----------
    key, group, title
        Its own short key, the group it is summed under, and its words for people.
    weight
        Points for full marks, 0 or more. They need not add up to 100.
    scale
        One of ``SCALES``.
    least, full
        Values that earn nothing and full marks; `least` is the larger where less is better.
        Not used for yes/no and choices.
    choices
        (word, share 0 to 1) of each choice, in the order shown.
    unit
        Unit of a measure or count, for people.

    Raises
    ------
    ValueError
        When the criterion cannot be scored, in a sentence that names it.
    """

    key: str
    group: str
    title: str
    weight: float
    scale: str = "points"
    least: float = 0.0
    full: float = 1.0
    choices: tuple[tuple[str, float], ...] = ()
    unit: str = ""

    def __post_init__(self) -> None:
        if self.scale not in SCALES:
            raise ValueError(f"{self.title}: there is no scale called “{self.scale}”.")
        if not (math.isfinite(self.weight) and self.weight >= 0):
            raise ValueError(f"{self.title}: its points must be a number from 0 up.")
        if self.scale == "choice":
            self._check_choices()
        elif not (math.isfinite(self.least) and math.isfinite(self.full)):
            raise ValueError(f"{self.title}: say what earns nothing and what earns full marks.")
        elif self.least == self.full:
            raise ValueError(f"{self.title}: nothing and full marks cannot be the same value.")

    def _check_choices(self) -> None:
        words = [word.strip().casefold() for word, _ in self.choices]
        if len(words) < 2 or "" in words:
            raise ValueError(f"{self.title}: a choice needs two words or more to choose from.")
        if len(set(words)) < len(words):
            raise ValueError(f"{self.title}: the same word stands twice among its choices.")
        if not all(0 <= share <= 1 for _, share in self.choices):
            raise ValueError(f"{self.title}: each word's share of full marks is between 0 and 1.")


@dataclass(frozen=True)
class Points:
    """Points of n seedlings by c criteria in g groups; arrays have the seedlings' order.

    `percent` is of the points possible with the marks given, NaN where nothing was judged.
    `given` is the share (0 to 1) of the rubric's weight that was judged. `lowest` and `highest`
    are the totals were the missing marks worth nothing and all. The arrays of groups have shape
    (n, g), in the order of `groups`; `group_full` has shape (g,).
    """

    full: float
    earned: Floats
    possible: Floats
    percent: Floats
    given: Floats
    lowest: Floats
    highest: Floats
    groups: tuple[str, ...]
    group_earned: Floats
    group_possible: Floats
    group_percent: Floats
    group_full: Floats


def mark_of(criterion: Criterion, said: object) -> float:
    """The mark (a float for the arrays) of what somebody said: a number, yes/no, or a word.

    Yes and no become 1 and 0, a choice the number of its word counted from 0, and ``None`` and
    ``""`` the missing mark NaN.

    Raises
    ------
    ValueError
        When the criterion's scale does not know what was said.
    """
    if said is None or said == "":
        return math.nan
    if isinstance(said, str):
        word = said.strip().casefold()
        words = YES_NO if criterion.scale == "yes_no" else {}
        if criterion.scale == "choice":
            words = {known.strip().casefold(): i for i, (known, _) in enumerate(criterion.choices)}
        if word in words:
            return float(words[word])
    try:
        mark = float(said)  # type: ignore[arg-type]
    except (TypeError, ValueError):
        raise ValueError(f"{criterion.title}: “{said}” is not one of its marks.") from None
    _checked_share(criterion, mark)
    return mark


def share_of(criterion: Criterion, value: object) -> float:
    """Share of full marks, 0 to 1, that `value` earns; NaN for a missing mark.

    >>> share_of(Criterion("buds", "stalk", "Buds", 10, "count", least=4, full=10), 7)
    0.5
    """
    return _checked_share(criterion, mark_of(criterion, value))


def _checked_share(criterion: Criterion, mark: float) -> float:
    import numpy as np

    return float(_shares_of(criterion, np.array([mark]))[0])


def _shares_of(criterion: Criterion, marks: Floats) -> Floats:
    import numpy as np

    if np.isinf(marks).any():
        raise ValueError(f"{criterion.title}: a mark without end is not a mark.")
    there = marks[~np.isnan(marks)]
    if criterion.scale == "yes_no":
        if not np.isin(there, (0.0, 1.0)).all():
            raise ValueError(f"{criterion.title}: the mark is yes or no.")
        return marks
    if criterion.scale == "choice":
        if not np.isin(there, np.arange(len(criterion.choices))).all():
            raise ValueError(f"{criterion.title}: the mark is none of its choices.")
        table = np.array([share for _, share in criterion.choices] + [math.nan])
        earned: Floats = table[np.where(np.isnan(marks), -1, marks).astype(int)]
        return earned
    return np.clip((marks - criterion.least) / (criterion.full - criterion.least), 0.0, 1.0)


def shares(criteria: Sequence[Criterion], marks: ArrayLike) -> Floats:
    """Shares of full marks, shape (n, c), 0 to 1; NaN where `marks` (n, c) has NaN."""
    import numpy as np

    marks = np.asarray(marks, dtype=float)
    if marks.ndim != 2 or marks.shape[1] != len(criteria):
        raise ValueError("Each seedling needs one place for a mark under every criterion.")
    out = np.empty_like(marks)
    for column, criterion in enumerate(criteria):
        out[:, column] = _shares_of(criterion, marks[:, column])
    return out


def points(criteria: Sequence[Criterion], marks: ArrayLike) -> Points:
    """Points earned, points possible, and what the missing marks could still change.

    Parameters
    ----------
    criteria
        The c criteria of a rubric.
    marks
        Shape (n, c): values as observed, NaN where missing; choices by number (see `mark_of`).

    Raises
    ------
    ValueError
        When no criterion weighs anything, two have one key, or a mark does not fit its scale.
    """
    import numpy as np

    weights = np.array([criterion.weight for criterion in criteria], dtype=float)
    if not weights.sum() > 0:
        raise ValueError("The rubric gives no points: let one criterion weigh something.")
    if len({criterion.key for criterion in criteria}) < len(criteria):
        raise ValueError("Two criteria of the rubric have the same key.")
    earned = shares(criteria, marks) * weights
    judged = ~np.isnan(earned)
    earned = np.where(judged, earned, 0.0)
    groups = tuple(dict.fromkeys(criterion.group for criterion in criteria))
    member = np.array([[criterion.group == group for group in groups] for criterion in criteria])
    group_earned, group_possible = earned @ member, (judged * weights) @ member
    total, possible, full = earned.sum(axis=1), judged @ weights, float(weights.sum())
    return Points(
        full=full,
        earned=total,
        possible=possible,
        percent=_percent(total, possible),
        given=possible / full,
        lowest=total,
        highest=total + (~judged) @ weights,
        groups=groups,
        group_earned=group_earned,
        group_possible=group_possible,
        group_percent=_percent(group_earned, group_possible),
        group_full=weights @ member,
    )


def _percent(part: Floats, whole: Floats) -> Floats:
    import numpy as np

    nothing = np.full(part.shape, math.nan)
    return np.divide(100 * part, whole, out=nothing, where=whole > 0)


def reweighted(criteria: Sequence[Criterion], weights: Mapping[str, float]) -> list[Criterion]:
    """The same criteria with other weights by key, to see what a ranking would become.

    Raises
    ------
    ValueError
        When a weight is below 0, or a key is none of theirs.
    """
    strange = set(weights) - {criterion.key for criterion in criteria}
    if strange:
        raise ValueError(f"The rubric has no criterion {', '.join(sorted(strange))}.")
    return [replace(each, weight=weights.get(each.key, each.weight)) for each in criteria]


def places(values: ArrayLike) -> NDArray[np.int64]:
    """Places of `values` (n,), the highest first: 1, 2, 2, 4; 0 where a value is NaN."""
    import numpy as np

    values = np.asarray(values, dtype=float)
    there = np.sort(values[~np.isnan(values)])
    place = 1 + len(there) - np.searchsorted(there, values, side="right")
    return np.where(np.isnan(values), 0, place)


def judged_on(criteria: Sequence[Criterion], marks: ArrayLike) -> str:
    """What a total of one seedling (`marks` of shape (c,)) rests on, in words.

    "judged on 62 of 100 points; stalk not judged; no mark for substance".
    """
    import numpy as np

    marks = np.asarray(marks, dtype=float)
    counts = points(criteria, marks[None, :])
    weighty = [each for each in criteria if each.weight > 0]
    missing = [
        each for each, mark in zip(criteria, marks, strict=True) if each.weight > 0 and mark != mark
    ]
    if not missing:
        return "judged in full"
    if len(missing) == len(weighty):
        return "not judged"
    whole = [
        group
        for group in dict.fromkeys(each.group for each in missing)
        if all(each in missing for each in weighty if each.group == group)
    ]
    single = [each.title for each in missing if each.group not in whole]
    told = [f"judged on {_number(counts.possible[0])} of {_number(counts.full)} points"]
    if whole:
        told.append(f"{_listed([group.lower() for group in whole])} not judged")
    if single:
        told.append(f"no mark for {_listed([title.lower() for title in single])}")
    return "; ".join(told)


def _number(value: float) -> str:
    return f"{round(float(value), 1):g}"


def _listed(words: Sequence[str]) -> str:
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)
