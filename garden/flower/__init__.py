"""The iris drawn from its record: a flower seen from the front, as SVG, and in words."""

from __future__ import annotations

from garden.flower.colours import BEARD_COLOURS, COLOURS, PATTERNS, Colour, Pattern
from garden.flower.describe import describe
from garden.flower.draw import draw
from garden.flower.recipe import Recipe

__all__ = [
    "BEARD_COLOURS",
    "COLOURS",
    "PATTERNS",
    "Colour",
    "Pattern",
    "Recipe",
    "describe",
    "draw",
]
