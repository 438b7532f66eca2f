"""What the story keeps in mind of each flower, cup and pot while it is told. Free of Django."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

from evaluation.demo.cast import Parent
from evaluation.demo.field import Stretch


@dataclass
class Brood:
    """A cross as nature knows it: its parents, how readily it sets, how well its seed comes up."""

    seed: Parent
    pollen: Parent | None
    sets: float
    seeds: float
    first_spring: float
    second_spring: float
    cup: Cup | None = None


@dataclass
class Flower:
    key: str
    brood: Brood
    worked: date


@dataclass
class Cup:
    key: str
    brood: Brood
    seeds: int = 0


@dataclass
class Pot:
    key: str
    brood: Brood
    seeds: int
    up: int = 0
    lined_out: int = 0


@dataclass
class Planting:
    """A lined-out stretch with the positions already chosen from it."""

    key: str
    brood: Brood
    stretch: Stretch
    lined_out: date
    chosen: list[int] = field(default_factory=list)
