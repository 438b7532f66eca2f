"""The flower that a plant of certain types has: ground, pigment over it, pattern and beard.

Each type says what it paints. A part painted 'ground' shows the ground colour, one painted
'pigment' the violet pigment as it looks over that ground. Which word stands for which mixture is
taste and common practice, no source is known.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from breeding.inheritance.loci import Locus, visible
from breeding.inheritance.locuscheck import DEPTHS, FIELDS
from breeding.inheritance.severalloci import Seen
from garden.flower import COLOURS, Recipe

WHITE, YELLOW, PINK, ORANGE = "white", "yellow", "pink", "apricot"
# Words that a ground of each family may be given by the parents.
GROUNDS = {
    "white": ("white", "ivory", "cream", "ice blue"),
    "yellow": ("lemon", "yellow", "gold", "mustard"),
    "pink": ("pink", "coral"),
    "orange": ("peach", "apricot", "orange"),
}
PIGMENT = "violet"
PIGMENT_FAMILIES = ("violet", "blue", "black")
# From pale to deepest; the first one that holds a word is its ladder.
LADDERS = (
    ("lavender", "violet", "purple", "deep purple", "black"),
    ("sky blue", "medium blue", "blue-violet", "indigo", "blue-black"),
    ("lilac", "orchid", "mauve", "purple", "deep purple"),
    ("sky blue", "medium blue", "navy", "indigo", "blue-black"),
)
# The same depths over a ground that is not white.
OVER = {
    "yellow": ("tan", "red-brown", "maroon", "maroon", "black"),
    "orange": ("copper", "red-brown", "maroon", "maroon", "black"),
    "pink": ("lilac", "orchid", "purple", "deep purple", "black"),
}
# Standards beside a pigment that is itself the palest.
PALEST = {"yellow": "cream", "orange": "peach", "pink": "pink"}
# Of two loci that paint one part, what stands further right wins; then any colour word.
STRENGTH = ("pigment", "paler pigment", "ground")


@dataclass(frozen=True, slots=True)
class Painted:
    """A flower as the fields of a recipe, its chance, and the outcomes that all look like it."""

    fields: Mapping[str, str]
    chance: float
    outcomes: tuple[Seen, ...]


def paint(
    loci: Sequence[Locus], types: Mapping[str, str], shades: Mapping[str, str] | None = None
) -> dict[str, str]:
    """A flower of these types, as the fields of a recipe.

    Parameters
    ----------
    loci : sequence of Locus
        Of two that paint one part in different words the later one wins.
    types : mapping of str to str
        Symbol to type key; hidden ones are passed over, so are loci that are not told.
    shades : mapping of str to str, optional
        Preferred words: 'pigment', 'white', 'yellow', 'pink' and 'orange' (grounds), or 'ground'
        for whichever family it belongs to; see `shades_of`. A word that does not suit is left out.

    Returns
    -------
    dict of str to str
        Only fields that the types tell of, and the pattern: words of the paint box.

    Raises
    ------
    KeyError
        If a type is none of its locus.

    Examples
    --------
    >>> from breeding.inheritance.loci import Confidence, Type
    >>> clear = Type("clear", "clear standards", (("Is", 1),),
    ...              {"pattern": "amoena", "standards": "ground", "falls": "pigment"})
    >>> standards = Locus("Is", "standards", ("Is", "is"), (clear, Type("full", "full")), "",
    ...                   Confidence.SUPPORTED)
    >>> paint([standards], {"Is": "clear"}, {"pigment": "indigo"})
    {'pattern': 'amoena', 'standards': 'white', 'falls': 'indigo'}
    """
    shades = shades or {}
    layers = _layers(loci, types)
    grounds = [word for field, word in layers if field == "ground"]
    ground = _ground(grounds, shades)
    depths = [word for field, word in layers if field == "pigment"]
    pigment = _pigment(depths, ground, shades)
    fields: dict[str, str] = {}
    for field, word in sorted(layers, key=lambda layer: _strength(layer[1])):
        if field in FIELDS:
            fields[field] = word
    # Where no type speaks of the petals, the ground is all there is, or what the parents have.
    bare = "ground" if grounds or "pigment" not in shades else "pigment"
    if grounds or "pigment" in shades or "standards" in fields or "falls" in fields:
        fields.setdefault("falls", fields.get("standards", bare))
        fields.setdefault("standards", fields["falls"])
    dyed = {field: _dyed(word, ground, pigment) for field, word in fields.items()}
    dyed["pattern"] = _pattern(dyed, ground)
    Recipe(**dyed)
    return {field: dyed[field] for field in FIELDS if field in dyed}


def shades_of(looks: Iterable[Mapping[str, str]]) -> dict[str, str]:
    """The words that recorded flowers, such as both parents', have for pigment and grounds.

    The commonest word of each wins, of equally common ones the first.

    Examples
    --------
    >>> shades_of([{"standards": "cream", "falls": "indigo"}, {"falls": "indigo", "rim": "pink"}])
    {'white': 'cream', 'pigment': 'indigo'}
    """
    seen: dict[str, Counter[str]] = {}
    for look in looks:
        for field in ("standards", "falls", "rim"):
            word = look.get(field) or ""
            family = _family(word)
            if family in PIGMENT_FAMILIES:
                seen.setdefault("pigment", Counter())[word] += 1
            elif field != "rim" and word in GROUNDS.get(family, ()):
                seen.setdefault(family, Counter())[word] += 1
    return {kind: words.most_common(1)[0][0] for kind, words in seen.items()}


def painted_alike(
    loci: Sequence[Locus],
    outcomes: Mapping[Seen, float],
    shades: Mapping[str, str] | None = None,
) -> list[Painted]:
    """Outcomes put together where nobody can tell their flowers apart.

    A white without pigment and a white whose pigment is held back are two outcomes by their copies,
    and one flower.

    Parameters
    ----------
    loci, shades
        As for `paint`.
    outcomes : mapping of Seen to float or Fraction
        From `joint_outcomes`.

    Returns
    -------
    list of Painted
        Likeliest first.
    """
    found: dict[tuple[tuple[str, str], ...], list[Seen]] = {}
    for seen in outcomes:
        look = tuple(paint(loci, dict(seen), shades).items())
        found.setdefault(look, []).append(seen)
    every = [
        Painted(dict(look), sum(outcomes[each] for each in seen), tuple(seen))
        for look, seen in found.items()
    ]
    return sorted(every, key=lambda painted: -painted.chance)


def _layers(loci: Sequence[Locus], types: Mapping[str, str]) -> list[tuple[str, str]]:
    """What the visible types paint, in the order of the loci."""
    shown = visible(loci, types)
    return [
        layer
        for locus in loci
        if locus.symbol in shown
        for layer in locus.type_named(shown[locus.symbol]).paint.items()
    ]


def _strength(word: str) -> int:
    return STRENGTH.index(word) if word in STRENGTH else len(STRENGTH)


def _ground(words: Sequence[str], shades: Mapping[str, str]) -> str:
    """One ground of all that are painted: white is covered, pink over yellow is orange."""
    families = {_family(word): word for word in words}
    own = {family: word for family, word in families.items() if family != "white"}
    if "yellow" in own and "pink" in own:
        word = ORANGE
    else:
        word = next(reversed(own.values()), families.get("white", WHITE))
    family = _family(word)
    for shade in (shades.get(family, ""), shades.get("ground", "")):
        if shade in GROUNDS.get(family, ()):
            return shade
    return word


def _pigment(depths: Sequence[str], ground: str, shades: Mapping[str, str]) -> str:
    """The pigment's colour over this ground; a colour word that a type paints is kept as it is."""
    for word in reversed(depths):
        if word in COLOURS:
            return word
    shade = shades.get("pigment", PIGMENT)
    if _family(shade) not in PIGMENT_FAMILIES:
        shade = PIGMENT
    ladder = _ladder(shade)
    if depths:
        shade = ladder[DEPTHS.index(depths[-1])]
    over = OVER.get(_family(ground))
    return over[ladder.index(shade)] if over and shade in ladder else shade


