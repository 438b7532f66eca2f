"""The verbs of the thread from two parents to a lined-out row."""

from __future__ import annotations

from breeding.records.correcting import correct, correct_cross, correct_parents
from breeding.records.parentage import take_parentage
from breeding.records.pollinating import note_pod, print_tags, record_pollination, spoil_tag
from breeding.records.rows import line_out, put_away
from breeding.records.sowing import count_up, harvest, sow

__all__ = [
    "correct",
    "correct_cross",
    "correct_parents",
    "count_up",
    "harvest",
    "line_out",
    "note_pod",
    "print_tags",
    "put_away",
    "record_pollination",
    "sow",
    "spoil_tag",
    "take_parentage",
]
