"""A bloom stalk: its buds by socket, how long it blooms, and its picture. Free of Django."""

from __future__ import annotations

from evaluation.stalk.blooming import Bloom, Opening, bloom_days
from evaluation.stalk.drawing import draw_stalk, tappable_stalk
from evaluation.stalk.stalk import Stalk, StalkError, format_stalk, parse_stalk

__all__ = [
    "Bloom",
    "Opening",
    "Stalk",
    "StalkError",
    "bloom_days",
    "draw_stalk",
    "format_stalk",
    "parse_stalk",
    "tappable_stalk",
]
