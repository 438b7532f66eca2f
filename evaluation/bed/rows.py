"""Rows to walk: what stands where, how far this person's walk has come, what is known."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from datetime import date

from django.db.models import Q

from breeding.due import work
from breeding.models import Row as Stretch
from evaluation.bed.flowers import parents
from evaluation.bed.pages import MOST_BYTES, Asked, Page, Row, cut, plain
from evaluation.models import Candidate, Glance, LookOver, Scoring, Seedling
from evaluation.records.looking import TAKEN_UP_WITHIN
from evaluation.walking import Walk, progress, walks_of
from garden.calendar import REST_BEFORE_FIRST_BLOOM

AT_ONCE = 100
# What earlier walks saw of one position; the newest say enough outdoors.
MOST_TOLD = 2
# One sign a position; what stands there and was not looked at yet is a point.
SIGNS = {"nothing": "n", "again": "a", "gap": "g", "dead": "d"}
SCORED, GONE, LEFT = "s", "x", "."
# By position: the letter, '' without one, then what is known, a line each.
Known = dict[int, list[str]]


def rows(asked: Asked) -> Page:
    """Rows in bloom, and those beside them, with all that a walk along them needs.

    Seventeen queries.
    """
    due, keys = _to_walk(asked)
    keys = [key for key in keys if key > asked.key]
    found = Stretch.live.filter(pk__in=keys[:AT_ONCE]).order_by("pk")
    found = list(found.select_related("bed", "cross__seed_parent", "cross__pollen_parent"))
    walks = walks_of(asked.person, found, asked.today)
    page = cut(_told(asked, walks, due))
    if page.more is None and len(keys) > len(found):
        return Page(page.rows, str(found[-1].pk))
    return page


def _to_walk(asked: Asked) -> tuple[set[int], list[int]]:
    """This season's rows; and these, those whose walk is open, and all that stand in the same
    row of a bed. Three queries."""
    calendar, today = asked.garden.calendar, asked.today
    bloom = work("bloom", calendar, today).things.order_by()
    places = {key: (bed, row) for key, bed, row in bloom.values_list("pk", "bed_id", "row")}
    since = today - TAKEN_UP_WITHIN
    mine = LookOver.live.filter(person=asked.person, season__gte=calendar.season(today) - 1)
    begun = mine.filter(Q(began_on__gte=since) | Q(glances__day__gte=since)).order_by()
    ways = {*places.values(), *begun.values_list("row__bed_id", "row__row").distinct()}
    beside = Stretch.live.filter(bed__in={bed for bed, _ in ways}, closed_on=None)
    old_enough = beside.filter(lined_out_on__lte=today - REST_BEFORE_FIRST_BLOOM).order_by("pk")
    stand = old_enough.values_list("pk", "bed_id", "row")
    return set(places), [key for key, bed, row in stand if (bed, row) in ways]


def _told(asked: Asked, walks: Sequence[Walk], due: set[int]) -> Iterator[tuple[str, Row]]:
    """Each row as it goes on its way. Seven queries."""
    season = asked.garden.calendar.season(asked.today)
    stretches = [walk.row for walk in walks]
    looked = {one.row.pk: one.looked for one in progress(asked.person, stretches, season)}
    known = _known(walks)
    for walk in walks:
        key = walk.row.pk
        yield str(key), _row(walk, known[key], key in due, looked[key])


def _row(walk: Walk, known: Known, due: bool, looked: int) -> Row:
    """One row; of one too long for an answer less is told of what is known."""
    row, last = walk.row, walk.last_look
    began = walk.look_over.began_on if walk.look_over else None
    told = {
        "pk": row.pk,
        "bed": str(row.bed),
        "bed_pk": row.bed_id,
        "row": row.row,
        "first": row.first,
        "last": row.last,
        **parents(row.cross),
        "blooms": _day(row.lined_out_on + REST_BEFORE_FIRST_BLOOM),
        "due": due,
        "looked": looked,
        "backward": walk.backward,
        "signs": signs(walk),
        "at": last.position if last else None,
        "on": _day(last.day if last else began),
        "notes": {look.position: look.note for look in walk.looks if look.note},
        "known": known,
    }
    for shorter in (_in_short, _letters, None):
        if len(plain(told)) <= MOST_BYTES:
            break
        told["known"] = shorter(known) if shorter else {}
    return told


def _day(day: date | None) -> str:
    return day.isoformat() if day else ""


def _in_short(known: Known) -> Known:
    return {at: [line[:40] for line in lines[:2]] for at, lines in known.items()}


def _letters(known: Known) -> Known:
    return {at: lines[:1] for at, lines in known.items() if lines[0]}


def signs(walk: Walk) -> str:
    """This person's walk as far as it has come, one sign a position of the row."""

    def sign(at: int) -> str:
        if found := walk.found.get(at):
            return SIGNS[found]
        return SCORED if at in walk.scored else GONE if at in walk.gone else LEFT

    return "".join(map(sign, range(walk.row.first, walk.row.last + 1)))


def _known(walks: Sequence[Walk]) -> dict[int, Known]:
    """What is recorded of positions, by row. Four queries."""
    keys = [walk.row.pk for walk in walks]
    known: dict[int, Known] = {key: defaultdict(lambda: [""]) for key in keys}
    for one in Seedling.live.filter(row__in=keys):
        known[one.row_id][one.position][0] = one.code
    for one in Candidate.live.filter(row__in=keys).exclude(verdict="").order_by("pk"):
        day = f"{one.decided_on.day} {one.decided_on:%b %Y}"
        known[one.row_id][one.position].append(f"{one.get_verdict_display()}, decided {day}")
    _scores(known)
    _looks(known, [walk.look_over.pk for walk in walks if walk.look_over])
    return known


def _scores(known: dict[int, Known]) -> None:
    given = Scoring.live.filter(candidate__row__in=known, candidate__struck=False)
    by_place: dict[tuple[int, int], list[str]] = defaultdict(list)
    for row, at, name, season in given.order_by("-day", "-pk").values_list(
        "candidate__row", "candidate__position", "person__name", "season"
    ):
        by_place[row, at].append(f"{name} {season}")
    for (row, at), told in by_place.items():
        known[row][at].append(f"Scored: {', '.join(told[:MOST_TOLD])}")


def _looks(known: dict[int, Known], now: list[int]) -> None:
    """Looks of other walks, the newest of each position."""
    looks = Glance.live.filter(look_over__row__in=known).exclude(found=Glance.Found.NOTHING)
    looks = looks.exclude(look_over__in=now).select_related("look_over__person")
    told: dict[tuple[int, int], int] = defaultdict(int)
    for look in looks.order_by("-day", "-pk"):
        place = row, at = look.look_over.row_id, look.position
        told[place] += 1
        if told[place] <= MOST_TOLD:
            note = f": {look.note}" if look.note else ""
            seen = f"{look.look_over.season}: {look.get_found_display().lower()}"
            known[row][at].append(f"{seen}, {look.look_over.person}{note}")
