"""What the verbs of judging share: the candidate at a position, where it stands, which days fit."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from breeding.models import Row
from evaluation.models import Candidate, ClearOut, Glance, Seedling
from evaluation.spans import positions_in
from garden.calendar import REST_BEFORE_FIRST_BLOOM
from garden.models import Bed, Placing, Plant
from garden.verbs import Act, Refused, written


def row_as_it_stands(row: Row) -> Row:
    """The row read again with its cross and bed; Refused when it was struck out."""
    row = Row.objects.select_related("cross__seed_parent", "cross__pollen_parent", "bed").get(
        pk=row.pk
    )
    if row.struck:
        raise Refused("This row was struck out.")
    return row


def check_position(row: Row, position: int, day: date, blooming: bool = True) -> None:
    """Refuse a position that the row has not, and a day on which nothing bloomed there."""
    if row.closed_on and day > row.closed_on:
        raise Refused(f"{row} was put away on {written(row.closed_on)}.", "day")
    if not row.holds(position):
        raise Refused(f"{row} has no position {position}.", "position")
    # A seedling has to flower before anybody can choose it.
    if blooming and day < row.lined_out_on + REST_BEFORE_FIRST_BLOOM:
        raise Refused(
            f"Lined out on {written(row.lined_out_on)}, it cannot have bloomed by {written(day)}.",
            "day",
        )
    if day < row.lined_out_on:
        raise Refused(f"{row} was lined out on {written(row.lined_out_on)}.", "day")
    if blooming:
        refuse_dug(row, position, day)


def refuse_dug(row: Row, position: int, day: date) -> None:
    """Refuse a position that was dug out by that day, and whose seedling stands nowhere else."""
    if Seedling.live.filter(row=row, position=position).exists():
        return
    for dug in ClearOut.live.filter(row=row, day__lte=day):
        if position in positions_in(dug.positions):
            raise Refused(
                f"Position {position} was dug out on {written(dug.day)}; undo that if it was not.",
                "position",
            )


def candidate_at(act: Act, row: Row, position: int, day: date) -> Candidate:
    """The candidate at a position of a row, made when nobody has noted it yet."""
    found = Candidate.live.filter(row=row, position=position).first()
    if found:
        act.written.append(found)
        return found
    selected = Seedling.live.filter(row=row, position=position).first()
    plant = selected.plant if selected else None
    return act.make(Candidate(row=row, position=position, plant=plant, noted_on=day))


def candidate_of(act: Act, plant: Plant, day: date) -> Candidate:
    """The candidate that a plant of the stock is; of a selected seedling, the one of its row."""
    plant = Plant.objects.get(pk=plant.pk)
    if plant.struck:
        raise Refused(f"{plant} was struck out of the stock.")
    found = Candidate.live.filter(plant=plant).first()
    if found:
        act.written.append(found)
        return found
    if origin := Seedling.live.filter(plant=plant).select_related("row").first():
        return candidate_at(act, origin.row, origin.position, day)
    return act.make(Candidate(plant=plant, noted_on=day))


def standing(candidate: Candidate) -> Candidate:
    """The candidate read again; Refused when it was struck out."""
    fresh = Candidate.objects.select_related("row__cross", "row__bed", "plant").get(pk=candidate.pk)
    if fresh.struck:
        raise Refused("This seedling was struck out.")
    return fresh


def place_of(candidate: Candidate, day: date) -> tuple[Bed | None, int | None]:
    """The bed and row in which a candidate stood on a day; (None, None) where nobody noted it."""
    if candidate.plant_id:
        placed = Placing.live.filter(plant=candidate.plant_id, since__lte=day)
        if placing := placed.select_related("bed").order_by("-since", "-id").first():
            return placing.bed, None
    if candidate.row_id:
        return candidate.row.bed, candidate.row.row
    return None, None


def gone_from(row: Row) -> set[int]:
    """Positions of a row at which nothing stands any more. Two queries."""
    return gone_of([row])[row.pk]


def gone_of(rows: Iterable[Row]) -> dict[int, set[int]]:
    """By the key of each row, the positions at which nothing stands any more. Two queries."""
    gone: dict[int, set[int]] = {row.pk: set() for row in rows}
    looks = Glance.live.filter(look_over__row__in=gone).order_by("day", "id")
    for key, position, found in looks.values_list("look_over__row", "position", "found"):
        (gone[key].add if found in Glance.ABSENT else gone[key].discard)(position)
    for key, dug in ClearOut.live.filter(row__in=gone).values_list("row", "positions"):
        gone[key] |= positions_in(dug)
    return gone
