"""What the sheet for a walk along a row shows, gathered from the record."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from typing import Any

from breeding.models import Row
from breeding.pages.sheetwords import pollen_of, recipe_of
from breeding.paper.walksheet import Marked, Stop, Walk, WalkStretch
from evaluation.models import Candidate, Criterion, Glance, Rubric, Scoring, Seedling
from evaluation.records.candidates import gone_of
from evaluation.sheets import sheets_of
from evaluation.spans import spans, spans_text
from garden.models import Bed
from garden.verbs import written

Place = tuple[int, int]
Said = dict[Place, list[tuple[int, str]]]


def walk_of(bed: Bed, number: int, rows: Sequence[Row]) -> Walk:
    """The sheet for stretches of a row of a bed, in their order. Ten queries at most."""
    rubric = Rubric.live.filter(purpose=Rubric.Purpose.FIRST_WALK, replaced_by=None)
    newest = rubric.order_by("-pk").first()
    criteria = Criterion.objects.filter(rubric=newest).order_by("order") if newest else ()
    said, gone = said_before(rows), gone_of(rows)
    codes = {
        (row, at): code
        for row, at, code in Seedling.live.filter(row__in=rows).values_list(
            "row", "position", "code"
        )
    }
    return Walk(
        bed.name,
        number,
        tuple(_stretch(row, gone[row.pk], said, codes) for row in rows),
        newest.name if newest else "",
        tuple(_marked(each) for each in criteria),
    )


def rows_along(bed: Bed, number: int) -> list[Row]:
    """The stretches of a row of a bed that stand. One query."""
    rows = Row.live.filter(bed=bed, row=number, closed_on=None).order_by("first")
    return list(rows.select_related("cross__seed_parent", "cross__pollen_parent"))


def _stretch(
    row: Row, gone: set[int], said: dict[Place, str], codes: dict[Place, str]
) -> WalkStretch:
    cross = row.cross
    return WalkStretch(
        cross=cross.code,
        seed=cross.seed_parent.label,
        pollen=pollen_of(cross),
        first=row.first,
        last=row.last,
        lined_out=written(row.lined_out_on),
        stops=tuple(
            Stop(at, codes.get((row.pk, at), ""), said.get((row.pk, at), ""))
            for at in range(row.first, row.last + 1)
            if at not in gone
        ),
        gone=spans_text(spans(gone)),
        seed_flower=recipe_of(cross.seed_parent),
        pollen_flower=recipe_of(cross.pollen_parent),
    )


def said_before(rows: Sequence[Row]) -> dict[Place, str]:
    """By row and position, what stands decided and what its newest season said. Five queries."""
    told: Said = defaultdict(list)
    _looks(rows, told)
    _scores(rows, told)
    decided = Candidate.live.filter(row__in=rows).exclude(verdict="")
    verdicts = {(each.row_id, each.position): each.get_verdict_display() for each in decided}
    found = {}
    for place in {*told, *verdicts}:
        newest = max((season for season, _ in told[place]), default=0)
        words = [text for season, text in told[place] if season == newest]
        said = f"{newest}: {'; '.join(words)}" if words else ""
        found[place] = ". ".join(each for each in (verdicts.get(place, ""), said) if each)
    return found


def _looks(rows: Sequence[Row], told: Said) -> None:
    looks = Glance.live.filter(look_over__row__in=rows, look_over__struck=False)
    looks = looks.select_related("look_over").order_by("day", "pk")
    for look in looks:
        told[look.look_over.row_id, look.position].append(
            (look.look_over.season, _with(look.get_found_display().lower(), look.note))
        )


def _scores(rows: Sequence[Row], told: Said) -> None:
    given = Scoring.live.filter(candidate__row__in=rows, candidate__struck=False)
    given = given.select_related("candidate", "person").order_by("day", "pk")
    for sheet in sheets_of(given):
        one, percent = sheet.scoring, sheet.points.percent
        points = f"{percent:.0f} of 100" if percent is not None else "no marks"
        place = one.candidate.row_id, one.candidate.position
        told[place].append((one.season, _with(f"{points} ({one.person})", one.note)))


def _with(word: str, note: str) -> str:
    return f"{word}, {note}" if note else word


def _marked(criterion: Criterion) -> Marked:
    return Marked(criterion.title, _scale(criterion), _words(criterion))


def _scale(criterion: Criterion) -> str:
    """How a mark is written into its box."""
    if criterion.scale == Criterion.Scale.CHOICE:
        return f"1–{len(criterion.choices)}"
    if criterion.scale == Criterion.Scale.YES_NO:
        return "y/n"
    if criterion.scale == Criterion.Scale.POINTS:
        low, high = sorted((criterion.least, criterion.full))
        return f"{low:g}–{high:g}"
    return criterion.unit or "count"


def _words(criterion: Criterion) -> str:
    if criterion.scale != Criterion.Scale.CHOICE:
        return criterion.full_words
    choices: list[Any] = criterion.choices
    return ", ".join(f"{at} {word.lower()}" for at, (word, _) in enumerate(choices, 1))
