"""The verbs of choosing: decisions, and what the spade took."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

from breeding.models import Row
from breeding.records.common import fitting
from evaluation.models import Candidate, ClearOut, Decision, Seedling
from evaluation.records.candidates import (
    candidate_at,
    candidate_of,
    check_position,
    gone_from,
    refuse_dug,
    row_as_it_stands,
    standing,
)
from evaluation.records.selecting import give_letter
from evaluation.spans import spans, spans_text
from garden.models import Plant
from garden.verbs import Act, Refused, plural, verb, written

Verdict = Candidate.Verdict
# Who stays, and whoever is watched, is not dug.
WANTED = (*Candidate.STAYS, Verdict.WATCH)
MOST_AT_ONCE = 500


@verb
def decide(
    act: Act,
    *,
    candidates: Sequence[Candidate],
    verdict: str,
    reason: str = "",
    day: date | None = None,
) -> tuple[Candidate, str]:
    """Decide what is to become of one candidate or of many; each keeps its own day and reason.

    A seedling of a row that is kept or used as parent gets its letter and becomes a plant.
    """
    day = act.day(day)
    if not candidates:
        raise Refused("Choose at least one seedling.", "candidates")
    if len(candidates) > MOST_AT_ONCE:
        raise Refused(f"At most {MOST_AT_ONCE} at once: choose fewer.")
    chosen = [standing(each) for each in {each.pk: each for each in candidates}.values()]
    for candidate in chosen:
        decide_one(act, candidate, verdict, reason, day)
        act.mention(candidate.row, candidate.plant)
    word = Verdict(verdict).label
    named = str(standing(chosen[0])) if len(chosen) == 1 else plural(len(chosen), "seedling")
    return chosen[0], f"{word}: {named}{f', {reason.strip()}' if reason.strip() else ''}"[:400]


@verb
def decide_at(
    act: Act,
    *,
    verdict: str,
    row: Row | None = None,
    position: int | None = None,
    plant: Plant | None = None,
    reason: str = "",
    day: date | None = None,
) -> tuple[Candidate, str]:
    """Decide about the seedling at a position, or a plant, whether or not it was noted before."""
    day = act.day(day)
    if plant is not None:
        candidate = standing(candidate_of(act, plant, day))
    elif row is None or position is None:
        raise Refused("Say which seedling it is.", "position")
    else:
        row = row_as_it_stands(row)
        check_position(row, position, day, blooming=verdict != Verdict.DISCARD)
        candidate = standing(candidate_at(act, row, position, day))
    decide_one(act, candidate, verdict, reason, day)
    act.mention(candidate.row, candidate.plant)
    return candidate, f"{Verdict(verdict).label}: {standing(candidate)}"


def decide_one(act: Act, candidate: Candidate, verdict: str, reason: str, day: date) -> Decision:
    """Write one decision down, and give the seedling its letter when it stays."""
    if verdict not in Verdict.values:
        raise Refused("Choose what is to become of it.", "verdict")
    reason = fitting(reason, 400, "reason")
    if candidate.row_id and day < candidate.row.lined_out_on:
        raise Refused(f"It was lined out on {written(candidate.row.lined_out_on)}.", "day")
    if candidate.row_id and not candidate.plant_id and verdict != Verdict.DISCARD:
        refuse_dug(candidate.row, candidate.position, day)
    if verdict in Candidate.STAYS and candidate.row_id and not candidate.plant_id:
        give_letter(act, candidate, reason, day)
    return act.make(
        Decision(candidate=candidate, person=act.person, day=day, verdict=verdict, reason=reason)
    )


@verb
def clear_out(
    act: Act,
    *,
    row: Row,
    positions: Iterable[int],
    reason: str = "",
    day: date | None = None,
) -> tuple[ClearOut, str]:
    """Note that positions of a row were dug out; refused where a kept seedling still stands."""
    row, day = row_as_it_stands(row), act.day(day)
    chosen = sorted(set(positions))
    if not chosen:
        raise Refused("Choose the positions that were dug.", "positions")
    for position in (chosen[0], chosen[-1]):
        check_position(row, position, day, blooming=False)
    _refuse_kept(row, chosen)
    if already := gone_from(row) & set(chosen):
        raise Refused(f"Nothing stands any more at {spans_text(spans(already))}.", "positions")
    dug = act.make(
        ClearOut(
            row=row,
            day=day,
            positions=[list(span) for span in spans(chosen)],
            reason=fitting(reason, 200, "reason"),
        )
    )
    act.mention(row, row.cross)
    return dug, f"Dug out {plural(len(chosen), 'seedling')} of {row}: {spans_text(spans(chosen))}"


def _refuse_kept(row: Row, positions: list[int]) -> None:
    """What is kept is not dug unless it was discarded, or stands elsewhere by now."""
    verdicts = dict(Candidate.live.filter(row=row).values_list("position", "verdict"))
    plain = Candidate.live.filter(row=row, plant=None, verdict__in=WANTED, position__in=positions)
    if kept := plain.first():
        raise Refused(f"{kept} was decided: {kept.get_verdict_display().lower()}; it is to stay.")
    within = Seedling.live.filter(row=row, position__range=(positions[0], positions[-1]))
    for seedling in within.select_related("plant"):
        stays = verdicts.get(seedling.position) != Verdict.DISCARD
        if seedling.position in positions and stays and not _moved(seedling.plant):
            raise Refused(f"{seedling} stands at position {seedling.position} and is to stay.")


def _moved(plant: Plant) -> bool:
    """Whether a plant has a place of its own outside the row. A query."""
    return plant.placings.filter(struck=False, until=None).exists()
