"""Parentage as breeders write it, and Purdy's notation: printing, reading, planning.

No Django here: plain data in, plain data out.
"""

from __future__ import annotations

from breeding.notation.nodes import (
    LoopError,
    Node,
    ParentageError,
    Written,
    pedigree_of,
    tree_of,
)
from breeding.notation.planning import Conflict, Plan, PlannedPlant, plan
from breeding.notation.purdy import read_purdy, shares, write_purdy
from breeding.notation.reading import read_parentage
from breeding.notation.writing import write_parentage

__all__ = [
    "Conflict",
    "LoopError",
    "Node",
    "ParentageError",
    "Plan",
    "PlannedPlant",
    "Written",
    "pedigree_of",
    "plan",
    "read_parentage",
    "read_purdy",
    "shares",
    "tree_of",
    "write_parentage",
    "write_purdy",
]
