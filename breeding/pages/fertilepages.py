"""What the pages tell of pod set, seeds in a pod and germination."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from breeding.fertile import Fertility, the_fertility
from breeding.pages.bloomplot import PALE, RULE, SOFT, VIOLET
from garden.models import Plant

if TYPE_CHECKING:
    from breeding.fertility import Rate

# Columns that the table can be ordered by, with their titles.
SORTS = {"name": "Plant", "seed": "As seed parent", "pollen": "As pollen parent",
         "flowers": "Flowers"}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Side:
    """One plant on one side of its crosses: its rate, drawn."""

    rate: Rate
    svg: str


@dataclass(frozen=True, slots=True)
class Parent:
    """A plant that was crossed, as seed and as pollen parent; None where it never was."""

    plant: Plant
    seed: Side | None
    pollen: Side | None

    @property
    def flowers(self) -> int:
        return sum(side.rate.flowers for side in (self.seed, self.pollen) if side)


def rate_svg(rate: Rate, usual: float) -> str:
    """A chance from nought to all with its interval; the line is the garden's own."""
    low, mean, high, line = (
        round(100 * part, 1) for part in (rate.low, rate.mean, rate.high, usual)
    )
    return (
        '<svg class="fertile-bar" width="100%" height="16" aria-hidden="true">'
        f'<rect x="0" y="7" width="100%" height="2" fill="{RULE}"/>'
        f'<line x1="{line:g}%" x2="{line:g}%" y1="0" y2="16" stroke="{SOFT}"/>'
        f'<rect x="{low:g}%" y="4" width="{max(high - low, 0.5):.4g}%" height="8" fill="{PALE}"/>'
        f'<line x1="{mean:g}%" x2="{mean:g}%" y1="1" y2="15" stroke="{VIOLET}" stroke-width="4"/>'
        "</svg>"
    )


def table(sort: str) -> dict[str, Any]:
    """All parents of the garden. One query, and those of its fertility."""
    told = the_fertility()
    usual = told.pods.garden.mean
    seeds, pollens = told.pods.parents.seeds, told.pods.parents.pollens
    parents = [
        Parent(
            plant,
            _side(told.pods.seed(plant.pk), usual) if plant.pk in seeds else None,
            _side(told.pods.pollen(plant.pk), usual) if plant.pk in pollens else None,
        )
        for plant in Plant.live.filter(pk__in={*seeds, *pollens}).order_by("folded")
    ]
    column, backwards = sort.removeprefix("-"), sort.startswith("-")
    if column not in SORTS:
        column, backwards = "seed", True
    known = [parent for parent in parents if _key(parent, column) is not None]
    known.sort(key=lambda parent: _key(parent, column), reverse=backwards)
    rest = [parent for parent in parents if _key(parent, column) is None]
    return {
        "parents": known + rest,
        "garden_pods": told.pods.garden,
        "garden_seeds": told.seeds.garden,
        "garden_up": told.germination.garden,
        "told": (*told.pods.told, *told.seeds.told, *told.germination.told),
        "headings": [_heading(key, column, backwards) for key in SORTS],
    }


def _side(rate: Rate, usual: float) -> Side:
    return Side(rate, rate_svg(rate, usual))


def _key(parent: Parent, column: str) -> Any:
    """What the table is ordered by; None stands last both ways."""
    if column == "name":
        return parent.plant.folded
    if column == "flowers":
        return parent.flowers
    side = getattr(parent, column)
    return side.rate.mean if side else None


def _heading(key: str, column: str, backwards: bool) -> dict[str, str]:
    """A column's heading: how it is ordered now, and the address that turns it."""
    here = key == column
    # Names go from A on, numbers from the highest down, until somebody turns them.
    turned = not backwards if here else key != "name"
    order = ("descending" if backwards else "ascending") if here else ""
    return {"title": SORTS[key], "order": order, "href": f"?sort={'-' if turned else ''}{key}"}


def of_plant(plant: Plant) -> dict[str, Any]:
    """How one plant sets, and what is in its pods. No queries beside those of the fertility."""
    told = the_fertility()
    return {"sides": _sides(told, plant.pk), "garden_pods": told.pods.garden,
            "seeds": told.seeds.of(plant.pk), "up": told.germination.of(plant.pk)}  # fmt: skip


def _sides(told: Fertility, key: int) -> list[tuple[str, Side]]:
    usual = told.pods.garden.mean
    return [("As seed parent ♀", _side(told.pods.seed(key), usual)),
            ("As pollen parent ♂", _side(told.pods.pollen(key), usual))]  # fmt: skip
