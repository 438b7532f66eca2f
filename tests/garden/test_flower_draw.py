from __future__ import annotations

import re
import subprocess
import sys
from time import perf_counter
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from garden.flower import BEARD_COLOURS, COLOURS, PATTERNS, Recipe, draw
from garden.flower.paint import resolve
from garden.flower.shade import is_pale, lightness

SVG = "{http://www.w3.org/2000/svg}"
FORBIDDEN = re.compile(r"style=|<style|script|\son\w+=|filter|<image|https?://(?!www\.w3\.org)")
colour = st.sampled_from(["", *COLOURS])
recipes = st.builds(
    Recipe,
    pattern=st.sampled_from(list(PATTERNS)),
    standards=colour,
    falls=colour,
    styles=colour,
    beard=st.sampled_from(["", *BEARD_COLOURS]),
    haft=colour,
    rim=colour,
)
TYPICAL = [
    Recipe("self", "violet", beard="tangerine"),
    Recipe("bitone", "lavender", "violet"),
    Recipe("bicolor", "cream", "maroon", rim="cream", haft="white"),
    Recipe("amoena", "white", "purple", rim="lavender"),
    Recipe("neglecta", "sky blue", "navy"),
    Recipe("variegata", "gold", "red-brown", haft="brown"),
    Recipe("plicata", "white", "white", rim="violet"),
    Recipe("luminata", "orchid", "purple"),
    Recipe("glaciata", "ice blue", beard="white"),
    Recipe("blend", "apricot", "rose"),
    Recipe("broken colour", "lavender", "white"),
]


def ids_of(root):
    return [node.get("id") for node in root.iter() if node.get("id")]


def ids_wanted(svg):
    return set(re.findall(r"url\(#([^)]+)\)", svg)) | set(re.findall(r'href="#([^"]+)"', svg))


def check(svg):
    root = ElementTree.fromstring(svg)
    assert root.tag == SVG + "svg"
    assert root.get("viewBox") == "0 0 100 100"
    assert not FORBIDDEN.search(svg)
    assert not re.search(r"\d\.\d\d", re.sub(r'(opacity|offset|width)="[^"]*"', "", svg))
    ids = ids_of(root)
    assert len(ids) == len(set(ids))
    assert ids_wanted(svg) <= set(ids)
    return root


@pytest.mark.parametrize("size", ["small", "large"])
@pytest.mark.parametrize("pattern", PATTERNS)
def test_draw__pattern_alone_is_well_formed(pattern, size):
    root = check(draw(Recipe(pattern), size))
    assert root.get("class") == f"flower flower-{size}"
    assert root.get("width") == root.get("height") == {"small": "24", "large": "300"}[size]


@settings(max_examples=150, deadline=None)
@given(recipes, st.sampled_from(["small", "large"]), st.text(max_size=12))
def test_draw__any_recipe_is_well_formed(recipe, size, title):
    check(draw(recipe, size, title="".join(filter(str.isprintable, title))))


def test_draw__title_is_escaped_and_names_the_picture():
    root = check(draw(Recipe(), title='a <b> & "c"'))
    assert root.get("role") == "img"
    assert root.find(SVG + "title").text == 'a <b> & "c"'
    assert root.get("aria-hidden") is None


def test_draw__without_title_is_hidden_from_readers():
    root = check(draw(Recipe()))
    assert root.get("aria-hidden") == "true"
    assert root.find(SVG + "title") is None


@pytest.mark.parametrize("recipe", TYPICAL)
def test_draw__small_keeps_to_its_bytes(recipe):
    assert len(draw(recipe).encode()) <= 1900
    assert "Gradient" not in draw(recipe)
    assert "id=" not in draw(recipe)


def test_draw__small_self_keeps_to_its_bytes():
    assert len(draw(TYPICAL[0]).encode()) <= 1400


@settings(max_examples=60, deadline=None)
@given(recipes)
def test_draw__large_keeps_to_its_bytes(recipe):
    plain = recipe.pattern in {"self", "bitone", "bicolor", "glaciata"}
    plain = plain and not recipe.rim and not recipe.haft
    assert len(draw(recipe, "large").encode()) <= (14_500 if plain else 17_000)


def test_draw__is_the_same_in_another_process():
    code = (
        "from garden.flower import Recipe, draw;"
        "print(draw(Recipe('broken colour', 'maroon'), 'large'), end='')"
    )
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert told.stdout == draw(Recipe("broken colour", "maroon"), "large")


def test_draw__two_recipes_share_no_ids():
    one, two = (ElementTree.fromstring(draw(recipe, "large")) for recipe in TYPICAL[:2])
    assert not set(ids_of(one)) & set(ids_of(two))


def test_draw__each_pattern_differs_on_the_same_petals():
    laid = ("self", "plicata", "luminata", "blend", "broken colour")
    for size in ("small", "large"):
        assert len({draw(Recipe(term, "lavender", "white"), size) for term in laid}) == len(laid)


def test_draw__recorded_paints_are_in_the_picture():
    recipe = Recipe("bicolor", "peach", "navy", "cream", "red", "white", "gold")
    paints = [COLOURS[word].hex for word in ("peach", "navy", "cream", "white", "gold")]
    svg = draw(recipe)
    assert all(paint in svg for paint in [*paints, BEARD_COLOURS["red"].hex])


def test_draw__raises_on_unknown_size():
    with pytest.raises(ValueError, match="size: .*huge"):
        draw(Recipe(), "huge")


def test_draw__warm_is_quick():
    draw(TYPICAL[0])
    start = perf_counter()
    for _ in range(1000):
        draw(TYPICAL[0])
    assert (perf_counter() - start) / 1000 < 0.000_15


def test_draw__needs_no_django():
    code = (
        "import sys, garden.flower; print(any(name.startswith('django') for name in sys.modules))"
    )
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert told.stdout.strip() == "False"


@pytest.mark.parametrize("pattern", ["self", "blend", "luminata", "glaciata", "broken colour"])
def test_resolve__falls_take_the_standards_colour(pattern):
    paint = resolve(Recipe(pattern, "rose"))
    assert paint.falls == paint.standards == paint.styles == COLOURS["rose"].hex


@pytest.mark.parametrize("pattern", ["bitone", "amoena", "neglecta", "variegata"])
def test_resolve__falls_are_darker_when_nothing_is_recorded(pattern):
    paint = resolve(Recipe(pattern))
    assert lightness(paint.falls) < lightness(paint.standards) - 0.1


def test_resolve__beard_is_yellow_when_not_recorded():
    assert resolve(Recipe()).beard == BEARD_COLOURS["yellow"].hex


@pytest.mark.parametrize(
    "recipe",
    [
        Recipe("plicata", rim="violet"),
        Recipe("plicata", "violet"),
        Recipe("plicata", falls="violet"),
        Recipe("plicata", "violet", "white"),
    ],
)
def test_resolve__plicata_is_violet_on_a_pale_ground(recipe):
    paint = resolve(recipe)
    assert paint.mark == COLOURS["violet"].hex
    assert is_pale(paint.falls)


def test_resolve__brown_plicata_has_a_cream_ground():
    assert resolve(Recipe("plicata", rim="brick")).falls == COLOURS["cream"].hex


@settings(max_examples=100)
@given(recipes)
def test_resolve__recorded_colours_win(recipe):
    paint = resolve(recipe)
    if recipe.standards:
        assert paint.standards == COLOURS[recipe.standards].hex
    if recipe.falls and recipe.pattern != "plicata":
        assert paint.falls == COLOURS[recipe.falls].hex
    if recipe.beard:
        assert paint.beard == BEARD_COLOURS[recipe.beard].hex
