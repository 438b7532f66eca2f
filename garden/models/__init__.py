from __future__ import annotations

from garden.models.doors import Device, Knock, Pairing
from garden.models.facts import Fact, Recorded
from garden.models.journal import JournalLine, JournalMention
from garden.models.people import Person
from garden.models.photos import Photo
from garden.models.site import Garden
from garden.models.stock import Bed, IrisClass, Placing, Plant
from garden.names import fold, tidy

__all__ = [
    "Bed",
    "Device",
    "Fact",
    "Garden",
    "IrisClass",
    "JournalLine",
    "JournalMention",
    "Knock",
    "Pairing",
    "Person",
    "Photo",
    "Placing",
    "Plant",
    "Recorded",
    "fold",
    "tidy",
]
