from __future__ import annotations

from breeding.models.crosses import MOST_SEEDS_IN_A_POD, Cross, Pollination, Tag, TagBatch
from breeding.models.seedbed import MOST_SEEDLINGS, Pot, PotCount, Row, SeedCup

__all__ = [
    "MOST_SEEDLINGS",
    "MOST_SEEDS_IN_A_POD",
    "Cross",
    "Pollination",
    "Pot",
    "PotCount",
    "Row",
    "SeedCup",
    "Tag",
    "TagBatch",
]
