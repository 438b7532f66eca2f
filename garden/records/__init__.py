"""The verbs of the stock, the beds, the people and the garden itself."""

from __future__ import annotations

from garden.records.importing import import_plants
from garden.records.people import add_person, change_person
from garden.records.photos import add_photo, correct_photo, strike_photo
from garden.records.site import add_bed, change_bed, change_garden
from garden.records.stock import (
    add_plant,
    change_plant,
    correct_placing,
    place_plant,
    strike_plant,
)
from garden.records.undoing import undo

__all__ = [
    "add_bed",
    "add_person",
    "add_photo",
    "add_plant",
    "change_bed",
    "change_garden",
    "change_person",
    "change_plant",
    "correct_photo",
    "correct_placing",
    "import_plants",
    "place_plant",
    "strike_photo",
    "strike_plant",
    "undo",
]
