"""What can be crossed on a day, on paper: pollen to fetch, crosses to tick, tags to write down."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from garden.flower import Recipe
from garden.paper import BOLD, BOX, LINE, NAME, Document, document
from garden.paper.pieces import Slots
from garden.paper.words import TEXT, paragraph

# Places for the tags of one cross; more flowers are written beside.
MOST_SLOTS, BLANK_ROWS = 12, 4


@dataclass(frozen=True, slots=True)
class Parent:
    """A parent with where it stands, or where its pollen is kept."""

    name: str
    where: str = ""
    flower: Recipe | None = None


@dataclass(frozen=True, slots=True)
class ToCross:
    """A planned cross: `flowers` still to work, `worked` done; `reason` what there is to know."""

    seed: Parent
    pollen: Parent
    flowers: int
    worked: int = 0
    reason: str = ""


@dataclass(frozen=True, slots=True)
class ToFetch:
    """Pollen to take along: of whom, from where, for how many crosses and flowers."""

    pollen: Parent
    crosses: int
    flowers: int


@dataclass(frozen=True, slots=True)
class Jar:
    """Pollen in store."""

    plant: str
    place: str
    taken: str
    use_by: str


@dataclass(frozen=True, slots=True)
class PutBy:
    """Pollen to put by for seed parents that open later."""

    pollen: Parent
    until: str
    seeds: str


@dataclass(frozen=True, slots=True)
class Tags:
    """Free tags to take along: the first and the last of those needed, and how many are free."""

    needed: int
    free: int
    first: str = ""
    last: str = ""


@dataclass(frozen=True, slots=True)
class CrossList:
    """The list of one day; `groups` are (heading, crosses), `said` is a sentence about it."""

    day: str
    said: str
    groups: tuple[tuple[str, tuple[ToCross, ...]], ...]
    fetch: tuple[ToFetch, ...]
    jars: tuple[Jar, ...]
    put_by: tuple[PutBy, ...]
    tags: Tags


def cross_list_pdf(asked: CrossList, garden: str, day: str, paper: str = "A4") -> bytes:
    """The list of a day, printed on `day`; raises KeyError for an unknown paper."""
    sheet = document(f"To cross on {asked.day}", garden, f"printed {day}", paper)
    sheet.text(asked.said)
    if asked.tags.needed:
        sheet.text(tags_said(asked.tags), BOLD)
    _fetch(sheet, asked.fetch)
    for heading, crosses in asked.groups:
        _crosses(sheet, heading, crosses)
    _put_by(sheet, asked.put_by)
    _jars(sheet, asked.jars)
    _besides(sheet)
    sheet.remarks()
    return sheet.pdf()


def tags_said(tags: Tags) -> str:
    """'Take along 5 tags: the next free ones are 10013 to 10064.'"""
    many = f"{tags.needed} tag{'s' if tags.needed > 1 else ''}"
    if not tags.free:
        return f"{many} needed and none is free: print a sheet of tags first."
    if tags.free < tags.needed:
        return f"{many} needed, and only {tags.free} free, {tags.first} to {tags.last}: print more."
    if tags.needed == 1:
        return f"Take along 1 tag: the next free one is {tags.first}."
    return f"Take along {many}: the next free ones are {tags.first} to {tags.last}."


def named(parent: Parent) -> Any:
    """A name with its place below."""
    lines = [paragraph(parent.name, NAME, 11.5)]
    return [*lines, paragraph(parent.where, TEXT, 9)] if parent.where else lines


def _fetch(sheet: Document, fetch: Sequence[ToFetch]) -> None:
    if not fetch:
        return
    sheet.heading("Pollen to take along")
    rows = [
        [BOX, each.pollen.flower or "", named(each.pollen), each.crosses, each.flowers]
        for each in fetch
    ]
    sheet.table(["", "", "Pollen of", "Crosses", "Flowers"], rows, widths=[7, 9, 0, 18, 18],
                right=(3, 4))  # fmt: skip


def _crosses(sheet: Document, heading: str, crosses: Sequence[ToCross]) -> None:
    sheet.heading(heading)
    rows = [
        [
            BOX,
            each.seed.flower or "",
            named(each.seed),
            each.pollen.flower or "",
            [*named(each.pollen), *_reason(each)],
            _flowers(each),
            Slots(min(each.flowers, MOST_SLOTS)),
        ]
        for each in crosses
    ]
    sheet.table(
        ["", "", "Seed parent", "", "Pollen parent", "Flowers", "Tag numbers"], rows,
        widths=[7, 9, 0, 9, 0, 17, 53],
    )  # fmt: skip


def _reason(cross: ToCross) -> list[Any]:
    return [paragraph(cross.reason, TEXT, 8.5)] if cross.reason else []


def _flowers(cross: ToCross) -> Any:
    done = [paragraph(f"{cross.worked} worked", TEXT, 8.5)] if cross.worked else []
    return [paragraph(str(cross.flowers), BOLD, 13), *done]


def _put_by(sheet: Document, put_by: Sequence[PutBy]) -> None:
    if put_by:
        sheet.heading("Pollen to put by")
        rows = [[BOX, named(each.pollen), each.until, each.seeds, LINE] for each in put_by]
        sheet.table(["", "Of", "Open until about", "For", "Put into"], rows,
                    widths=[7, 0, 28, 0, 32])  # fmt: skip


def _jars(sheet: Document, jars: Sequence[Jar]) -> None:
    if jars:
        sheet.heading("Pollen in store")
        rows = [[each.plant, each.place, each.taken, each.use_by] for each in jars]
        sheet.table(["Of", "Where", "Taken", "Good until"], rows, faces={0: NAME}, size=10)


def _besides(sheet: Document) -> None:
    """Crosses that nobody planned."""
    with sheet.together():
        sheet.heading("Made besides")
        blank = [LINE, LINE, Slots(3)]
        sheet.table(["Seed parent", "Pollen parent", "Tag numbers"], [blank] * BLANK_ROWS,
                    widths=[0, 0, 53], ruled=False)  # fmt: skip
