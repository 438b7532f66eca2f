"""What is counted of pods, seeds and pots, and what is said of it."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Attempt:
    """Flowers of `seed` worked with pollen of `pollen` (None: unknown) whose outcome is known.

    `set` of the `worked` ones became pods.
    """

    seed: Hashable
    pollen: Hashable | None
    worked: int
    set: int

    def __post_init__(self) -> None:
        _within(self.set, self.worked, "pods", "flowers")


@dataclass(frozen=True, slots=True)
class Yield:
    """`seeds` found in `pods` pods of one cross, empty pods among them."""

    seed: Hashable
    pollen: Hashable | None
    seeds: int
    pods: int = 1

    def __post_init__(self) -> None:
        if self.pods < 0 or self.seeds < 0 or (self.seeds and not self.pods):
            raise ValueError(f"{self.seeds} seeds in {self.pods} pods cannot be.")


@dataclass(frozen=True, slots=True)
class Sowing:
    """One pot: `up` of `sown` seeds came up."""

    seed: Hashable
    pollen: Hashable | None
    sown: int
    up: int

    def __post_init__(self) -> None:
        _within(self.up, self.sown, "seedlings", "seeds")


def _within(part: int, whole: int, parts: str, wholes: str) -> None:
    if not 0 <= part <= whole:
        raise ValueError(f"{part} {parts} of {whole} {wholes} cannot be.")


# Below these a rate is called so, when the whole 90 % interval lies there. Ours.
NEVER, SELDOM, READILY = 0.10, 0.30, 0.60
UNCLEAR = 0.5


@dataclass(frozen=True, slots=True)
class Rate:
    """Chance that a worked flower sets a pod.

    Attributes
    ----------
    mean, low, high : float
        Expected chance and its 90 % interval, 0–1.
    error : float
        Standard deviation of the chance, as far as it is known.
    flowers, pods : int
        Own counts that it rests on.
    told_by : tuple of str
        What it rests on, in bits of a sentence.
    """

    mean: float
    low: float
    high: float
    error: float
    flowers: int
    pods: int
    told_by: tuple[str, ...]

    @property
    def variance(self) -> float:
        """Of the chance, for sums that go on from here."""
        return self.error**2

    @property
    def verdict(self) -> str:
        """In words: only what the whole interval allows is said."""
        if not self.flowers:
            return "not tried yet"
        if self.high < NEVER:
            return "practically never"
        if self.high < SELDOM:
            return "seldom"
        if self.low > READILY:
            return "readily"
        return "not clear yet" if self.high - self.low > UNCLEAR else "now and then"


@dataclass(frozen=True, slots=True)
class Amount:
    """Seeds in a pod, or the share of seeds that come up in a pot.

    Attributes
    ----------
    mean, low, high : float
        What is to be expected of one pod or pot, and the 90 % interval of that expectation.
    error : float
        Standard deviation of the expectation: the same for all pods or pots to come.
    spread : float
        Standard deviation between single pods or pots about it. For pots of the share that comes
        up of very many seeds; what few seeds do by chance comes on top.
    tried, came : int
        Own pods and the seeds in them, or own seeds sown and those that came up.
    told_by : tuple of str
    """

    mean: float
    low: float
    high: float
    error: float
    spread: float
    tried: int
    came: int
    told_by: tuple[str, ...]

    @property
    def variance(self) -> float:
        """Of one pod or pot to come: both uncertainties together."""
        return self.error**2 + self.spread**2
