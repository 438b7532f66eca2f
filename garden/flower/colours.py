"""The words growers use for iris colours and patterns, and the paint each word stands for."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Colour:
    """One colour word: `hex` is ``#rrggbb``, `family` the drawer of the paint box it lies in."""

    word: str
    hex: str
    family: str


@dataclass(frozen=True)
class Pattern:
    """One trade term for the way colours are laid on a flower, with its meaning."""

    term: str
    meaning: str


_PAINTS = {
    "white": "white #fbfaf7, ivory #f8f2df, cream #f6e8b9, ice blue #dde6f6",
    "yellow": "lemon #f6e35c, yellow #f3c722, gold #dd9c1c, mustard #b78a2b",
    "orange": "peach #f9cdae, apricot #f5b679, orange #ec7f2b, copper #b9683c",
    "pink": "pink #f3b2c0, coral #f08b78, rose #d86f90, raspberry #a7305c",
    "red": "brick #a2482f, red-brown #7f3024, maroon #5d1830",
    "brown": "tan #c79d6c, brown #70442a",
    "violet": "lavender #c4b6e6, lilac #d6b3df, orchid #c07ec2, mauve #a2809f, violet #7b4fb8, "
    "purple #612c8a, deep purple #421761",
    "blue": "sky blue #a6c5ec, medium blue #5d87d0, blue-violet #5950ba, indigo #38297f, "
    "navy #22336f",
    "black": "blue-black #1b1a3c, black #231a24",
    "green": "chartreuse #cdd06c, green #95aa58",
}

_BEARDS = {
    "white": "white #fbfaf5",
    "yellow": "lemon #f9e55a, yellow #f8c81c, gold #e39d12, mustard #ad7f1f",
    "orange": "orange #f28417, tangerine #f15d16, coral #f0705a",
    "red": "red #cf2f20",
    "brown": "bronze #8f5a22, brown #67401f",
    "blue": "lavender #b7a4e2, violet #6f45b0, blue #4f74cc",
    "black": "black #281d2b",
}


def _paint_box(paints: dict[str, str]) -> dict[str, Colour]:
    box = {}
    for family, row in paints.items():
        for entry in row.split(", "):
            word, hex_ = entry.rsplit(" ", 1)
            box[word] = Colour(word, hex_, family)
    return box


COLOURS: dict[str, Colour] = _paint_box(_PAINTS)
BEARD_COLOURS: dict[str, Colour] = _paint_box(_BEARDS)

PATTERNS: dict[str, Pattern] = {
    term: Pattern(term, meaning)
    for term, meaning in (
        ("self", "Standards and falls are one colour."),
        ("bitone", "The falls are a darker shade of the standards' colour."),
        ("bicolor", "Standards and falls are two different colours."),
        ("amoena", "White standards over coloured falls."),
        ("neglecta", "Pale blue or violet standards over darker blue or violet falls."),
        ("variegata", "Yellow standards over brown or red falls."),
        ("plicata", "A pale ground, stitched or dotted with colour at the edges."),
        ("luminata", "A wash of colour parted by pale veins, with a clean pale heart."),
        ("glaciata", "A clean pale flower without any violet marking."),
        ("blend", "Two or more colours run into each other on every petal."),
        ("broken colour", "Irregular splashes and streaks of a second colour."),
    )
}
