"""How an invented seedling looks: one parent's flower with something of the other's."""

from __future__ import annotations

import random

from evaluation.demo.cast import Parent
from garden.flower import COLOURS

ONE_COLOUR = ("self", "glaciata")
WHITE_STANDARDS = ("amoena",)
REASONS = (
    "nine buds and a wide stance",
    "clean colour, no veins at the haft",
    "best branching of the row",
    "wide falls that hold level",
    "beard of its own colour",
    "stood through the rain of Tuesday",
    "nothing like it here yet",
    "substance like leather",
    "two flowers open at once, well apart",
    "late, when everything else is over",
    "short for its class, but what a colour",
    "form of the seed parent, stalk of the pollen parent",
    "strong increase after one winter",
    "keeps its colour in full sun",
)
NOTES = ("", "", "", "Stalk leans a little.", "Scent of pepper.", "Look again next year.")


def child_of(dice: random.Random, seed: Parent, pollen: Parent | None) -> dict[str, object]:
    """Fields of `Plant` for a seedling of the two: colours, height and season of bloom."""
    other = pollen or seed
    base, second = dice.sample([seed, other], 2)
    looks = dict(base.colours)
    if "beard" in second.colours and dice.random() < 0.5:
        looks["beard"] = second.colours["beard"]
    _shade(dice, looks, second)
    height = (seed.height_cm + other.height_cm) / 2 + dice.gauss(0, 5)
    fields: dict[str, object] = {
        **looks,
        "height_cm": max(10, round(height)),
        "season": dice.choice([seed.season, other.season]),
        "notes": dice.choice(NOTES),
    }
    if pollen and seed.ploidy == pollen.ploidy:
        fields["ploidy"] = seed.ploidy
    if pollen and {seed.iris_class, pollen.iris_class} == {"SDB", "TB"}:
        fields["iris_class"] = "IB"
    return fields


def _shade(dice: random.Random, looks: dict[str, str], second: Parent) -> None:
    """Change colours a little without leaving the pattern."""
    pattern = looks.get("pattern", "")
    falls = neighbour(dice, looks["falls"])
    if pattern in ("bicolor", "blend") and dice.random() < 0.5:
        falls = second.colours["falls"]
    if pattern == "plicata":
        # The ground stays pale; the stitching is what varies.
        stitched = looks.get("rim") or second.colours["falls"]
        looks["rim"] = looks["haft"] = neighbour(dice, stitched)
        return
    looks["falls"] = falls
    if pattern in ONE_COLOUR:
        looks["standards"] = falls
    elif pattern not in WHITE_STANDARDS and dice.random() < 0.5:
        looks["standards"] = neighbour(dice, looks["standards"])


def neighbour(dice: random.Random, word: str) -> str:
    """The colour itself or one beside it in its drawer of the paint box."""
    drawer = [name for name, paint in COLOURS.items() if paint.family == COLOURS[word].family]
    place = drawer.index(word) + dice.choice([-1, 0, 0, 1])
    return drawer[min(max(place, 0), len(drawer) - 1)]
