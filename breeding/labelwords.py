"""What labels of the stock and the thread say: parents in notation, days, counts, places."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

from breeding.models import Cross, Pollination, Pot, Row, SeedCup, Tag
from garden.labels.codes import PLANT, ROW, keyed
from garden.models import Placing, Plant
from garden.verbs import plural, written

if TYPE_CHECKING:
    from garden.labels import Label

# Generations of parents on a plant's label: a third one no label has room for.
DEPTH = 2


def label(code: str, title: str = "", **more: Any) -> Label:
    """A label as the engine takes it; its address is put in where it is printed."""
    from garden.labels import Label

    return Label(code=code, payload="", title=title, **more)


def mates(cross: Cross) -> str:
    """Both parents of a cross in notation."""
    seed, pollen = cross.seed_parent, cross.pollen_parent
    names: dict[Any, str] = {seed.pk: seed.label} | ({pollen.pk: pollen.label} if pollen else {})
    return _noted("cross", {"cross": (seed.pk, pollen.pk if pollen else None)}, names)


def parentages(plants: Iterable[Plant]) -> dict[int, str]:
    """Plant -> its parents in notation, '' where none is recorded. A query a generation."""
    from breeding.pedigrees import behind, noted

    plants = list(plants)
    family = behind([plant.pk for plant in plants], DEPTH)
    pairs, words = noted(family)
    names: dict[Any, str] = words | {pk: one.label for pk, one in family.records.items()}
    own = {pk for pk, one in family.records.items() if not one.name}
    return {
        plant.pk: _noted(plant.pk, pairs, names, own) if plant.has_parents else ""
        for plant in plants
    }


def _noted(
    key: Any, pairs: dict[Any, Any], names: dict[Any, str], seedlings: Iterable[Any] = ()
) -> str:
    """The notation without the plant itself; the plain pair where it cannot be written."""
    # Its grammar is loaded with the first label, not at every start.
    from breeding.notation import write_parentage

    try:
        return write_parentage(
            key,
            pairs,
            lambda at: names.get(at, ""),
            lambda at: at not in seedlings,
            DEPTH,
            heading=False,
        )
    except ValueError:
        return " × ".join(names.get(one, "unknown") for one in pairs[key])


def standing_in(plants: Iterable[Plant]) -> dict[int, str]:
    """Plant -> where it stands now, 'Long Bed 4'. A query."""
    places = Placing.live.filter(plant__in=[plant.pk for plant in plants], until=None)
    found: dict[int, str] = {}
    for place in places.select_related("bed"):
        found.setdefault(place.plant_id, str(place))
    return found


def plant_lines(plant: Plant, place: str = "") -> tuple[str, ...]:
    """What visitors read below a name, and where it stands."""
    bred = ", ".join(str(word) for word in (plant.breeder, plant.year) if word)
    about = plant.get_iris_class_display() or plant.get_kind_display()
    number = plant.number if plant.name else ""
    return tuple(filter(None, (about, bred, place, number)))


def flower_of(plant: Plant) -> dict[str, str] | None:
    return plant.recipe_fields() if plant.has_colours else None


def plant_labels(plants: Sequence[Plant]) -> list[Label]:
    parents, places = parentages(plants), standing_in(plants)
    return [
        label(
            keyed(PLANT, plant.pk),
            plant.label,
            parents=parents[plant.pk],
            lines=plant_lines(plant, places.get(plant.pk, "")),
            flower=flower_of(plant),
        )
        for plant in plants
    ]


def cross_labels(crosses: Sequence[Cross]) -> list[Label]:
    return [
        label(cross.code, parents=mates(cross), lines=(_worked(cross), f"season {cross.season}"))
        for cross in crosses
    ]


def _worked(cross: Cross) -> str:
    pods = f", {plural(cross.pods, 'pod')}" if cross.pods else ""
    return f"{plural(cross.flowers, 'flower')}{pods}"


def tag_labels(tags: Sequence[Tag]) -> list[Label]:
    """Two queries at most."""
    hanging = flowers_of(tags)
    return [_tag_label(tag, hanging.get(tag.pk)) for tag in tags]


def _tag_label(tag: Tag, flower: Pollination | None) -> Label:
    if flower is None:
        return label(tag.code)
    told = (f"cross {flower.cross}", f"worked {written(flower.day)}")
    return label(tag.code, parents=mates(flower.cross), lines=told)


def flowers_of(tags: Iterable[Tag]) -> dict[int, Pollination]:
    """Tag -> the flower it hangs on. A query."""
    flowers = Pollination.live.filter(tag__in=[tag.pk for tag in tags])
    flowers = flowers.select_related("tag", "cup", "cross__seed_parent", "cross__pollen_parent")
    return {flower.tag_id: flower for flower in flowers}


def cup_labels(cups: Sequence[SeedCup]) -> list[Label]:
    return [
        label(
            cup.code,
            parents=mates(cup.cross),
            lines=(plural(cup.seeds, "seed"), f"harvested {written(cup.filled_on)}"),
        )
        for cup in cups
    ]


def pot_labels(pots: Sequence[Pot]) -> list[Label]:
    return [
        label(
            pot.code,
            parents=mates(pot.cross),
            lines=(f"sown {written(pot.sown_on)}", plural(pot.seeds, "seed")),
        )
        for pot in pots
    ]


def row_labels(rows: Sequence[Row]) -> list[Label]:
    return [
        label(
            keyed(ROW, row.pk),
            str(row),
            parents=mates(row.cross),
            lines=(
                f"cross {row.cross}",
                f"{plural(row.seedlings, 'seedling')}, lined out {written(row.lined_out_on)}",
            ),
        )
        for row in rows
    ]
