"""The small drawn flower taken apart, so that a sheet can share its petals among all flowers."""

from __future__ import annotations

import re
from functools import lru_cache

from garden.flower.draw import draw
from garden.flower.recipe import Recipe

_PATH = re.compile(r"<path ([^>]*?)/?>")
_ATTRIBUTE = re.compile(r'([\w-]+)="([^"]*)"')
# How the flower's group sets what a path does not say itself.
GROUP = {"fill": "none", "stroke-width": "2", "stroke-linecap": "round"}


@lru_cache(maxsize=2048)
def petals(recipe: Recipe) -> tuple[tuple[str, tuple[tuple[str, str], ...]], ...]:
    """(path data, attributes) of each part of the small flower, back to front, 100 by 100."""
    parts = []
    for found in _PATH.findall(draw(recipe)):
        attributes = dict(_ATTRIBUTE.findall(found))
        parts.append((attributes.pop("d"), tuple(attributes.items())))
    return tuple(parts)
