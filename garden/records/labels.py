"""The verbs of labels: what was printed, what needs none, sheets of the garden's own."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from typing import Any

from garden.labelling import Named, gathered, kind
from garden.labelsheets import paper_of
from garden.models import LabelAddress, Labelled, LabelRun, LabelSheet, LabelShift, tidy
from garden.models.labels import MEASURES, MOST_COPIES, MOST_SHIFT
from garden.records.people import owner_only
from garden.verbs import Act, Refused, plural, verb

MOST_LABELS = 2_000
MOST_COLUMNS, MOST_ROWS, MOST_MM = 20, 60, 1_200.0
ADDRESS = re.compile(r"https?://[a-z0-9](?:[a-z0-9.-]*[a-z0-9])?(?::[0-9]{1,5})?", re.IGNORECASE)
# What a journal line names one by one.
NAMED = 3


@verb
def print_labels(
    act: Act,
    *,
    things: Sequence[Named],
    sheet: str,
    start: int = 1,
    copies: int = 1,
    flowers: bool = True,
    address: str = "",
) -> tuple[LabelRun, str]:
    """Note that labels of these things are printed; the sheet goes on behind them.

    `start` is the first place taken, along the rows from 1; `address` what stands in the QR codes,
    '' for none.
    """
    paper = paper_of(sheet)
    if paper is None:
        raise Refused("Choose one of the sheets.", "sheet")
    if not 1 <= start <= paper.sheet.places:
        raise Refused(f"This sheet has places 1 to {paper.sheet.places}.", "start")
    if not 1 <= copies <= MOST_COPIES:
        raise Refused(f"From 1 to {MOST_COPIES} of each.", "copies")
    found = _standing(things)
    if len(found) * copies > MOST_LABELS:
        raise Refused(f"At most {MOST_LABELS} labels at a time.", "copies")
    run = act.make(
        LabelRun(
            person=act.person,
            day=act.today,
            sheet=sheet,
            start=start,
            copies=copies,
            count=len(found),
            flowers=flowers,
            address=address,
        )
    )
    _mark(act, found, run)
    return run, f"Printed {plural(run.printed, 'label')}: {_told(found)}"


@verb
def need_no_label(act: Act, *, things: Sequence[Named]) -> tuple[Labelled, str]:
    """Note that these things need no label, so that they do not wait for one."""
    found = _standing(things)
    _mark(act, found, None)
    return act.made[0], f"No label needed: {_told(found)}"


def _standing(things: Sequence[Named]) -> list[tuple[str, Any]]:
    """The things themselves, each once; refused when one is not there any more."""
    wanted = list(dict.fromkeys((key, int(pk)) for key, pk in things))
    if not wanted:
        raise Refused("Tick at least one.")
    if len(wanted) > MOST_LABELS:
        raise Refused(f"At most {MOST_LABELS} labels at a time.")
    found = [(one.key, thing) for one, thing in gathered(wanted)]
    if len(found) < len(wanted):
        raise Refused("Something of it was struck out: look at the list again.")
    return found


def _mark(act: Act, found: list[tuple[str, Any]], run: LabelRun | None) -> None:
    for key, thing in found:
        act.make(Labelled(run=run, kind=key, thing=thing.pk))
    act.mention(*(thing for _, thing in found))


def _told(found: list[tuple[str, Any]]) -> str:
    """'cup 26-014-1, pot 26-014-1-1 and 7 more'."""
    words = [f"{kind(key).one} {thing}" for key, thing in found[:NAMED]]
    more = len(found) - len(words)
    return ", ".join(words) + (f" and {more} more" if more else "")


@verb
def add_label_sheet(act: Act, **fields: Any) -> tuple[LabelSheet, str]:
    """A size of sheet or roll of the garden's own; measures in mm."""
    sheet = act.make(LabelSheet(**_measured(fields)))
    return sheet, f"New size of labels: {sheet}"


@verb
def change_label_sheet(act: Act, *, sheet: LabelSheet, **fields: Any) -> tuple[LabelSheet, str]:
    """Other measures or another name for a size of the garden's own."""
    sheet = _own(sheet)
    fields = _measured(fields, sheet)
    differs = any(
        getattr(sheet, name) != value for name, value in fields.items() if name != "title"
    )
    if differs and LabelRun.live.filter(sheet=sheet.key).exists():
        raise Refused(
            "Labels were printed on this size: only its name may change. Make a new size."
        )
    if not act.change(sheet, **fields):
        raise Refused("Nothing was changed.")
    return sheet, f"Changed the size of labels {sheet}"


