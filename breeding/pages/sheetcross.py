"""What the list of a day's crosses shows, gathered from the plans, the bloom and the store."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from django.db.models import Exists, OuterRef

from breeding.blooming import in_store
from breeding.models import Pollination, Tag
from breeding.pages import plantoday
from breeding.pages.planrecord import Record, short
from breeding.pages.plantoday import Line, Way
from breeding.pages.sheetwords import recipe_of
from breeding.paper.crosslist import CrossList, Jar, Parent, PutBy, Tags, ToCross, ToFetch
from garden.models import Garden, Plant
from garden.verbs import plural, written

SHOWN = (Way.OPEN, Way.STORED, Way.SOON)


def cross_list(garden: Garden, day: date, today: date) -> CrossList:
    """The list of a day, asked for today. Eleven queries, and those of the garden's bloom."""
    record, lines = plantoday.lines_of(garden, day, today)
    shown = [line for line in lines if line.way in SHOWN]
    ready = [line for line in shown if line.ready]
    return CrossList(
        written(day),
        _said(record, lines, ready),
        tuple(
            (_heading(way, record), tuple(_to_cross(line) for line in shown if line.way is way))
            for way in SHOWN
            if any(line.way is way for line in shown)
        ),
        tuple(_fetch(ready)),
        tuple(_jars(day)),
        tuple(_put_by(record, lines)),
        _tags(sum(_left(line) for line in ready)),
    )


def _left(line: Line) -> int:
    return line.planned.flowers - line.worked


def _heading(way: Way, record: Record) -> str:
    return "Both probably open" if record.ahead and way is Way.OPEN else way.value


def _said(record: Record, lines: Sequence[Line], ready: Sequence[Line]) -> str:
    """How many can be made, and what of the others is on no list."""
    if not lines:
        return f"Nothing is planned for {record.season}."
    many = plural(len(lines), "planned cross", "planned crosses")
    sure = "can probably be made" if record.ahead else "can be made"
    none = "Probably none" if record.ahead else "None"
    told = [f"{len(ready)} of {many} {sure}." if ready else f"{none} of {many} can be made."]
    if begins := plantoday.beginning(record, lines):
        told.append(f"The first of their parents to open is {begins[0]}, about {short(begins[1])}.")
    counts = [(way, sum(line.way is way for line in lines)) for way in (Way.LATER, Way.MISSED)]
    words = {Way.LATER: "later", Way.MISSED: "not as things stand"}
    left = [f"{count} {words[way]}" for way, count in counts if count]
    if left:
        told.append(f"Not on this list: {', '.join(left)}.")
    return " ".join(told)


def _to_cross(line: Line) -> ToCross:
    stored = line.way is Way.STORED
    return ToCross(
        Parent(line.seed.label, line.stands, recipe_of(line.seed)),
        Parent(line.pollen.label, "" if stored else line.fetch, recipe_of(line.pollen)),
        _left(line),
        line.worked,
        begun(line.reason),
    )


def begun(sentence: str) -> str:
    """With a capital at its beginning."""
    return sentence[:1].upper() + sentence[1:]


def _fetch(ready: Sequence[Line]) -> list[ToFetch]:
    """Each pollen parent once, in the order of places."""
    found: dict[tuple[int, bool], list[Line]] = {}
    for line in ready:
        found.setdefault((line.pollen.pk, line.way is Way.STORED), []).append(line)
    fetch = [
        ToFetch(
            Parent(
                some[0].pollen.label,
                _from(some[0], stored),
                recipe_of(some[0].pollen),
            ),
            len(some),
            sum(_left(line) for line in some),
        )
        for (_, stored), some in found.items()
    ]
    return sorted(fetch, key=lambda each: (each.pollen.where, each.pollen.name))


def _from(line: Line, stored: bool) -> str:
    """Where pollen is taken: the jar, or the plant, with the jar for when it is not open yet."""
    jar = plantoday.where(line.jars) if line.jars else ""
    return begun(jar if stored else "; else ".join(each for each in (line.fetch, jar) if each))


def _put_by(record: Record, lines: Sequence[Line]) -> list[PutBy]:
    return [
        PutBy(
            Parent(each.plant.label, each.place),
            short(each.last) if each.last else "",
            "; ".join(
                f"{seed.label} ({short(opens)})" if opens else seed.label
                for seed, opens in each.seeds
            ),
        )
        for each in plantoday.to_put_by(record, lines)
    ]


def _jars(day: date) -> list[Jar]:
    """Two queries."""
    store = in_store(day)
    plants = Plant.live.in_bulk(list(store))
    jars = [(plants[key], jar) for key, some in store.items() if key in plants
            for jar in some if jar.taken_on <= day]  # fmt: skip
    jars.sort(key=lambda each: (each[0].folded, each[1].taken_on))
    return [
        Jar(
            plant.label, jar.place, written(jar.taken_on), written(jar.use_by) if jar.use_by else ""
        )
        for plant, jar in jars
    ]


def _tags(needed: int) -> Tags:
    """A query, none where no tag is needed."""
    if not needed:
        return Tags(0, 0)
    hangs = Pollination.live.filter(tag=OuterRef("pk"))
    free = Tag.live.filter(~Exists(hangs), spoiled="", batch__struck=False).order_by("pk")
    codes = list(free.values_list("code", flat=True)[:needed])
    return Tags(needed, len(codes), *((codes[0], codes[-1]) if codes else ()))
