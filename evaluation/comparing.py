"""What is known of one candidate, or of a few side by side: every score kept apart."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from evaluation.choosing import (
    WITH,
    Judged,
    Line,
    bar_of,
    judged_of,
    known_word,
    photos_of,
    scale_of,
)
from evaluation.models import Candidate, Criterion, Decision, Glance, Scoring
from evaluation.sheets import Sheet, sheets_of
from evaluation.stalk import Stalk
from evaluation.stalk.drawing import draw_stalk

if TYPE_CHECKING:
    from evaluation.merit import Merit, Standing
    from evaluation.stalk.blooming import Bloom

SIDE_BY_SIDE = 6
NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
TIMES = ("never", "once", "twice")
GROUPS = dict(Criterion.Group.choices)


@dataclass(slots=True)
class Given:
    """One mark as it was given; `said` '' where that score has none, `asked` if it could have."""

    sheet: Sheet
    said: str
    asked: bool
    share: float | None


@dataclass(slots=True)
class Row:
    """One criterion over all scores: a cell for each score, or for each candidate a list."""

    criterion: Criterion
    cells: list
    # The rubric that asks for it, where the fullest one does not.
    under: str = ""

    @property
    def scale(self) -> str:
        """'0 to 5', 'count', 'cm': what the marks are written in."""
        each = self.criterion
        if each.scale == Criterion.Scale.POINTS:
            low, high = sorted((each.least, each.full))
            return f"{low:g} to {high:g}"
        return each.unit or each.get_scale_display().lower()


@dataclass(slots=True)
class Part:
    """One group of criteria, as 'Plant'."""

    title: str
    rows: list[Row]


@dataclass(slots=True)
class Grown:
    """A counted stalk of one score: how it looks and how long it blooms, reckoned."""

    sheet: Sheet
    stalk: Stalk
    bloom: Bloom

    @property
    def drawn(self) -> str:
        return draw_stalk(self.stalk)


@dataclass(slots=True)
class Told(Line):
    """A candidate with all its scores, decisions and stalks, the newest first."""

    sheets: list[Sheet] = field(default_factory=list)
    decisions: list[Decision] = field(default_factory=list)
    stalks: list[Grown] = field(default_factory=list)

    @property
    def groups(self) -> list[tuple[str, float | None]]:
        """(group in words, percent of its points), of the merit; else of the scores' plain mean."""
        told = self.standing.groups if self.standing else _plain_groups(self.sheets)
        return [(title, told.get(key)) for key, title in GROUPS.items()]

    @property
    def words(self) -> str:
        return merit_words(self.judged, self.standing)


def times(count: int) -> str:
    """'never', 'once', 'twice', 'three times'."""
    return TIMES[count] if count < len(TIMES) else f"{number(count)} times"


def number(count: int) -> str:
    """A count in words, from eleven on in digits."""
    return NUMBERS[count] if count < len(NUMBERS) else str(count)


def merit_words(judged: Judged, standing: Standing | None) -> str:
    """'Judged twice by two people in one season: merit 74, likely between 66 and 82.'"""
    if not judged.scores:
        if standing is None:
            return "Not judged yet."
        return (
            f"Not judged yet; going by its kin merit {standing.merit:.0f}, likely between "
            f"{standing.low:.0f} and {standing.high:.0f}."
        )
    people, seasons = len(judged.people), len(judged.seasons)
    told = (
        f"Judged {times(judged.scores)} by {number(people)} {'person' if people == 1 else 'people'}"
        f" in {number(seasons)} season{'' if seasons == 1 else 's'}"
    )
    if standing is None:
        return f"{told}; no merit is reckoned from it yet."
    return (
        f"{told}: merit {standing.merit:.0f}, likely between {standing.low:.0f} and "
        f"{standing.high:.0f}; {known_word(standing.reliability)}."
    )


def _plain_groups(sheets: Sequence[Sheet]) -> dict[str, float]:
    found: dict[str, list[float]] = defaultdict(list)
    for sheet in sheets:
        for group, percent in sheet.points.groups.items():
            if percent is not None:
                found[group].append(percent)
    return {group: sum(values) / len(values) for group, values in found.items()}


