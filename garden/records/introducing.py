"""Verbs of introductions: a plant offered in a year, changed, withdrawn."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from garden.models import Introduction, Photo, Plant
from garden.models.increase import MOST_FANS
from garden.verbs import Act, Refused, verb

YEARS = (1900, 2100)
MOST_PRICE = Decimal("999999.99")


@verb
def introduce(act: Act, *, plant: Plant, year: int, **fields: Any) -> tuple[Introduction, str]:
    """Offer a plant in a year. `fields`: price, currency, quantity, description, photo, place."""
    plant = Plant.objects.get(pk=plant.pk)
    if plant.struck:
        raise Refused(f"{plant} was struck out.", "plant_text")
    values = _checked(plant, year, fields)
    if Introduction.live.filter(plant=plant, year=year).exists():
        raise Refused(f"{plant} is in the list of {year} already.", "plant_text")
    offered = act.make(Introduction(plant=plant, **values))
    act.mention(plant)
    return offered, f"Offered {plant} in {year}"


@verb
def change_introduction(
    act: Act, *, introduction: Introduction, year: int, reason: str = "", **fields: Any
) -> tuple[Introduction, str]:
    """Change what is offered: year, price, number, description, picture, place in the list."""
    thing = Introduction.objects.select_related("plant").get(pk=introduction.pk)
    if thing.struck:
        raise Refused("This was withdrawn.")
    values = _checked(thing.plant, year, fields)
    twins = Introduction.live.filter(plant=thing.plant, year=year).exclude(pk=thing.pk)
    if twins.exists():
        raise Refused(f"{thing.plant} is in the list of {year} already.", "year")
    act.reason = reason.strip()
    if not act.change(thing, **values):
        raise Refused("Nothing was changed.")
    act.mention(thing.plant)
    return thing, f"Changed the introduction of {thing.plant} in {thing.year}"


@verb
def withdraw_introduction(
    act: Act, *, introduction: Introduction, reason: str
) -> tuple[Introduction, str]:
    """Take a plant out of a year's list."""
    thing = Introduction.objects.select_related("plant").get(pk=introduction.pk)
    if thing.struck:
        raise Refused("This was withdrawn already.")
    act.reason = reason.strip()
    if not act.reason:
        raise Refused("Write why it is withdrawn.", "reason")
    act.change(thing, struck=True)
    act.mention(thing.plant)
    return thing, f"Withdrew {thing.plant} from the list of {thing.year}"


def _checked(plant: Plant, year: int, fields: dict[str, Any]) -> dict[str, Any]:
    """The fields of an introduction, or why they cannot be."""
    known = {"price", "currency", "quantity", "description", "photo", "place"}
    if strange := set(fields) - known:
        raise Refused(f"{', '.join(sorted(strange))} is not recorded of an introduction.")
    if not YEARS[0] <= year <= YEARS[1]:
        raise Refused(f"The year must be from {YEARS[0]} to {YEARS[1]}.", "year")
    price, quantity = fields.get("price"), fields.get("quantity")
    currency = " ".join((fields.get("currency") or "").split())
    if price is not None and not (price.is_finite() and 0 <= price <= MOST_PRICE):
        raise Refused(f"The price must be from 0 to {MOST_PRICE:,}.", "price")
    if price is not None:
        # The record holds hundredths; as many are written, so that equal prices read the same.
        price = price.quantize(Decimal("0.01"))
    if price is not None and not currency:
        raise Refused("Write the currency beside the price.", "currency")
    if quantity is not None and not 0 <= quantity <= MOST_FANS:
        raise Refused(f"The number offered must be from 0 to {MOST_FANS:,}.", "quantity")
    photo: Photo | None = fields.get("photo")
    if photo is not None and (photo.struck or photo.plant_id != plant.pk):
        raise Refused("Choose a photo of this plant.", "photo")
    place = fields.get("place") or 1
    if not 1 <= place <= 9999:
        raise Refused("The place in the list must be from 1 to 9,999.", "place")
    return {
        "year": year, "price": price, "currency": currency, "quantity": quantity,
        "description": (fields.get("description") or "").strip(), "photo": photo, "place": place,
    }  # fmt: skip
