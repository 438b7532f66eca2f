"""The verbs of scoring: one person's marks of one seedling, kept as they were given."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from django.db.models import Max

from breeding.models import Row
from breeding.records.common import fitting
from evaluation.models import Candidate, Criterion, Mark, Rubric, Scoring
from evaluation.records.candidates import (
    candidate_at,
    candidate_of,
    check_position,
    place_of,
    row_as_it_stands,
    standing,
)
from evaluation.records.deciding import decide_one
from evaluation.records.pictures import attach
from evaluation.stalk import Stalk, parse_stalk
from garden.models import JournalMention, Plant
from garden.verbs import Act, Refused, plural, verb

Marks = Mapping[str, float | None]


@verb
def score(
    act: Act,
    *,
    rubric: Rubric,
    marks: Marks,
    row: Row | None = None,
    position: int | None = None,
    plant: Plant | None = None,
    stalk: str = "",
    note: str = "",
    photo: Any = None,
    verdict: str = "",
    reason: str = "",
    day: date | None = None,
) -> tuple[Scoring, str]:
    """Score the seedling at one position of a row, or a plant of the stock.

    `marks` gives values by the criteria's keys; what is left out or None is not judged. Counts
    that a rubric takes from the stalk follow from `stalk`. A `verdict` is a decision of the same
    day. Every score stands for itself: nobody else's is touched.
    """
    day = act.day(day)
    candidate = _candidate(act, row, position, plant, day)
    rubric = Rubric.objects.get(pk=rubric.pk)
    if rubric.struck:
        raise Refused(f"The rubric {rubric} was struck out.", "rubric")
    counts = _stalk(stalk)
    given = _given(rubric, marks, counts)
    if not given and not stalk.strip() and not note.strip() and not photo:
        raise Refused("Give at least one mark, or write a note.")
    bed, bed_row = place_of(candidate, day)
    scoring = act.make(
        Scoring(
            candidate=candidate,
            rubric=rubric,
            person=act.person,
            day=day,
            season=act.garden.calendar.season(day),
            bed=bed,
            bed_row=bed_row,
            stalk=str(counts) if counts else "",
            note=fitting(note, 1000, "note"),
        )
    )
    for criterion, value in given.items():
        act.make(Mark(scoring=scoring, criterion=criterion, value=value))
    if photo:
        attach(act, candidate, photo, day)
    told, name = [plural(len(given), "mark"), *(["a photo"] if photo else [])], str(candidate)
    if verdict:
        decide_one(act, candidate, verdict, reason, day)
        candidate = standing(candidate)
        lettered = f", now {candidate}" if str(candidate) != name else ""
        told.append(f"{Candidate.Verdict(verdict).label.lower()}{lettered}")
    act.mention(candidate.row, candidate.plant)
    return scoring, f"Scored {name} under {rubric}: {', '.join(told)}"


@verb
def correct_score(
    act: Act,
    *,
    scoring: Scoring,
    marks: Marks,
    reason: str,
    stalk: str = "",
    note: str = "",
    stands: int | None = None,
) -> tuple[Scoring, str]:
    """Correct one's own score, mark by mark; what stood there stays readable in the journal.

    `stands` is the key of the newest line that the corrector saw: one written since is not undone
    unseen.
    """
    scoring = Scoring.objects.select_related("rubric", "candidate__row__cross").get(pk=scoring.pk)
    if scoring.struck:
        raise Refused("This score was struck out.")
    if scoring.person_id != act.person.pk:
        raise Refused(f"{scoring.person} gave this score; nobody else changes it.")
    if not reason.strip():
        raise Refused("Write why it is corrected.", "reason")
    act.reason = fitting(reason, 400, "reason")
    if stands is not None and stands != newest_line(scoring):
        raise Refused("This score was corrected since you opened it: look at it once more.")
    counts = _stalk(stalk)
    given = _given(scoring.rubric, marks, counts)
    if not given and not counts and not note.strip():
        raise Refused("Nothing would be left of it: undo the score instead.")
    changed = act.change(
        scoring, stalk=str(counts) if counts else "", note=fitting(note, 1000, "note")
    )
    for mark in Mark.live.filter(scoring=scoring).select_related("criterion"):
        value = given.pop(mark.criterion, None)
        changed |= act.change(mark, **({"struck": True} if value is None else {"value": value}))
    for criterion, value in given.items():
        act.make(Mark(scoring=scoring, criterion=criterion, value=value))
    if not changed and not given:
        raise Refused("Nothing was changed.")
    act.mention(scoring, scoring.candidate, scoring.candidate.row, scoring.candidate.plant)
    return scoring, f"Corrected the score {scoring}"


def newest_line(scoring: Scoring) -> int:
    """Key of the newest journal line that speaks of a score. A query."""
    spoken = JournalMention.objects.filter(kind=scoring.record_kind, thing_id=scoring.pk)
    return int(spoken.aggregate(newest=Max("line"))["newest"] or 0)


def _candidate(
    act: Act, row: Row | None, position: int | None, plant: Plant | None, day: date
) -> Candidate:
    if plant is not None:
        return standing(candidate_of(act, plant, day))
    if row is None or position is None:
        raise Refused("Say which seedling is scored.", "position")
    row = row_as_it_stands(row)
    check_position(row, position, day)
    return standing(candidate_at(act, row, position, day))


def _stalk(text: str) -> Stalk | None:
    try:
        return parse_stalk(text) if text.strip() else None
    except ValueError as error:
        raise Refused(str(error), "stalk") from None


def _given(rubric: Rubric, marks: Marks, stalk: Stalk | None) -> dict[Criterion, float]:
    """The marks that were given, by criterion; Refused for one that the rubric has not."""
    criteria = {each.key: each for each in Criterion.live.filter(rubric=rubric)}
    if unknown := set(marks) - set(criteria):
        raise Refused(f"{rubric} has no criterion {', '.join(sorted(unknown))}.")
    given = {}
    for key, criterion in criteria.items():
        value = marks.get(key)
        if value is None and criterion.counted and stalk:
            value = counted(criterion, stalk)
        if value is not None:
            given[criterion] = _within(criterion, value)
    return given


def counted(criterion: Criterion, stalk: Stalk) -> int:
    """What a criterion takes from a counted stalk."""
    return {
        Criterion.Counted.BUDS: stalk.buds,
        Criterion.Counted.BRANCHES: len(stalk.branches) + len(stalk.spurs),
        Criterion.Counted.PLACES: stalk.positions,
    }[Criterion.Counted(criterion.counted)]


def _within(criterion: Criterion, value: float) -> float:
    """Refuse a mark that its scale cannot hold."""
    scale, name = criterion.scale, f"mark_{criterion.key}"
    low, high = sorted((criterion.least, criterion.full))
    if scale == Criterion.Scale.CHOICE:
        low, high = 0, len(criterion.choices) - 1
    elif scale == Criterion.Scale.YES_NO:
        low, high = 0, 1
    elif scale in (Criterion.Scale.COUNT, Criterion.Scale.MEASURE):
        # More than full marks asks for is counted as it is.
        low, high = 0, 1000
    if not low <= value <= high:
        raise Refused(f"{criterion} goes from {low:g} to {high:g}.", name)
    if scale != Criterion.Scale.MEASURE and value != int(value):
        raise Refused(f"{criterion} is a whole number.", name)
    return float(value)
