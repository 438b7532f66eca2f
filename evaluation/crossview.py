"""The cross behind its seedlings: what came of it, beside its parents' other crosses."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from statistics import fmean, stdev
from typing import TYPE_CHECKING

from django.db.models import Q

from breeding.models import Cross
from evaluation.choosing import photos_of
from evaluation.models import Candidate, Glance
from evaluation.ranking.proportion import Proportion, wilson
from evaluation.spreadplot import Strip, spread_svg
from garden.models import Photo

if TYPE_CHECKING:
    from evaluation.merit import Merit, Standing

Verdict = Candidate.Verdict
# From so many on, a share and a spread say something.
LEAST_JUDGED, LEAST_SCORED = 10, 5
MOST_CROSSES, MOST_CHILDREN, MOST_STRIPS = 40, 120, 8
STANDING_LOOKS = (Glance.Found.NOTHING, Glance.Found.AGAIN)
# The order of the sheet: what stays, what is open, what goes.
ORDER = {Verdict.KEEP: 0, Verdict.PARENT: 0, Verdict.WATCH: 1, "": 2, Verdict.DISCARD: 3}


@dataclass(frozen=True, slots=True)
class Child:
    """One judged seedling of the cross, with its newest photo and what its scores say."""

    candidate: Candidate
    photo: Photo | None
    standing: Standing | None

    @property
    def verdict(self) -> str:
        """'Keep', …; of an undecided one how far it came."""
        one = self.candidate
        if one.verdict:
            return one.get_verdict_display()
        return "Selected" if one.plant_id else "Undecided"

    @property
    def sign(self) -> str:
        """What stands where no flower can: its letter, else its position."""
        letter = str(self.candidate.plant or "").removeprefix(self.candidate.row.cross.code)
        return letter if 0 < len(letter) <= 4 else str(self.candidate.position)

    @property
    def bare(self) -> bool:
        """Whether nothing is to be shown of it but that it was discarded."""
        seen = self.photo or self.standing or self.candidate.plant_id
        return self.candidate.verdict == Verdict.DISCARD and not seen


@dataclass
class Outcome:
    """What came of one cross. `points` are means of the scores as given, `merits` predicted, both
    of its scored seedlings in points of 100."""

    cross: Cross
    called: int = 0
    scored: int = 0
    kept: int = 0
    judged: int = 0
    points: list[float] = field(default_factory=list)
    merits: list[float] = field(default_factory=list)

    @property
    def share_kept(self) -> Proportion | None:
        """Of the seedlings that were judged, how many stay, with its 95 % interval; None where
        they are too few to tell."""
        return wilson(self.kept, self.judged) if self.judged >= LEAST_JUDGED else None

    @property
    def enough(self) -> bool:
        """Whether there are enough scored seedlings for a mean and a spread."""
        return len(self.points) >= LEAST_SCORED

    @property
    def mean(self) -> float:
        return fmean(self.points)

    @property
    def spread(self) -> float:
        """Standard deviation of the points."""
        return stdev(self.points)

    @property
    def low(self) -> float:
        return min(self.points)

    @property
    def high(self) -> float:
        return max(self.points)

    @property
    def merit(self) -> float:
        return fmean(self.merits)


def children_of(cross: Cross, merit: Merit) -> list[Child]:
    """The judged seedlings of a cross: what stays first, the best first. Three queries."""
    judged = Candidate.live.filter(row__cross=cross).select_related("plant", "row__cross")

    def place(one: Candidate) -> tuple[float, ...]:
        standing = merit.standings.get(one.pk) if one.scores else None
        return ORDER[one.verdict], -(standing.merit if standing else 0), one.row_id, one.position

    shown = sorted(judged, key=place)[:MOST_CHILDREN]
    photos = photos_of(shown)
    return [
        Child(
            one,
            next(iter(photos.get(one.pk, ())), None),
            merit.standings.get(one.pk) if one.scores else None,
        )
        for one in shown
    ]


def outcomes(crosses: Iterable[Cross], merit: Merit) -> list[Outcome]:
    """What came of each of some crosses. Two queries, however many seedlings there are.

    Judged is a seedling that was seen in a look-over, scored, selected or decided about. It stays
    when it is to be kept or used as a parent, or was selected and nothing was decided since.
    """
    found = {cross.pk: Outcome(cross) for cross in crosses}
    seen: dict[int, set[tuple[int, int]]] = defaultdict(set)
    called: dict[int, set[tuple[int, int]]] = defaultdict(set)
    looks = Glance.live.filter(look_over__row__cross__in=found, found__in=STANDING_LOOKS)
    columns = ("look_over__row__cross", "look_over__row", "position", "found")
    for cross, row, position, word in looks.order_by().values_list(*columns).distinct():
        seen[cross].add((row, position))
        if word == Glance.Found.AGAIN:
            called[cross].add((row, position))
    for one in Candidate.live.filter(row__cross__in=found).select_related("row"):
        cross = one.row.cross_id
        if one.scores or one.verdict or one.plant_id:
            seen[cross].add((one.row_id, one.position))
        _add(found[cross], one, merit.standings.get(one.pk))
    for pk, outcome in found.items():
        outcome.judged, outcome.called = len(seen[pk]), len(called[pk])
    return list(found.values())


def _add(outcome: Outcome, one: Candidate, standing: Standing | None) -> None:
    outcome.kept += one.verdict in Candidate.STAYS or (bool(one.plant_id) and not one.verdict)
    outcome.scored += one.scores > 0
    if one.scores and standing and standing.plain is not None:
        outcome.points.append(standing.plain)
        outcome.merits.append(standing.merit)


def others_of_parents(cross: Cross) -> list[Cross]:
    """The newest crosses of either parent of which seedlings were lined out. A query."""
    parents = [each for each in (cross.seed_parent_id, cross.pollen_parent_id) if each]
    shared = Q(seed_parent__in=parents) | Q(pollen_parent__in=parents)
    others = Cross.live.filter(shared, lined_out__gt=0).exclude(pk=cross.pk)
    others = others.select_related("seed_parent", "pollen_parent")
    return list(others.order_by("-season", "-number")[:MOST_CROSSES])


def spread_of(found: Sequence[Outcome]) -> str:
    """The points of the first cross as dots, with those of the others that were scored most
    below; '' where the first has too few."""
    if not found[0].enough:
        return ""
    others = sorted((one for one in found[1:] if one.enough), key=lambda one: -len(one.points))
    shown = {one.cross.pk for one in others[:MOST_STRIPS]}
    strips = [
        Strip(one.cross.code, tuple(one.points))
        for one in found
        if one is found[0] or one.cross.pk in shown
    ]
    return spread_svg(strips)
