"""Which sheets there are, where each stands, and what was printed: asked by pages and verbs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from garden.labelling import Named
from garden.models import Labelled, LabelRun, LabelSheet, LabelShift
from garden.models.labels import OWN
from garden.names import is_key

if TYPE_CHECKING:
    from garden.labels import Sheet

# Of A4 and Letter; what most people have in the house.
USUAL = "a4-24-70x36"


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet or roll that can be chosen. `own` is the garden's own size, None for a ready one."""

    key: str
    sheet: Sheet
    own: LabelSheet | None = None


def ready() -> dict[str, Paper]:
    """The ready-made sizes."""
    from garden.labels import READY

    return {key: Paper(key, sheet) for key, sheet in READY.items()}


def own_sheets() -> list[Paper]:
    """The garden's own sizes. A query."""
    return [Paper(one.key, one.sheet, one) for one in LabelSheet.live.all()]


def papers() -> dict[str, Paper]:
    """Everything that can be chosen, the garden's own first. A query."""
    return {paper.key: paper for paper in own_sheets()} | ready()


def paper_of(key: str, struck: bool = False) -> Paper | None:
    """The size with this key; of those struck out too, where a run of earlier asks. A query."""
    if not key.startswith(OWN):
        return ready().get(key)
    number = key.removeprefix(OWN)
    found = LabelSheet.objects if struck else LabelSheet.live
    one = found.filter(pk=int(number)).first() if is_key(number) else None
    return Paper(one.key, one.sheet, one) if one else None


def last_run() -> LabelRun | None:
    """What was printed last. A query."""
    return LabelRun.live.order_by("-id").first()


def usual_paper(known: dict[str, Paper]) -> Paper:
    """The size that was printed on last, else a common one. A query."""
    last = last_run()
    if last and last.sheet in known:
        return known[last.sheet]
    return known.get(USUAL) or next(iter(known.values()))


def next_place(paper: Paper) -> int:
    """The first free place of the sheet that was begun: 1 where a new one is. A query."""
    last = LabelRun.live.filter(sheet=paper.key).order_by("-id").first()
    return (last.start - 1 + last.printed) % paper.sheet.places + 1 if last else 1


def shift_of(key: str) -> tuple[float, float]:
    """How far everything is moved right and down on this sheet, in mm. A query."""
    found = LabelShift.live.filter(sheet=key).first()
    return (found.right, found.down) if found else (0.0, 0.0)


def things_of(run: LabelRun) -> list[Named]:
    """What was printed, in its order. A query."""
    return list(Labelled.live.filter(run=run).order_by("id").values_list("kind", "thing"))
