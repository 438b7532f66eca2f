"""What is offered in a year, with its parentage: for the list, the catalogue and the table."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from itertools import groupby

from breeding.pedigrees import behind, parentage_in_words
from garden.forms.words import in_inches
from garden.models import Garden, Introduction, Photo, Plant

# Generations of parents that are written out; named ones end a branch before.
DEPTH = 3
MOST_OFFERED = 400
COLUMNS = (
    "year", "place", "name", "number", "class", "season", "height_cm", "parentage", "description",
    "price", "currency", "quantity",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Offer:
    """One plant as a list offers it."""

    introduction: Introduction
    parentage: str
    facts: str

    @property
    def plant(self) -> Plant:
        return self.introduction.plant

    @property
    def photo(self) -> Photo | None:
        return self.introduction.shown_photo

    @property
    def under_number(self) -> bool:
        """Whether it has no name yet."""
        return not self.plant.name

    @property
    def price(self) -> str:
        """'25 EUR', '25.50 EUR'; '' without a price."""
        thing = self.introduction
        return "" if thing.price is None else f"{plain_price(thing.price)} {thing.currency}"

    @property
    def row(self) -> tuple[object, ...]:
        """The cells of its line in the table, as `COLUMNS` names them."""
        thing, plant = self.introduction, self.plant
        price = "" if thing.price is None else f"{thing.price:.2f}"
        return (
            thing.year, thing.place, plant.name, plant.number, plant.iris_class, plant.season,
            plant.height_cm, self.parentage, thing.words, price, thing.currency, thing.quantity,
        )  # fmt: skip


def plain_price(price: Decimal) -> str:
    """Hundredths only where there are any."""
    return f"{price:,.2f}".removesuffix(".00").replace(",", "\u202f")


def offers(garden: Garden, year: int | None = None) -> list[Offer]:
    """What was offered in a year, or in every one, in the order of the lists. One query and one
    for each generation of parents."""
    things = Introduction.live.select_related("plant", "photo").order_by("-year", "place", "pk")
    found = list((things if year is None else things.filter(year=year))[:MOST_OFFERED])
    family = behind({thing.plant_id for thing in found}, DEPTH)
    return [
        Offer(
            thing,
            parentage_in_words(family, thing.plant_id, DEPTH)
            if thing.plant_id in family.records else "",
            _facts(thing.plant, garden),
        )
        for thing in found
    ]  # fmt: skip


def by_year(found: Iterable[Offer]) -> list[tuple[int, list[Offer]]]:
    """The offers of each year."""
    return [(year, list(each)) for year, each in groupby(found, lambda one: one.introduction.year)]


def _facts(plant: Plant, garden: Garden) -> str:
    """'Tall bearded, midseason, 91 cm'."""
    height = plant.height_cm and (
        f"{in_inches(plant.height_cm)} in" if garden.inches else f"{plant.height_cm} cm"
    )
    season = plant.get_season_display().lower()
    again = "reblooms" if plant.rebloom else ""
    return ", ".join(
        str(word) for word in (plant.get_iris_class_display(), height, season, again) if word
    )
