"""Plants to choose parents from, and beds to line out in."""

from __future__ import annotations

from breeding.models import Row as Stretch
from evaluation.bed.pages import Asked, Page, behind, by_key, cut
from garden.models import Bed, Plant, fold


def plants(asked: Asked) -> Page:
    """Every plant of the stock: name, designation, what it looks like. A query."""
    fields = ("name", "number", "folded", "iris_class", "year", "pattern", "standards", "falls")
    found = by_key(Plant.live.only(*fields), asked)
    return cut((str(plant.pk), _plant(plant)) for plant in found)


def _plant(plant: Plant) -> dict[str, object]:
    """`fold` is what letters are looked for in; left out where small letters are all it takes."""
    folds = [plant.folded, *([fold(plant.number)] if plant.name and plant.number else [])]
    told = "\n".join(folds)
    same = plant.label.isascii() and told == plant.label.lower()
    return {
        "pk": plant.pk,
        "name": plant.label,
        "words": words(plant),
        "fold": "" if same else told,
        "code": not plant.name,
    }


def words(plant: Plant) -> str:
    """'TB · 1998 · white and violet plicata'."""
    colours = " and ".join(dict.fromkeys(filter(None, (plant.standards, plant.falls))))
    looks = " ".join(filter(None, (colours, plant.pattern)))
    return " · ".join(filter(None, (plant.iris_class, str(plant.year or ""), looks)))


def beds(asked: Asked) -> Page:
    """Beds, each with the place where lining out goes on; `last` is the one lined out in last.

    Two queries.
    """
    ends: dict[int, tuple[int, int]] = {}
    latest: tuple[object, ...] = ()
    newest = None
    standing = Stretch.live.filter(closed_on=None)
    for bed, row, end, *when in standing.values_list("bed", "row", "last", "lined_out_on", "pk"):
        ends[bed] = max(ends.get(bed, (0, 0)), (row, end))
        if tuple(when) > latest:
            latest, newest = tuple(when), bed
    found = Bed.live.order_by("folded")
    return behind([(str(bed.pk), _bed(bed, ends, newest)) for bed in found], asked)


def _bed(bed: Bed, ends: dict[int, tuple[int, int]], newest: int | None) -> dict[str, object]:
    row, end = ends.get(bed.pk, (1, 0))
    if end >= bed.positions:
        row, end = min(row + 1, bed.rows), 0
    told = {"pk": bed.pk, "name": bed.name, "rows": bed.rows, "positions": bed.positions}
    return told | {"next": [row, end + 1], "last": bed.pk == newest or None}
