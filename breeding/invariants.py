"""What must be true along the thread of one cross, read from the facts and not from the sums."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from django.db.models import Q, Sum

from breeding.models import Cross, Pollination, Pot, PotCount, Row, SeedCup, Tally
from breeding.tallies import standing
from garden.verbs import plural, written

# (sentence, field that it belongs to)
Violation = tuple[str, str]


def first_violation(cross: Cross) -> Violation | None:
    """The first thing that does not fit, or None. Nine queries, and some for counted types."""
    return next(violations(cross), None)


def violations(cross: Cross) -> Iterator[Violation]:
    """Everything along the thread that does not fit."""
    pods = list(Pollination.live.filter(cross=cross).select_related("tag", "cup"))
    for pod in pods:
        yield from _pod(pod, cross)
    cups = list(SeedCup.live.filter(cross=cross).order_by("number"))
    # In bloom time there are no cups yet, hence no pots and no rows: nothing more to ask.
    if not cups:
        return
    pots = list(Pot.live.filter(cup__cross=cross).order_by("id"))
    counts = list(PotCount.live.filter(pot__in=pots)) if pots else []
    rows = _rows_of(cross) if pots else []
    for cup in cups:
        yield from _cup(
            cup,
            [pod for pod in pods if pod.cup_id == cup.pk],
            [pot for pot in pots if pot.cup_id == cup.pk],
        )
    for pot in pots:
        yield from _pot(
            pot,
            [count for count in counts if count.pot_id == pot.pk],
            [row for row in rows if row.pot_id == pot.pk],
        )
    near = _neighbours(rows)
    for row in rows:
        yield from _row(row, near)
    if rows:
        yield from _tallies(cross)


def _rows_of(cross: Cross) -> list[Row]:
    """The rows of a cross with the seedlings ever judged or selected in them. Three queries."""
    rows = Row.live.filter(cross=cross).select_related("bed").order_by("id")
    return list(rows.prefetch_related("seedlings_selected", "candidates"))


def tally_violation(tally: Tally) -> Violation | None:
    """More seedlings seen than were lined out in the row, or in the whole cross. Two queries."""
    seen = tally.counts.filter(struck=False).aggregate(sum=Sum("count"))["sum"] or 0
    if tally.row_id:
        out, where = tally.row.seedlings, f"{tally.row}"
    else:
        rows = Row.live.filter(cross=tally.cross_id)
        out, where = sum(row.seedlings for row in rows), f"cross {tally.cross}"
        if not out:
            # Counted in another garden, or before its rows were written down.
            return None
    if seen > out:
        return f"{plural(seen, 'seedling')} seen, but only {out} lined out in {where}.", "counts"
    return None


def _tallies(cross: Cross) -> Iterator[Violation]:
    """The counts of types that stand. A query, and two for each of them."""
    told = Tally.live.filter(cross=cross).order_by("day", "id").select_related("row__bed")
    for tally in standing(told):
        if broken := tally_violation(tally):
            yield broken


def _neighbours(rows: list[Row]) -> list[Row]:
    """Every stretch, of any cross, in the same rows of the same beds. A query, none for no rows."""
    if not rows:
        return []
    near = Row.live.filter(
        bed__in={row.bed_id for row in rows},
        row__in={row.row for row in rows},
        first__lte=max(row.last for row in rows),
        last__gte=min(row.first for row in rows),
    )
    began = min(row.lined_out_on for row in rows)
    near = near.filter(Q(closed_on=None) | Q(closed_on__gt=began))
    return list(near.select_related("cross", "bed").order_by("first", "id"))


def _meet(one: Row, other: Row) -> bool:
    """Whether two stretches hold the same position at the same time."""
    return (
        one.pk != other.pk
        and (one.bed_id, one.row) == (other.bed_id, other.row)
        and one.first <= other.last
        and other.first <= one.last
        and (other.closed_on is None or other.closed_on > one.lined_out_on)
        and (one.closed_on is None or one.closed_on > other.lined_out_on)
    )


def _late(earlier: date | None, later: date | None, what: str, before: str) -> Iterator[Violation]:
    if earlier and later and later < earlier:
        yield f"{what} on {written(later)} lies before {before} on {written(earlier)}.", "day"


def _pod(pod: Pollination, cross: Cross) -> Iterator[Violation]:
    yield from _late(pod.day, pod.looked_on, f"The look at tag {pod.tag}", "the pollination")
    yield from _late(pod.day, pod.harvested_on, f"The harvest of tag {pod.tag}", "the pollination")
    yield from _late(pod.looked_on, pod.harvested_on, f"The harvest of tag {pod.tag}", "the look")
    if pod.cup_id and (pod.cup.struck or pod.cup.cross_id != cross.pk):
        yield f"The seed of tag {pod.tag} lies in a cup of another cross.", "cup"


def _cup(cup: SeedCup, pods: list[Pollination], pots: list[Pot]) -> Iterator[Violation]:
    seeds = sum(pod.seeds or 0 for pod in pods)
    sown = sum(pot.seeds for pot in pots)
    if sown > seeds and not cup.sown_reason:
        yield f"{plural(sown, 'seed')} sown from cup {cup}, which got only {seeds}.", "seeds"
    first = min((pod.harvested_on for pod in pods), default=None)
    for pot in pots:
        yield from _late(first, pot.sown_on, f"The sowing of pot {pot}", "the harvest")
    away = f"Putting away cup {cup}"
    filled = max((pod.harvested_on for pod in pods), default=None)
    yield from _late(filled, cup.closed_on, away, "the last harvest")
    last = max((pot.sown_on for pot in pots), default=None)
    yield from _late(last, cup.closed_on, away, "the last sowing")


def _pot(pot: Pot, counts: list[PotCount], rows: list[Row]) -> Iterator[Violation]:
    for count in counts:
        yield from _late(pot.sown_on, count.day, f"The count of pot {pot}", "its sowing")
        up = count.came_up(rows)
        if up > pot.seeds and not pot.up_reason:
            yield f"{up} came up in pot {pot}, which got only {plural(pot.seeds, 'seed')}.", "seeds"
    for row in rows:
        yield from _late(pot.sown_on, row.lined_out_on, f"Lining out {row}", "the sowing")
    limit = max((count.came_up(rows) for count in counts), default=pot.seeds)
    out = sum(row.seedlings for row in rows)
    if out > limit and not pot.lined_out_reason:
        yield f"{plural(out, 'seedling')} lined out of pot {pot}, which had only {limit}.", "last"
    away = f"Putting away pot {pot}"
    yield from _late(pot.sown_on, pot.closed_on, away, "its sowing")
    counted = max((count.day for count in counts), default=None)
    yield from _late(counted, pot.closed_on, away, "its last count")
    last = max((row.lined_out_on for row in rows), default=None)
    yield from _late(last, pot.closed_on, away, "the last lining out")


def _row(row: Row, near: list[Row]) -> Iterator[Violation]:
    outside = row.row > row.bed.rows or row.last > row.bed.positions
    if outside and row.closed_on is None:
        yield f"{row} lies outside the bed.", "last"
    if taken := next((other for other in near if _meet(row, other)), None):
        yield f"{taken} already holds seedlings of {taken.cross}.", "first"
    yield from _late(row.lined_out_on, row.closed_on, f"Putting away {row}", "the lining out")
    for seedling in row.seedlings_selected.all():
        if seedling.struck:
            continue
        if not row.holds(seedling.position):
            yield f"Seedling {seedling} was selected at position {seedling.position}.", "last"
        day = seedling.selected_on
        yield from _late(row.lined_out_on, day, f"Selecting seedling {seedling}", "the lining out")
        yield from _late(day, row.closed_on, f"Putting away {row}", f"selecting {seedling}")
    for judged in row.candidates.all():
        if judged.struck:
            continue
        if not row.holds(judged.position):
            yield f"A seedling was judged at position {judged.position}.", "last"
        yield from _late(row.lined_out_on, judged.noted_on, "Judging there", "the lining out")
