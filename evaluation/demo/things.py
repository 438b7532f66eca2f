"""What the story keeps in mind of each flower, cup and pot while it is told. Free of Django."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

from evaluation.demo.cast import Parent
from evaluation.demo.field import Stretch
from evaluation.demo.genes import Genes
from evaluation.demo.truth import Truth


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

    @property
    def parents(self) -> list[Parent]:
        """Those who are known."""
        return [self.seed, self.pollen] if self.pollen else [self.seed]


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
    """A lined-out stretch: the positions chosen, known to be empty, and judged.

    `walked` holds the seasons in which somebody walked along all of it.
    """

    key: str
    brood: Brood
    stretch: Stretch
    lined_out: date
    chosen: list[int] = field(default_factory=list)
    gone: set[int] = field(default_factory=set)
    walked: set[int] = field(default_factory=set)
    judged: dict[int, Judged] = field(default_factory=dict)


@dataclass
class Judged:
    """A seedling that somebody noted: `seen` holds season and percent of full marks.

    `key` is the choice that made it a plant, `candidate` a step that wrote about it.
    """

    planting: Planting
    position: int
    truth: Truth
    genes: Genes
    looks: dict[str, object]
    seen: list[tuple[int, float]] = field(default_factory=list)
    verdict: str = ""
    key: str = ""
    candidate: str = ""

    @property
    def stays(self) -> bool:
        """Whether it was kept or bred from, and so is a plant."""
        return self.verdict in ("keep", "parent")

    def percent(self) -> float:
        """The mean of all its scores."""
        return sum(percent for _, percent in self.seen) / len(self.seen)

    def last_season(self) -> int:
        return max((season for season, _ in self.seen), default=0)
