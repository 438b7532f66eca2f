"""The stock as files that other programs read: passport descriptors and pedigrees."""

from __future__ import annotations

from collections.abc import Iterator

from django.db.models import Min

from breeding.notation import tree_of, write_purdy
from breeding.passport import Entry, Line, in_one_cell
from breeding.pedigrees import is_nameless
from garden.labels.codes import PLANT, keyed
from garden.models import Placing, Plant
from garden.models.stock import UNKNOWN

FIELDS = ("pk", "name", "number", "kind", "breeder", "year", "iris_class", "ploidy", "height_cm",
          "season", "status", "seed_parent_id", "pollen_parent_id", "seed_parent_text",
          "pollen_parent_text", "description", "folded")  # fmt: skip


def the_stock() -> list[Plant]:
    """Every plant that stands, in order of its name. One query."""
    return list(Plant.live.only(*FIELDS).order_by("folded"))


def code(key: int) -> str:
    return keyed(PLANT, key)


def pedigree_lines(stock: list[Plant]) -> list[Line]:
    """The stock as a pedigree. A parent of which only words are known stands with them."""

    def parent(plant: Plant, side: str) -> str:
        key = getattr(plant, f"{side}_parent_id")
        text = getattr(plant, f"{side}_parent_text")
        return code(key) if key else "" if text == UNKNOWN else text

    return [
        Line(code(plant.pk), plant.label, parent(plant, "seed"), parent(plant, "pollen"),
             plant.kind, plant.year or 0, plant.ploidy or 0)
        for plant in stock
    ]  # fmt: skip


def passport_entries(stock: list[Plant]) -> Iterator[Entry]:
    """The plants that are or were here; those known from pedigrees alone are no accessions."""
    ancestry = _ancestry(stock)
    placed = Placing.live.order_by().values_list("plant").annotate(first=Min("since"))
    came = dict(placed)
    for plant in stock:
        if plant.status not in (Plant.Status.ABSENT, Plant.Status.WANTED):
            yield Entry(
                code(plant.pk), plant.label, plant.kind, plant.number, plant.breeder,
                came.get(plant.pk), ancestry.get(plant.pk, ""),
                plant.status == Plant.Status.GROWING,
                _remarks(plant),
            )  # fmt: skip


def _remarks(plant: Plant) -> dict[str, str]:
    told = {
        "class": plant.iris_class,
        "ploidy": str(plant.ploidy or ""),
        "height cm": str(plant.height_cm or ""),
        "bloom": plant.season,
        "description": plant.description,
    }
    return {name: value for name, value in told.items() if value}


def _ancestry(stock: list[Plant]) -> dict[int, str]:
    """In Purdy's notation as far as the nearest named plants; '' where it cannot be written."""
    records: dict[object, Plant] = {plant.pk: plant for plant in stock}
    pairs: dict[object, tuple[object, object]] = {}
    for plant in stock:
        sides = (_side(plant, "seed"), _side(plant, "pollen"))
        if any(sides):
            pairs[plant.pk] = sides

    def label(key: object) -> str:
        plant = records.get(key)
        return str(key) if plant is None else "" if is_nameless(plant) else plant.label

    def named(key: object) -> bool:
        plant = records.get(key)
        return plant is None or bool(plant.name)

    found = {}
    for key in pairs:
        try:
            found[key] = in_one_cell([write_purdy(tree_of(key, pairs, label, named))])
        except ValueError:
            continue
    return found  # type: ignore[return-value]


def _side(plant: Plant, side: str) -> object:
    text = getattr(plant, f"{side}_parent_text")
    return getattr(plant, f"{side}_parent_id") or (text if text and text != UNKNOWN else None)
