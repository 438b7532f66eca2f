from __future__ import annotations

from garden.models.doors import Device, Knock, Pairing
from garden.models.facts import Fact, Recorded
from garden.models.increase import (
    GuestNews,
    GuestSent,
    Introduction,
    StockCount,
    StockTaken,
)
from garden.models.journal import JournalLine, JournalMention
from garden.models.labels import LabelAddress, Labelled, LabelRun, LabelSheet, LabelShift
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
    "GuestNews",
    "GuestSent",
    "Introduction",
    "IrisClass",
    "JournalLine",
    "JournalMention",
    "Knock",
    "LabelAddress",
    "LabelRun",
    "LabelSheet",
    "LabelShift",
    "Labelled",
    "Pairing",
    "Person",
    "Photo",
    "Placing",
    "Plant",
    "Recorded",
    "StockCount",
    "StockTaken",
    "fold",
    "tidy",
]
