"""Tags that are free, and flowers with their pods."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from itertools import islice
from typing import Any

from django.db.models import Exists, OuterRef, QuerySet

from breeding.due import DUE, FORGOTTEN_POD
from breeding.models import Pollination, SeedCup, Tag
from breeding.tagnumbers import tag_code
from evaluation.bed.pages import MOST_ROWS, Asked, Page, Row, by_key, cut

State = Pollination.State
OPEN = (State.WORKED, State.SET)
WORK = {State.WORKED: "look", State.SET: "harvest"}
# Ranges of tags stand behind the flowers, whose keys are smaller; a serial has at most 11 digits.
FREE, USED = 10**15, 2 * 10**15
TOGETHER = 200
HANGS = Exists(Pollination.live.filter(tag=OuterRef("pk")))
PRINTED = {"batch__struck": False, "spoiled": ""}


def tags(asked: Asked) -> Page:
    """The flowers of the season that are done, then as ranges of serials the free tags and the
    used ones of all seasons.

    Flowers that are open are told by `pods`. Three queries.
    """
    return cut(_told(asked))


def _told(asked: Asked) -> Iterator[tuple[str, Row]]:
    if asked.key < FREE:
        flowers = by_key(_lately(asked).exclude(state__in=OPEN), asked)
        yield from ((str(flower.pk), _flower(flower)) for flower in flowers)
        if len(flowers) > MOST_ROWS:
            return
    if asked.key < USED:
        yield from _parts("free", FREE, Tag.live.filter(~HANGS, **PRINTED), asked)
    yield from _parts("used", USED, Tag.objects.filter(HANGS), asked)


def _parts(name: str, key: int, found: QuerySet, asked: Asked) -> Iterator[tuple[str, Row]]:
    parted = ranges(serial for serial in _serials(found) if serial > asked.key - key)
    while some := list(islice(parted, TOGETHER)):
        yield str(key + some[-1][1]), {name: some}


def _serials(tags: QuerySet) -> list[int]:
    """A query."""
    return sorted(int(code[:-1]) for code in tags.values_list("code", flat=True))


def ranges(serials: Iterable[int]) -> Iterator[list[int]]:
    """Ascending serial numbers as [first, last]; a number that is never printed parts none."""
    first = last = None
    for serial in serials:
        if last is not None and all(tag_code(between) is None for between in _gap(last, serial)):
            last = serial
            continue
        if first is not None:
            yield [first, last]
        first = last = serial
    if first is not None:
        yield [first, last]


def _gap(last: int, serial: int) -> Iterable[int]:
    """The numbers between; of a wide gap a few are enough to know."""
    return range(last + 1, min(serial, last + 20))


def pods(asked: Asked) -> Page:
    """Flowers of the season that are open: worked, or with a pod that is not harvested.

    Two queries.
    """
    flowers = by_key(_lately(asked).filter(state__in=OPEN), asked)
    cups = _cups({flower.cross_id for flower in flowers})
    return cut((str(flower.pk), _open(flower, asked, cups)) for flower in flowers)


def _lately(asked: Asked) -> QuerySet:
    flowers = Pollination.live.filter(day__gt=asked.today - FORGOTTEN_POD)
    return flowers.select_related("tag", "cross__seed_parent", "cross__pollen_parent")


def _cups(crosses: Iterable[int]) -> dict[int, list[list[Any]]]:
    """Cups that a pod of these crosses may be put into: [key, number, seeds]. A query."""
    found: dict[int, list[list[Any]]] = defaultdict(list)
    for cup in SeedCup.live.filter(cross__in=crosses, closed_on=None, sown=0):
        found[cup.cross_id].append([cup.pk, cup.code, cup.seeds])
    return found


def parents(cross: Any) -> Row:
    """A cross by its number and the names of both parents; no `pollen` on a bee pod."""
    pollen = cross.pollen_parent
    return {"cross": cross.code, "seed": str(cross.seed_parent), "pollen": pollen and str(pollen)}


def _flower(flower: Pollination) -> Row:
    cross = flower.cross
    keys = {"seed_pk": cross.seed_parent_id, "pollen_pk": cross.pollen_parent_id}
    told = {"tag": flower.tag.code, "day": flower.day.isoformat(), "state": flower.state}
    return told | parents(cross) | keys


def _open(flower: Pollination, asked: Asked, cups: dict[int, list[list[Any]]]) -> Row:
    due = DUE[WORK[State(flower.state)]](asked.garden.calendar, flower, asked.today)
    return _flower(flower) | {"due": due.isoformat(), "cups": cups.get(flower.cross_id)}
