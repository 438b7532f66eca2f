"""All scores laid on one yardstick: the marks as given, weighed by the newest version's weights."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from evaluation.models import Criterion, Mark, Rubric, Scoring
from evaluation.ranking.points import Criterion as Scale
from evaluation.ranking.points import points, reweighted, shares
from evaluation.sheets import scale_of

if TYPE_CHECKING:
    import numpy as np

# A score of so many marks or more is a full one.
FULL_MARKS = 10
# Beneath this share of the weights nothing was judged that counts.
NEXT_TO_NOTHING = 1e-6
COLUMNS = ("pk", "candidate", "person", "season", "bed", "bed_row", "rubric")


@dataclass(frozen=True)
class Yardstick:
    """n scores side by side; arrays have shape (n,), `group_percent` (n, groups).

    `percent` is of the points that were judged, `given` the judged share of all points (0 to 1);
    `rubric` the key of the newest version of the one it was given under; `weight` how much of a
    full score it is: the share judged, less for a rubric that asks for few marks.
    Scores in which nothing was judged are left out.
    """

    scoring: np.ndarray
    candidate: np.ndarray
    person: np.ndarray
    season: np.ndarray
    rubric: np.ndarray
    places: list[tuple[int | None, int | None]]
    percent: np.ndarray
    given: np.ndarray
    weight: np.ndarray
    groups: tuple[str, ...]
    group_percent: np.ndarray

    def __len__(self) -> int:
        return len(self.scoring)


@dataclass(frozen=True)
class Lineage:
    """The versions of one rubric: criteria by key, and the newest version, which weighs."""

    newest: int
    scales: list[Scale]
    versions: dict[int, list[Scale]]


def lineages() -> dict[int, Lineage]:
    """By the key of each version, the lineage that it belongs to. Two queries."""
    rubrics = list(Rubric.objects.order_by("version"))
    scales: dict[int, list[Scale]] = defaultdict(list)
    for each in Criterion.objects.order_by("rubric", "order"):
        scales[each.rubric_id].append(scale_of(each))
    families: dict[str, list[Rubric]] = defaultdict(list)
    for rubric in rubrics:
        families[rubric.name].append(rubric)
    found = {}
    for family in families.values():
        standing = [each for each in family if not each.struck] or family
        newest = standing[-1].pk
        family_of = Lineage(newest, scales[newest], {each.pk: scales[each.pk] for each in family})
        found |= {each.pk: family_of for each in family}
    return found


def yardstick(
    weights: Mapping[str, float] | None = None, rubric: Rubric | None = None
) -> Yardstick:
    """Every score of the garden. `weights` by key try out other weights for one `rubric`.

    Notes
    -----
    Marks are shares of full marks under the version in which they were given; the newest version
    of the same rubric weighs them, so that an old score and a new one are measured alike. Marks of
    a criterion that the newest version has not are left out. Four queries; grows with the marks.
    """
    import numpy as np

    families = lineages()
    scores = list(Scoring.live.filter(candidate__struck=False).order_by("pk").values_list(*COLUMNS))
    marks: dict[int, dict[str, float]] = defaultdict(dict)
    given_marks = Mark.live.values_list("scoring", "criterion__key", "value")
    for scoring, key, value in given_marks:
        marks[scoring][key] = value
    groups = tuple(Criterion.Group.values)
    percent, given = np.full(len(scores), np.nan), np.zeros(len(scores))
    full = np.ones(len(scores))
    by_group = np.full((len(scores), len(groups)), np.nan)
    for version, at in _by_version(scores).items():
        family = families[version]
        new = family.scales
        if weights and rubric is not None and rubric.pk in family.versions:
            new = reweighted(new, {k: w for k, w in weights.items() if k in {s.key for s in new}})
        told = _weigh(family.versions[version], new, [marks[scores[row][0]] for row in at])
        percent[at], given[at] = told.percent, told.given
        # An assumption: the chance in a score shrinks with the number of its marks.
        full[at] = min(1.0, len(new) / FULL_MARKS)
        for column, group in enumerate(told.groups):
            by_group[at, groups.index(group)] = told.group_percent[:, column]
    judged = given > NEXT_TO_NOTHING
    picked = [row for row, there in zip(scores, judged, strict=True) if there]
    columns = [(*row[:4], families[row[6]].newest) for row in picked]
    return Yardstick(
        *np.array(columns, dtype=np.int64).reshape(-1, 5).T,
        [(row[4], row[5]) for row in picked],
        percent[judged],
        given[judged],
        (given * full)[judged],
        groups,
        by_group[judged],
    )


def _by_version(scores: list[tuple]) -> dict[int, list[int]]:
    found: dict[int, list[int]] = defaultdict(list)
    for at, row in enumerate(scores):
        found[row[6]].append(at)
    return found


def _weigh(old: list[Scale], new: list[Scale], marks: list[dict[str, float]]) -> object:
    """Points of marks given under `old` criteria by the weights of the `new` ones."""
    import numpy as np

    there = [[row.get(each.key, np.nan) for each in old] for row in marks]
    earned = shares(old, np.array(there, dtype=float).reshape(len(marks), len(old)))
    columns = {each.key: at for at, each in enumerate(old)}
    lined = np.full((len(marks), len(new)), np.nan)
    for at, each in enumerate(new):
        if each.key in columns:
            lined[:, at] = earned[:, columns[each.key]]
    as_shares = [Scale(each.key, each.group, each.title, each.weight) for each in new]
    return points(as_shares, lined)