def _ladder(word: str) -> tuple[str, ...]:
    return next((ladder for ladder in LADDERS if word in ladder), LADDERS[0])


def _dyed(word: str, ground: str, pigment: str) -> str:
    if word == "ground":
        return ground
    if word == "pigment":
        return pigment
    return _paler(ground, pigment) if word == "paler pigment" else word


def _paler(ground: str, pigment: str) -> str:
    """A pale shade of the pigment over this ground."""
    family = _family(ground)
    palest = OVER.get(family, _ladder(pigment))[0]
    return palest if palest != pigment else PALEST.get(family, "ice blue")


def _pattern(fields: Mapping[str, str], ground: str) -> str:
    """The trade's term for what came out: an amoena on yellow is a variegata."""
    told = fields.get("pattern", "self")
    standards, falls = fields.get("standards", ""), fields.get("falls", "")
    family = _family(ground)
    if told == "amoena" and family != "white":
        return "variegata" if family == "yellow" else "bicolor"
    if told == "neglecta" and _family(falls) not in PIGMENT_FAMILIES:
        return "bitone"
    if told == "self" and standards != falls:
        return "bitone" if _family(standards) == _family(falls) else "bicolor"
    return told


def _family(word: str) -> str:
    return COLOURS[word].family if word in COLOURS else ""
