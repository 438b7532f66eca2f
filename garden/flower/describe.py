"""The flower in words, in the trade's order: standards, falls, style arms, beard, haft."""

from __future__ import annotations

from garden.flower.recipe import Recipe

# Patterns that a flower of one recorded colour can have: "Ivory glaciata", "White plicata".
_OF_ONE_COLOUR = {"self", "plicata", "luminata", "glaciata", "blend", "broken colour"}


def _one_colour(recipe: Recipe) -> str:
    """The colour of the whole flower, or ``''`` when standards and falls must be told apart."""
    recorded = {recipe.standards, recipe.falls} - {""}
    if recipe.pattern in _OF_ONE_COLOUR and len(recorded) == 1:
        return recorded.pop()
    return ""


def _edge(recipe: Recipe) -> str:
    if not recipe.rim:
        return ""
    return f"stitched {recipe.rim}" if recipe.pattern == "plicata" else f"{recipe.rim} rim"


def _whole(recipe: Recipe, colour: str) -> str:
    phrases = [
        f"{colour} {recipe.pattern}",
        _edge(recipe),
        recipe.styles and f"{recipe.styles} style arms",
        recipe.beard and f"{recipe.beard} beard",
        recipe.haft and f"haft marked {recipe.haft}",
    ]
    return ", ".join(filter(None, phrases))


def _petals(recipe: Recipe) -> list[str]:
    if recipe.standards and recipe.standards == recipe.falls:
        return [", ".join(filter(None, [f"S. and F. {recipe.falls}", _edge(recipe)]))]
    falls = ", ".join(filter(None, [recipe.falls, _edge(recipe)]))
    return [
        recipe.standards and f"S. {recipe.standards}",
        falls and f"F. {falls}",
    ]


def _parts(recipe: Recipe) -> str:
    phrases = [
        *_petals(recipe),
        recipe.styles and f"style arms {recipe.styles}",
        recipe.beard and f"beard {recipe.beard}",
        recipe.haft and f"haft marked {recipe.haft}",
    ]
    told = "; ".join(filter(None, phrases))
    if recipe.pattern == "self":
        return told or "colours not recorded"
    return f"{recipe.pattern}: {told}" if told else recipe.pattern


def describe(recipe: Recipe) -> str:
    """One English sentence of what was recorded, and nothing that was not.

    S. stands for standards, F. for falls, as growers write them.

    Examples
    --------
    >>> describe(Recipe("amoena", standards="white", falls="violet", beard="orange"))
    'Amoena: S. white; F. violet; beard orange.'
    >>> describe(Recipe("self", standards="violet", beard="tangerine"))
    'Violet self, tangerine beard.'
    """
    colour = _one_colour(recipe)
    text = _whole(recipe, colour) if colour else _parts(recipe)
    return f"{text[0].upper()}{text[1:]}."
