"""What the spade is to do: position by position from looks, scores, decisions and places."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date
from itertools import groupby

from breeding.models import Row
from evaluation.models import Candidate, ClearOut, Glance, Mark, Seedling
from evaluation.spadework import Fate, SpadeBed, SpadeRow, Spot, Stray
from evaluation.spans import positions_in
from garden.models import Placing, Plant

Verdict = Candidate.Verdict
# After so many seasons of 'nothing' a seedling nobody asked for may go; 0 is none ever does.
SEASONS = (0, 1, 2)
NOT_SEEN = Spot(0, Fate.WAIT, "not looked at")
# A count of increases, in whichever rubric it stands.
INCREASES = "increase"


@dataclass
class Seen:
    """What the look-overs say of one position."""

    gone: bool = False
    # Nothing but 'nothing' was ever said.
    plain: bool = True
    called: bool = False
    seasons: set[int] = field(default_factory=set)


@dataclass
class Known:
    """What is known of one row, by position."""

    seen: dict[int, Seen] = field(default_factory=lambda: defaultdict(Seen))
    dug: set[int] = field(default_factory=set)
    verdicts: dict[int, str] = field(default_factory=dict)
    scored: set[int] = field(default_factory=set)
    # Called or scored after the decision.
    seen_since: set[int] = field(default_factory=set)
    # Position -> (code, plant).
    selected: dict[int, tuple[str, int]] = field(default_factory=dict)

    def gone(self, position: int) -> bool:
        return position in self.dug or (position in self.seen and self.seen[position].gone)


def standing_rows() -> Iterable[Row]:
    return (
        Row.live.filter(closed_on=None)
        .select_related("bed", "cross")
        .order_by("bed__folded", "bed", "row", "first")
    )


def known_of(rows: Sequence[Row]) -> tuple[dict[int, Known], set[int]]:
    """By the key of each row what is known of it; and the plants with a place. Five queries."""
    known: dict[int, Known] = defaultdict(Known)
    keys = [row.pk for row in rows]
    looks = Glance.live.filter(look_over__row__in=keys).order_by("day", "id")
    for key, position, found, season in looks.values_list(
        "look_over__row", "position", "found", "look_over__season"
    ):
        _see(known[key].seen[position], found, season)
    for key, dug in ClearOut.live.filter(row__in=keys).values_list("row", "positions"):
        known[key].dug |= positions_in(dug)
    judged = Candidate.live.filter(row__in=keys)
    columns = ("row", "position", "verdict", "scores", "decided_on", "seen_on")
    for key, position, verdict, scores, decided, seen in judged.values_list(*columns):
        known[key].verdicts[position] = verdict
        if decided and seen and seen > decided:
            known[key].seen_since.add(position)
        if scores:
            known[key].scored.add(position)
    chosen = Seedling.live.filter(row__in=keys)
    for key, position, code, plant in chosen.values_list("row", "position", "code", "plant"):
        known[key].selected[position] = (code, plant)
    plants = [plant for each in known.values() for _, plant in each.selected.values()]
    placed = Placing.live.filter(plant__in=plants, until=None).values_list("plant", flat=True)
    return known, set(placed)


def _see(seen: Seen, found: str, season: int) -> None:
    seen.gone = found in Glance.ABSENT
    seen.called |= found == Glance.Found.AGAIN
    if found == Glance.Found.NOTHING:
        seen.seasons.add(season)
    else:
        seen.plain = False


def spot_of(known: Known, placed: set[int], position: int, passed: int) -> Spot:
    """The fate of one position; `passed` seasons of nothing let it go, 0: only a decision does."""
    code, plant = known.selected.get(position, ("", 0))
    if known.gone(position):
        return Spot(position, Fate.GONE)
    if plant in placed:
        return Spot(position, Fate.MOVED, code)
    verdict = known.verdicts.get(position, "")
    if verdict == Verdict.DISCARD:
        # Somebody asked for it once more, or scored it: the spade waits for another word.
        since = position in known.seen_since
        return Spot(position, Fate.LEAVE, "seen since") if since else Spot(position, Fate.DIG)
    if code or verdict:
        word = Verdict(verdict).label.lower() if verdict else "selected"
        return Spot(position, Fate.LEAVE, f"{code}, {word}" if code else word)
    seen = known.seen.get(position)
    if position in known.scored or (seen and seen.called):
        return Spot(position, Fate.LEAVE, "undecided")
    if seen is None:
        return Spot(position, Fate.WAIT, NOT_SEEN.told)
    if passed and seen.plain and len(seen.seasons) >= passed:
        return Spot(position, Fate.DIG)
    return Spot(position, Fate.WAIT, "passed over")


def spade_rows(rows: Sequence[Row], passed: int) -> list[SpadeRow]:
    """Rows as the spade reads them. Five queries, however many rows and positions."""
    known, placed = known_of(rows)
    return [
        SpadeRow(
            row.pk,
            row.row,
            row.cross.code,
            tuple(
                spot_of(known[row.pk], placed, position, passed)
                for position in range(row.first, row.last + 1)
            ),
        )
        for row in rows
    ]


def beds_to_clear(passed: int) -> list[SpadeBed]:
    """Beds with the rows where there is something to dig, or nothing left. Six queries."""
    rows = list(standing_rows())
    found = zip(rows, spade_rows(rows, passed), strict=True)
    beds = []
    for bed, pairs in groupby(found, key=lambda pair: pair[0].bed):
        spaded = [spaded for _, spaded in pairs]
        listed = tuple(row for row in spaded if row.dig or row.empty)
        beds.append(SpadeBed(bed.pk, bed.name, listed, len(spaded) - len(listed)))
    return beds


def strays() -> list[Stray]:
    """Plants discarded after they were moved out of their rows, by where they stand. One query."""
    placed = Placing.live.filter(
        until=None,
        plant__struck=False,
        plant__status=Plant.Status.GROWING,
        plant__candidates__struck=False,
        plant__candidates__verdict=Verdict.DISCARD,
    )
    return [
        Stray(each.plant_id, str(each.plant), str(each))
        for each in placed.select_related("plant", "bed").order_by("bed__folded", "position", "pk")
    ]


@dataclass(frozen=True)
class Reset:
    """A seedling that is kept and still stands where it was lined out."""

    seedling: Seedling
    verdict: str
    decided_on: date
    # How many, and the day of the score that counted them; None where nobody did.
    increases: int | None = None
    counted_on: date | None = None


def resets() -> list[Reset]:
    """What is kept or used as a parent and has no place of its own yet, as it stands in the rows.

    Selected seedlings of which nothing was decided since are among them. Eight queries.
    """
    chosen = (
        Seedling.live.filter(row__closed_on=None, plant__status=Plant.Status.GROWING)
        .exclude(plant__placings__in=Placing.live.filter(until=None))
        .select_related("plant", "row__bed", "row__cross")
        .order_by("row__bed__folded", "row__bed", "row__row", "row__first", "position")
    )
    chosen = list(chosen)
    known, _ = known_of(list({each.row_id: each.row for each in chosen}.values()))
    judged = Candidate.live.filter(row__in=known, plant__in=[each.plant_id for each in chosen])
    decided = {each.plant_id: each for each in judged}
    counts = _increases(decided.values())
    found = []
    for each in chosen:
        candidate = decided.get(each.plant_id)
        verdict = candidate.verdict if candidate else ""
        stays = verdict in ("", *Candidate.STAYS)
        if stays and not known[each.row_id].gone(each.position):
            word = Verdict(verdict).label if verdict else "Selected"
            day = candidate.decided_on if verdict else each.selected_on
            found.append(Reset(each, word, day, *counts.get(each.plant_id, (None, None))))
    return found


def _increases(candidates: Iterable[Candidate]) -> dict[int, tuple[int, date]]:
    """By plant the newest count of increases and its day. One query."""
    plants = {each.pk: each.plant_id for each in candidates}
    marks = Mark.live.filter(
        scoring__candidate__in=plants, scoring__struck=False,
        criterion__key=INCREASES, criterion__scale="count",
    ).order_by("scoring__day", "pk")  # fmt: skip
    return {
        plants[candidate]: (round(value), day)
        for candidate, value, day in marks.values_list(
            "scoring__candidate", "value", "scoring__day"
        )
    }
