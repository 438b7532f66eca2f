"""Flowers painted from types: in the right words, and read back as what they are."""

from __future__ import annotations

from functools import cache
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from breeding.inheritance import Confidence, Locus, Type, joint_outcomes, visible
from breeding.inheritance.painting import paint, painted_alike, shades_of
from breeding.inheritance.reading import read
from garden.flower import COLOURS, Recipe, draw
from tests.breeding.test_inheritance_loci import table

SHADES = (
    {},
    {"pigment": "medium blue", "white": "cream", "yellow": "lemon"},
    {"pigment": "lilac", "pink": "coral", "orange": "peach"},
    {"pigment": "navy", "ground": "mustard"},
    {"pigment": "black"},
    {"pigment": "sky blue", "ground": "ice blue"},
)
VIOLET = {"V": "pigment", "I": "free", "Pl": "full", "Is": "coloured", "Y": "white"}
PLAIN = VIOLET | {"t": "not-pink"}


@cache
def loci() -> tuple[Locus, ...]:
    return tuple(table().values())


def combinations() -> list[dict[str, str]]:
    keys = [[type_.key for type_ in locus.types] for locus in loci()]
    return [
        dict(zip(table(), chosen, strict=True))
        for chosen in product(*keys)
    ]  # fmt: skip


def flower(shades: dict[str, str] | None = None, **types: str) -> dict[str, str]:
    return paint(loci(), PLAIN | types, shades)


@pytest.mark.parametrize("shades", SHADES)
def test_paint__is_read_back_as_the_same_types(shades: dict[str, str]) -> None:
    """All 576 combinations: never another type than the flower's, never a hidden one."""
    for types in combinations():
        looks, shown = paint(loci(), types, shades), visible(loci(), types)
        for locus in loci():
            found = read(locus, looks)
            assert found is None or found == shown.get(locus.symbol), (locus.symbol, types, looks)


def test_paint__what_can_be_read_is_read() -> None:
    """Where a type shows and has a sign, the plain flower is read; Is and Y only in part."""
    for types in combinations():
        looks, shown = paint(loci(), types), visible(loci(), types)
        for symbol in {"V", "I", "Pl", "t"} & set(shown):
            if table()[symbol].type_named(shown[symbol]).signs:
                assert read(table()[symbol], looks) == shown[symbol]
        if types["t"] == "not-pink" and types["Y"] == "white" and "Is" in shown:
            assert read(table()["Is"], looks) == shown["Is"]


@pytest.mark.parametrize("shades", SHADES)
def test_paint__what_is_hidden_does_not_matter(shades: dict[str, str]) -> None:
    for types in combinations()[::5]:
        assert paint(loci(), visible(loci(), types), shades) == paint(loci(), types, shades)


@given(st.data())
def test_paint__does_not_depend_on_the_order_of_loci(data: st.DataObject) -> None:
    """Unless two of them hide each other, when any of the two may show."""
    types = data.draw(st.sampled_from(combinations()))
    order = data.draw(st.permutations(loci()))
    looks, other = paint(loci(), types), paint(order, types)
    if types["Pl"] == "glaciata":
        looks, other = looks | {"pattern": ""}, other | {"pattern": ""}
    assert looks == other


@pytest.mark.parametrize(
    ("types", "pattern", "standards", "falls", "beard"),
    [
        ({}, "self", "violet", "violet", "yellow"),
        ({"V": "none"}, "self", "white", "white", "yellow"),
        ({"I": "held-back"}, "self", "white", "white", "yellow"),
        ({"I": "held-back", "Y": "yellow"}, "self", "yellow", "yellow", "yellow"),
        ({"V": "none", "t": "pink"}, "self", "pink", "pink", "tangerine"),
        ({"V": "none", "t": "pink", "Y": "yellow"}, "self", "apricot", "apricot", "tangerine"),
        ({"t": "pink"}, "self", "orchid", "orchid", "tangerine"),
        ({"Y": "yellow"}, "self", "red-brown", "red-brown", "yellow"),
        ({"Is": "clear"}, "amoena", "white", "violet", "yellow"),
        ({"Is": "clear", "Y": "yellow"}, "variegata", "yellow", "red-brown", "yellow"),
        ({"Is": "clear", "t": "pink"}, "bicolor", "pink", "orchid", "tangerine"),
        ({"Is": "paled"}, "neglecta", "lavender", "violet", "yellow"),
        ({"Is": "paled", "Y": "yellow"}, "bitone", "tan", "red-brown", "yellow"),
        ({"Is": "paled", "Ae": "deepest"}, "neglecta", "lavender", "deep purple", "yellow"),
        ({"Pl": "plicata"}, "plicata", "white", "white", "yellow"),
        ({"Pl": "plicata", "Y": "yellow", "Is": "clear"}, "plicata", "yellow", "yellow", "yellow"),
        ({"Pl": "luminata"}, "luminata", "lavender", "violet", "yellow"),
        ({"Pl": "glaciata", "t": "pink"}, "glaciata", "pink", "pink", "tangerine"),
        ({"Ae": "deep"}, "self", "purple", "purple", "yellow"),
        ({"Ae": "usual"}, "self", "violet", "violet", "yellow"),
    ],
)
def test_paint__flowers_as_growers_know_them(
    types: dict[str, str], pattern: str, standards: str, falls: str, beard: str
) -> None:
    found = flower(**types)
    assert (found["pattern"], found["standards"], found["falls"]) == (pattern, standards, falls)
    assert found["beard"] == beard