def told_of(keys: Sequence[int], merit: Merit) -> list[Told]:
    """These candidates with all that is known of them, in their order. Nine queries."""
    found = Candidate.live.select_related(*WITH).in_bulk(keys)
    keys = [pk for pk in keys if pk in found]
    judged, photos = judged_of(keys), photos_of(found.values())
    scorings = Scoring.live.filter(candidate__in=keys).select_related("person", "rubric", "bed")
    sheets: dict[int, list[Sheet]] = defaultdict(list)
    for sheet in sheets_of(scorings.order_by("-day", "-id")):
        sheets[sheet.scoring.candidate_id].append(sheet)
    decisions: dict[int, list[Decision]] = defaultdict(list)
    for each in (
        Decision.live.filter(candidate__in=keys).select_related("person").order_by("-day", "-id")
    ):
        decisions[each.candidate_id].append(each)
    standings, scale = merit.standings, scale_of(merit.standings.values())
    return [
        Told(
            candidate=found[pk],
            standing=standings.get(pk),
            judged=judged.get(pk, Judged()),
            bar=bar_of(standings.get(pk), scale),
            photos=photos[pk],
            sheets=sheets[pk],
            decisions=decisions[pk],
            stalks=stalks_of(sheets[pk]),
        )
        for pk in keys
    ]


def stalks_of(sheets: Iterable[Sheet]) -> list[Grown]:
    """The counted stalks, each with its days of bloom."""
    # The simulation and its library are loaded when the first counted stalk is shown.
    from evaluation.stalk.blooming import bloom_days

    counted = [sheet for sheet in sheets if sheet.stalk and sheet.stalk.buds]
    return [Grown(sheet, sheet.stalk, bloom_days(sheet.stalk)) for sheet in counted]


def criteria_of(sheets: Iterable[Sheet]) -> list[Criterion]:
    """The criteria of all these scores, each key once, group by group, the fullest rubric first."""
    by_rubric: dict[int, list[Criterion]] = {}
    for sheet in sheets:
        by_rubric.setdefault(sheet.scoring.rubric_id, [line.criterion for line in sheet.lines])
    found: dict[str, Criterion] = {}
    for criteria in sorted(by_rubric.values(), key=len, reverse=True):
        for each in criteria:
            found.setdefault(each.key, each)
    order = list(GROUPS)
    return sorted(found.values(), key=lambda each: order.index(each.group))


def given(sheet: Sheet, key: str) -> Given:
    """What one score says of a criterion."""
    line = next((line for line in sheet.lines if line.criterion.key == key), None)
    if line is None:
        return Given(sheet, "", False, None)
    return Given(sheet, line.said, True, line.share)


def parts_of(told: Told) -> list[Part]:
    """Criteria down, this candidate's scores across."""
    return _parts(told.sheets, lambda key: [given(sheet, key) for sheet in told.sheets])


def parts_side_by_side(all_told: Sequence[Told]) -> list[Part]:
    """Criteria down, candidates across; each cell holds the marks given, score by score."""
    sheets = [sheet for told in all_told for sheet in told.sheets]
    return _parts(
        sheets,
        lambda key: [
            [mark for sheet in told.sheets if (mark := given(sheet, key)).said] for told in all_told
        ],
    )


def _parts(sheets: Iterable[Sheet], cells_of: object) -> list[Part]:
    parts: dict[str, Part] = {}
    sheets = list(sheets)
    fullest = max(sheets, key=lambda sheet: len(sheet.lines), default=None)
    names = {sheet.scoring.rubric_id: sheet.scoring.rubric.name for sheet in sheets}
    for criterion in criteria_of(sheets):
        part = parts.setdefault(criterion.group, Part(GROUPS[criterion.group], []))
        name = names[criterion.rubric_id]
        under = "" if name == fullest.scoring.rubric.name else name
        part.rows.append(Row(criterion, cells_of(criterion.key), under))
    return list(parts.values())


def sibs_of(candidate: Candidate, merit: Merit, most: int = SIDE_BY_SIDE - 1) -> list[int]:
    """The best judged of the same cross, to be laid beside it. One query."""
    if candidate.row_id is None:
        return []
    sibs = Candidate.live.filter(row__cross=candidate.row.cross_id, scores__gt=0)
    sibs = sibs.exclude(pk=candidate.pk).exclude(verdict=Candidate.Verdict.DISCARD)
    known = merit.standings
    ordered = sorted(
        sibs.values_list("pk", flat=True),
        key=lambda pk: (-known[pk].merit if pk in known else 0.0, pk),
    )
    return ordered[:most]


def looks_of(candidate: Candidate) -> list[Glance]:
    """What look-overs found at its position, the newest first. At most one query."""
    if candidate.row_id is None:
        return []
    looks = Glance.live.filter(look_over__row=candidate.row_id, position=candidate.position)
    return list(looks.select_related("look_over__person").order_by("-day", "-id"))
