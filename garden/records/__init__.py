"""The verbs of the stock, the beds, the people and the garden itself."""

from __future__ import annotations

from garden.records.importing import import_plants
from garden.records.increase import (
    correct_guest,
    correct_stock_count,
    correct_taken,
    count_stock,
    note_guest,
    send_guest,
    take_out,
)
from garden.records.introducing import change_introduction, introduce, withdraw_introduction
from garden.records.labels import (
    add_label_sheet,
    change_label_sheet,
    fix_label_address,
    need_no_label,
    print_labels,
    shift_sheet,
    strike_label_sheet,
)
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
    "add_label_sheet",
    "add_person",
    "add_photo",
    "add_plant",
    "change_bed",
    "change_garden",
    "change_introduction",
    "change_label_sheet",
    "change_person",
    "change_plant",
    "correct_guest",
    "correct_photo",
    "correct_placing",
    "correct_stock_count",
    "correct_taken",
    "count_stock",
    "fix_label_address",
    "import_plants",
    "introduce",
    "need_no_label",
    "note_guest",
    "place_plant",
    "print_labels",
    "send_guest",
    "shift_sheet",
    "strike_label_sheet",
    "strike_photo",
    "strike_plant",
    "take_out",
    "undo",
    "withdraw_introduction",
]
