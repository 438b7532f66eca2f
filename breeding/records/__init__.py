"""The verbs of breeding: from two parents to a lined-out row, bloom, inheritance and plans."""

from __future__ import annotations

from breeding.records.blooming import correct_bloom, finish_pollen, note_bloom, store_pollen
from breeding.records.correcting import correct, correct_cross, correct_parents
from breeding.records.heredity import add_locus, change_locus, count_types, note_type
from breeding.records.parentage import take_parentage
from breeding.records.planning import (
    add_goal,
    change_goal,
    change_planned,
    close_goal,
    drop_planned,
    plan_crosses,
)
from breeding.records.pollinating import note_pod, print_tags, record_pollination, spoil_tag
from breeding.records.rows import line_out, put_away
from breeding.records.sowing import count_up, harvest, sow

__all__ = [
    "add_goal",
    "add_locus",
    "change_goal",
    "change_locus",
    "change_planned",
    "close_goal",
    "correct",
    "correct_bloom",
    "correct_cross",
    "correct_parents",
    "count_types",
    "count_up",
    "drop_planned",
    "finish_pollen",
    "harvest",
    "line_out",
    "note_bloom",
    "note_pod",
    "note_type",
    "plan_crosses",
    "print_tags",
    "put_away",
    "record_pollination",
    "sow",
    "spoil_tag",
    "store_pollen",
    "take_parentage",
]
