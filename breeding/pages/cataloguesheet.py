"""The catalogue on paper: a row for each plant, its picture at the left, its price at the right."""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import Any

from breeding.pages.catalogue import Offer
from garden.flower import Recipe
from garden.models import Garden, Plant
from garden.models.photos import the_shelf
from garden.verbs import written

PICTURE, PRICE = 34.0, 30.0
# What stands where no colour is recorded: paper, nothing claimed.
UNPAINTED = Recipe(standards="ivory", falls="ivory", styles="ivory", beard="white")


def catalogue_pdf(found: Sequence[Offer], garden: Garden, year: int, paper: str) -> bytes:
    """The year's list as a PDF on A4 or Letter."""
    # The PDF library is loaded when the first sheet is asked for, not at every start.
    from garden.paper import document

    sheet = document(f"Introductions of {year}", garden.name, written(garden.today()), paper)
    rows = [[_picture(offer), _words(offer), _price(offer)] for offer in found]
    sheet.table([], rows, widths=[PICTURE + 5, 0, PRICE], right=(2,))
    if any(offer.under_number for offer in found):
        sheet.note(
            "Plants with a number alone have no registered name yet. A name is registered with "
            "the authority for the genus, whose rules decide."
        )
    return sheet.pdf()


def _picture(offer: Offer) -> Any:
    """The photo chosen, else the drawn flower."""
    from reportlab.lib.units import mm
    from reportlab.platypus import Image

    from garden.paper.pieces import Blossom

    file = the_shelf().find(offer.photo.digest, "small") if offer.photo else None
    if file is not None:
        return Image(io.BytesIO(file.read_bytes()), PICTURE * mm, PICTURE * mm)
    return Blossom(recipe_of(offer.plant), PICTURE * mm)


def recipe_of(plant: Plant) -> Recipe:
    """Its colours, a pale sketch where none is recorded."""
    return Recipe.from_mapping(plant.recipe_fields()) if plant.has_colours else UNPAINTED


def _words(offer: Offer) -> list[Any]:
    from garden.paper import BOLD, ITALIC, NAME, TEXT
    from garden.paper.words import paragraph

    plant = offer.plant
    lines = [paragraph(plant.label, BOLD if offer.under_number else NAME, 15, spaceAfter=2)]
    if plant.name and plant.number:
        lines.append(paragraph(plant.number, TEXT, 9.5, spaceAfter=1))
    if offer.facts:
        lines.append(paragraph(offer.facts, TEXT, 9.5, spaceAfter=2))
    if offer.parentage:
        lines.append(paragraph(offer.parentage, ITALIC, 10.5, spaceAfter=3))
    if offer.introduction.words:
        lines.append(paragraph(offer.introduction.words, TEXT, 10, spaceAfter=2))
    return lines


def _price(offer: Offer) -> list[Any]:
    from garden.paper import BOLD, TEXT
    from garden.paper.words import paragraph

    lines = [paragraph(offer.price, BOLD, 12, align="right", spaceAfter=2)] if offer.price else []
    if offer.introduction.quantity is not None:
        told = f"{offer.introduction.quantity} offered"
        lines.append(paragraph(told, TEXT, 9, align="right"))
    return lines or [paragraph("", TEXT, 9)]
