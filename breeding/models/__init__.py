from __future__ import annotations

from breeding.models.bloom import Bloom, Pollen
from breeding.models.crosses import MOST_SEEDS_IN_A_POD, Cross, Pollination, Tag, TagBatch
from breeding.models.heredity import BreedingVersion, Locus, Reading, Tally, TypeCount
from breeding.models.planning import Goal, PlannedCross
from breeding.models.seedbed import MOST_SEEDLINGS, Pot, PotCount, Row, SeedCup

__all__ = [
    "MOST_SEEDLINGS",
    "MOST_SEEDS_IN_A_POD",
    "Bloom",
    "BreedingVersion",
    "Cross",
    "Goal",
    "Locus",
    "PlannedCross",
    "Pollen",
    "Pollination",
    "Pot",
    "PotCount",
    "Reading",
    "Row",
    "SeedCup",
    "Tag",
    "TagBatch",
    "Tally",
    "TypeCount",
]
