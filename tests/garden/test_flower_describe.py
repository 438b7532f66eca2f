from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from garden.flower import BEARD_COLOURS, COLOURS, PATTERNS, Recipe, describe

CASES = {
    "Violet self, tangerine beard.": Recipe("self", "violet", beard="tangerine"),
    "Pink self, white rim, cream style arms, coral beard, haft marked brown.": Recipe(
        "self", "pink", "pink", "cream", "coral", "brown", "white"
    ),
    "S. lavender; F. deep purple, white rim; beard tangerine; haft marked brown.": Recipe(
        "self", "lavender", "deep purple", beard="tangerine", haft="brown", rim="white"
    ),
    "Bitone: S. lilac; F. purple; beard yellow.": Recipe(
        "bitone", "lilac", "purple", beard="yellow"
    ),
    "Bicolor: S. peach; F. maroon; style arms apricot.": Recipe(
        "bicolor", "peach", "maroon", "apricot"
    ),
    "Amoena: S. white; F. violet, lavender rim; beard orange.": Recipe(
        "amoena", "white", "violet", beard="orange", rim="lavender"
    ),
    "Neglecta: S. sky blue; F. navy.": Recipe("neglecta", "sky blue", "navy"),
    "Variegata: S. gold; F. red-brown; beard mustard; haft marked brown.": Recipe(
        "variegata", "gold", "red-brown", beard="mustard", haft="brown"
    ),
    "White plicata, stitched violet, yellow beard.": Recipe(
        "plicata", "white", "white", beard="yellow", rim="violet"
    ),
    "Plicata: S. purple; F. cream, stitched purple.": Recipe(
        "plicata", "purple", "cream", rim="purple"
    ),
    "Luminata: S. orchid; F. purple; beard tangerine.": Recipe(
        "luminata", "orchid", "purple", beard="tangerine"
    ),
    "Ivory glaciata, white beard.": Recipe("glaciata", "ivory", beard="white"),
    "Blend: S. apricot; F. rose.": Recipe("blend", "apricot", "rose"),
    "Maroon broken colour, bronze beard.": Recipe("broken colour", falls="maroon", beard="bronze"),
}


@pytest.mark.parametrize("text", CASES)
def test_describe__pattern(text):
    assert describe(CASES[text]) == text


def test_describe__cases_cover_every_pattern():
    assert {recipe.pattern for recipe in CASES.values()} == set(PATTERNS)


@pytest.mark.parametrize(
    ("recipe", "text"),
    [
        (Recipe(), "Colours not recorded."),
        (Recipe("neglecta"), "Neglecta."),
        (Recipe(beard="blue"), "Beard blue."),
        (Recipe("amoena", falls="navy"), "Amoena: F. navy."),
        (Recipe("plicata", rim="brick"), "Plicata: F. stitched brick."),
        (Recipe("bitone", "rose", "rose"), "Bitone: S. and F. rose."),
    ],
)
def test_describe__incomplete_record_tells_only_what_is_there(recipe, text):
    assert describe(recipe) == text


colour = st.sampled_from(["", *COLOURS])


@given(
    st.builds(
        Recipe,
        pattern=st.sampled_from(list(PATTERNS)),
        standards=colour,
        falls=colour,
        styles=colour,
        beard=st.sampled_from(["", *BEARD_COLOURS]),
        haft=colour,
        rim=colour,
    )
)
def test_describe__any_recipe_is_one_sentence_with_every_recorded_word(recipe):
    text = describe(recipe)
    assert text.endswith(".")
    assert text[0].isupper()
    assert "  " not in text
    for word in (
        recipe.standards,
        recipe.falls,
        recipe.styles,
        recipe.beard,
        recipe.haft,
        recipe.rim,
    ):
        assert word in text.lower()
