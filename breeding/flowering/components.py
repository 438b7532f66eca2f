"""How much seasons, plants and single notes differ: what is usual, and what the notes say."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace


@dataclass(frozen=True, slots=True)
class Components:
    """Standard deviations, in days.

    Attributes
    ----------
    year : float
        Between seasons of the garden.
    lettered, plain : float
        Between plants of one class: about their recorded season, and where none is recorded.
    length : float
        Between plants of one class in how long they bloom.
    turn : float
        One plant in one year about its place and the year's shift, all stages together.
    note : float
        A single note about that.
    """

    year: float = 8.0
    lettered: float = 4.0
    plain: float = 6.0
    length: float = 2.5
    turn: float = 2.5
    note: float = 1.5

    def variances(self) -> dict[str, float]:
        return {each.name: getattr(self, each.name) ** 2 for each in fields(self)}


# Assumptions, not measured; from memory of what gardens tell.
USUAL = Components()
# As how many seasons, plants, plants' years or notes the usual value weighs beside those noted.
WEIGHTS = {"year": 4, "lettered": 10, "plain": 10, "length": 10, "turn": 20, "note": 20}
WORDS = {
    "year": ("Seasons differ", "season", "seasons"),
    "lettered": ("Plants of one class and recorded season differ", "plant", "plants"),
    "plain": ("Plants of one class without a recorded season differ", "plant", "plants"),
    "length": ("Plants of one class differ in their length of bloom", "plant", "plants"),
    "turn": ("A plant turns from its place in the season", "plant's year", "plants' years"),
    "note": ("A note strays", "note", "notes"),
}


def pooled(expected: Mapping[str, float], counted: Mapping[str, int]) -> Components:
    """The usual variances beside expected sums of squares over so many things of each kind."""
    usual = USUAL.variances()
    found = {
        name: ((WEIGHTS[name] * usual[name] + expected[name]) / (WEIGHTS[name] + counted[name]))
        ** 0.5
        for name in WEIGHTS
    }
    return replace(USUAL, **found)


def told(found: Components, counted: Mapping[str, int]) -> tuple[str, ...]:
    """One sentence for each component: its size, and whether it is estimated or the usual one."""
    said = []
    for name, (words, thing, plural) in WORDS.items():
        many = counted[name]
        spread = f"{words} by about {getattr(found, name):.1f} days"
        if not many:
            said.append(f"{spread}: a usual value, nothing noted tells.")
            continue
        things = f"{many:,} {thing if many == 1 else plural}"
        sure = "estimated from" if many >= WEIGHTS[name] else "mostly a usual value, beside"
        said.append(f"{spread}: {sure} {things}.")
    return tuple(said)