@pytest.mark.parametrize(
    ("ground", "rim"),
    [({}, "violet"), ({"Y": "yellow"}, "red-brown"), ({"t": "pink"}, "orchid")],
)
def test_paint__stitching_takes_the_colour_of_pigment_over_its_ground(
    ground: dict[str, str], rim: str
) -> None:
    assert flower(Pl="plicata", **ground)["rim"] == rim


def test_paint__takes_the_parents_words() -> None:
    shades = shades_of(
        [{"standards": "ivory", "falls": "medium blue"}, {"falls": "ivory", "rim": "indigo"}]
    )
    assert shades == {"white": "ivory", "pigment": "medium blue"}
    found = flower(shades, Is="clear")
    assert (found["standards"], found["falls"]) == ("ivory", "medium blue")


def test_paint__words_that_do_not_suit_are_left_out() -> None:
    odd = {"pigment": "lemon", "white": "maroon", "ground": "navy", "pink": "raspberry"}
    assert flower(odd, Is="clear") == flower(Is="clear")
    assert flower({"pigment": "no word"}) == flower()


def test_paint__depth_of_pigment_climbs_the_parents_ladder() -> None:
    found = [
        flower({"pigment": "sky blue"}, Ae=depth)["falls"] for depth in ("usual", "deep", "deepest")
    ]
    assert found == ["medium blue", "blue-violet", "indigo"]


def test_paint__of_a_single_locus() -> None:
    only = (table()["t"],)
    assert paint(only, {"t": "pink"})["falls"] == "pink"
    assert paint(only, {"t": "not-pink"}) == {"pattern": "self", "beard": "yellow"}
    blue = paint(only, {"t": "not-pink"}, {"pigment": "medium blue"})
    assert (blue["standards"], blue["falls"]) == ("medium blue", "medium blue")
    assert paint((), {}) == {"pattern": "self"}


def test_paint__a_breeders_own_locus_wins_over_earlier_ones() -> None:
    own = Locus(
        "Bb", "blue beard", ("B", "b"),
        (Type("other", "other", (("B", 1),)), Type("blue", "blue beard", paint={"beard": "blue"})),
        "own notes", Confidence.SUPPOSED,
    )  # fmt: skip
    found = paint((*loci(), own), PLAIN | {"Bb": "blue"})
    assert (found["beard"], found["falls"]) == ("blue", "violet")
    assert paint((*loci(), own), PLAIN | {"Bb": "other"})["beard"] == "yellow"


@pytest.mark.parametrize("field", ["standards", "falls", "rim", "haft", "styles"])
def test_paint__a_colour_word_stands_over_ground_and_pigment(field: str) -> None:
    own = Locus(
        "G", "green", ("G", "g"),
        (Type("green", "green", (("G", 1),), paint={field: "green"}), Type("other", "other")),
        "own notes", Confidence.SUPPOSED,
    )  # fmt: skip
    for order in ((own, *loci()), (*loci(), own)):
        assert paint(order, PLAIN | {"G": "green"})[field] == "green"


def test_paint__a_pattern_alone_is_a_flower_too() -> None:
    own = Locus(
        "N", "neglecta", ("N", "n"),
        (Type("n", "n", (("N", 1),), paint={"pattern": "neglecta"}), Type("other", "other")),
        "own notes", Confidence.SUPPOSED,
    )  # fmt: skip
    assert draw(Recipe(**paint((own,), {"N": "n"})))


def test_paint__an_unknown_type() -> None:
    with pytest.raises(KeyError, match="scarlet"):
        paint(loci(), {"V": "scarlet"})


def test_paint__can_be_drawn() -> None:
    """Clean standards, coloured falls and a tangerine beard are on the drawing."""
    drawn = draw(Recipe(**flower(Is="clear", t="pink")), "small")
    for word in ("pink", "orchid"):
        assert COLOURS[word].hex in drawn


def test_painted_alike__whites_of_both_kinds_are_one_flower() -> None:
    both = (table()["V"], table()["I"])
    chances = {"V": {"pigment": 0.75, "none": 0.25}, "I": {"held-back": 0.75, "free": 0.25}}
    outcomes = joint_outcomes(both, chances)
    white, violet = painted_alike(both, outcomes)
    assert white.chance == pytest.approx(13 / 16)
    assert (white.fields["falls"], violet.fields["falls"]) == ("white", "violet")
    assert set(white.outcomes) | set(violet.outcomes) == set(outcomes)
