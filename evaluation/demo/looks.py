"""How an invented seedling looks: what its genes show, in its parents' shades. Free of Django.

The types at the loci are painted; the exact shade of the pigment, of the ground and of the beard is
its own, as far as it does not belie the types: what is read off a flower is true in this story.
"""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence

from breeding.inheritance.loci import Locus
from breeding.inheritance.painting import GROUNDS, LADDERS, paint, shades_of
from breeding.inheritance.reading import read_all
from evaluation.demo.cast import COLOUR_FIELDS, Parent
from evaluation.demo.genes import class_of
from garden.flower import COLOURS

PETALS = ("standards", "falls", "rim")
PIGMENTS = ("violet", "blue", "black", "red", "brown")
# Pigment over pink or orange, in drawers of other colours.
OVER_PINK = ("rose", "raspberry", "copper")
BROKEN, BLEND = "broken colour", "blend"
# Falls on which a black haft is seen.
DARK = ("purple", "deep purple", "indigo", "navy", "blue-black", "black", "maroon")
# Beards that fit the pink of t, and those that fit everything else.
PINK_BEARDS = ("tangerine", "coral", "red", "orange")
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


def child_of(
    dice: random.Random,
    loci: Sequence[Locus],
    types: Mapping[str, str],
    seed: Parent,
    pollen: Parent | None,
) -> dict[str, object]:
    """Fields of `Plant` for a seedling of the two: colours, height, season of bloom, class."""
    other = pollen or seed
    height = (seed.height_cm + other.height_cm) / 2 + dice.gauss(0, 5)
    fields: dict[str, object] = {
        **flower_of(dice, loci, types, [seed.colours, other.colours]),
        "height_cm": max(10, round(height)),
        "season": dice.choice([seed.season, other.season]),
        "notes": dice.choice(NOTES),
    }
    if pollen and seed.ploidy == pollen.ploidy:
        fields["ploidy"] = seed.ploidy
    if iris_class := class_of(seed.iris_class, other.iris_class):
        fields["iris_class"] = iris_class
    return fields


def flower_of(
    dice: random.Random,
    loci: Sequence[Locus],
    types: Mapping[str, str],
    parents: Sequence[Mapping[str, str]],
) -> dict[str, str]:
    """A flower of these types, in shades of its parents' flowers or beside them."""
    one, other = dice.sample(list(parents), 2)
    look = paint(loci, types, shades_of([one, other]))
    for change in (_shaded, _lightened, _bearded, _splashed, _marked):
        changed = change(dice, look, one, other)
        if is_true(loci, types, changed):
            look = changed
    return {name: look[name] for name in COLOUR_FIELDS if look.get(name)}


def is_true(loci: Sequence[Locus], types: Mapping[str, str], look: Mapping[str, str]) -> bool:
    """Whether nothing that is read off the colours belies the types."""
    return all(types[symbol] == key for symbol, key in read_all(loci, look).items())


def is_pigment(word: str) -> bool:
    """Whether a colour word tells of violet pigment, alone or over a ground."""
    return word in OVER_PINK or (word in COLOURS and COLOURS[word].family in PIGMENTS)


Look = dict[str, str]
Colours = Mapping[str, str]


def _shaded(dice: random.Random, look: Look, one: Colours, other: Colours) -> Look:
    """The pigment a step paler or deeper than the rule has it."""
    word = look.get("rim") or look.get("falls", "")
    steps = {"standards": look.get("standards"), "falls": look.get("falls")}
    ladder: tuple[str, ...] = next((each for each in LADDERS if word in each), ())
    if not ladder:
        return look
    place = ladder.index(word) + dice.choice((-1, 0, 0, 1))
    new = ladder[min(max(place, 0), len(ladder) - 1)]
    changed = {name: new if name in PETALS and is_ == word else is_ for name, is_ in look.items()}
    apart = steps["standards"] != steps["falls"]
    return look if apart and changed["standards"] == changed["falls"] else changed


def _lightened(dice: random.Random, look: Look, one: Colours, other: Colours) -> Look:
    """The ground a neighbouring word of its family."""
    word = look.get("standards", "")
    words = next((each for each in GROUNDS.values() if word in each), ())
    if not words or dice.random() < 0.6:
        return look
    place = words.index(word) + dice.choice((-1, 1))
    new = words[min(max(place, 0), len(words) - 1)]
    return {name: new if name in PETALS and is_ == word else is_ for name, is_ in look.items()}


def _bearded(dice: random.Random, look: Look, one: Colours, other: Colours) -> Look:
    """One parent's beard, where it goes with the rest."""
    beard = dice.choice((look.get("beard", ""), one.get("beard", ""), other.get("beard", "")))
    pink = look.get("beard") in PINK_BEARDS
    return {**look, "beard": beard} if beard and (beard in PINK_BEARDS) == pink else look


def _splashed(dice: random.Random, look: Look, one: Colours, other: Colours) -> Look:
    """Broken colour and blending, which no locus of the story explains, run in families."""
    plain = look.get("pattern") in ("self", "bitone") and is_pigment(look.get("falls", ""))
    in_the_family = {one.get("pattern"), other.get("pattern")}
    for pattern, share in ((BROKEN, 0.4), (BLEND, 0.3)):
        if plain and pattern in in_the_family and dice.random() < share:
            return {**look, "pattern": pattern}
    return look


def _marked(dice: random.Random, look: Look, one: Colours, other: Colours) -> Look:
    """Style arms like the standards or like the falls' markings; hafts of a parent's colour."""
    marks = look.get("rim", "")
    styles = dice.choice((look.get("standards", ""), look.get("standards", ""), marks))
    marked = {**look, "styles": styles or look.get("standards", "")}
    if marks:
        marked["haft"] = marks
    elif "haft" not in look:
        haft = dice.choice((one.get("haft", ""), other.get("haft", ""), ""))
        falls = look.get("falls", "")
        dark = COLOURS[haft].family == "black" if haft else False
        if falls in DARK or not (dark or (is_pigment(haft) and not is_pigment(falls))):
            marked["haft"] = haft
    return marked