@verb
def strike_label_sheet(act: Act, *, sheet: LabelSheet) -> tuple[LabelSheet, str]:
    """Take a size away; what was printed on it stays in the record."""
    sheet = _own(sheet)
    act.change(sheet, struck=True)
    return sheet, f"Struck out the size of labels {sheet}"


def _own(sheet: LabelSheet) -> LabelSheet:
    sheet = LabelSheet.objects.get(pk=sheet.pk)
    if sheet.struck:
        raise Refused(f"{sheet} was struck out.")
    return sheet


def _measured(fields: dict[str, Any], but: LabelSheet | None = None) -> dict[str, Any]:
    """Fields of a size that can be; a roll is a page of one label without edges."""
    fields = {**fields, "title": tidy(fields["title"])}
    if not fields["title"]:
        raise Refused("Give this size a name.", "title")
    taken = LabelSheet.live.filter(title=fields["title"])
    if (taken.exclude(pk=but.pk) if but else taken).exists():
        raise Refused(f"There is already a size called {fields['title']}.", "title")
    if fields.get("roll"):
        fields |= {"columns": 1, "rows": 1, "left": 0.0, "top": 0.0, "gap_x": 0.0, "gap_y": 0.0}
        fields |= {"page_width": fields["label_width"], "page_height": fields["label_height"]}
    for name, most in (("columns", MOST_COLUMNS), ("rows", MOST_ROWS)):
        if not 1 <= fields[name] <= most:
            raise Refused(f"From 1 to {most}.", name)
    for name in MEASURES:
        least = 0.0 if name in ("left", "top", "gap_x", "gap_y") else 5.0
        if not math.isfinite(fields[name]) or not least <= fields[name] <= MOST_MM:
            raise Refused(f"From {least:g} to {MOST_MM:g} mm.", name)
    _check_room(fields)
    return fields


def _check_room(fields: dict[str, Any]) -> None:
    """Refuse what the sheet itself says cannot be, at the measure it is about."""
    from garden.labels import Sheet

    if said := Sheet(**{"roll": False, **fields}).check():
        high = any(" mm high" in sentence for sentence in said)
        raise Refused(" ".join(said), "label_height" if high else "label_width")


@verb
def shift_sheet(act: Act, *, sheet: str, right: float, down: float) -> tuple[LabelShift, str]:
    """Move everything on this sheet right and down by so many mm, as its test page showed."""
    paper = paper_of(sheet)
    if paper is None:
        raise Refused("Choose one of the sheets.")
    for name, value in (("right", right), ("down", down)):
        # Asked this way round, so that what is no number is refused too.
        if not -MOST_SHIFT <= value <= MOST_SHIFT:
            raise Refused(f"From −{MOST_SHIFT:g} to {MOST_SHIFT:g} mm.", name)
    values = {"right": round(right, 2), "down": round(down, 2)}
    text = f"Labels on {paper.sheet.title} move {right:g} mm right and {down:g} mm down"
    known = LabelShift.live.filter(sheet=sheet).first()
    if known is None:
        return act.make(LabelShift(sheet=sheet, **values)), text
    if not act.change(known, **values):
        raise Refused("Nothing was changed.")
    return known, text


@verb
def fix_label_address(act: Act, *, address: str) -> tuple[LabelAddress, str]:
    """The address that QR codes carry from now on; '' follows how the garden is opened."""
    owner_only(act)
    address = address.strip().rstrip("/").lower()
    if address and (not ADDRESS.fullmatch(address) or len(address) > 60):
        raise Refused("Write it as http://millrace.local:8000, of at most 60 signs.", "address")
    told = address or "that of the garden as it is opened"
    text = f"QR codes on labels carry {told}"
    known = LabelAddress.live.order_by("-id").first()
    if known is None:
        if not address:
            raise Refused("Nothing was changed.")
        return act.make(LabelAddress(address=address)), text
    if not act.change(known, address=address):
        raise Refused("Nothing was changed.")
    return known, text
