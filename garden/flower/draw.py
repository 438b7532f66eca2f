"""One flower as one `svg` element."""

from __future__ import annotations

import hashlib
from functools import lru_cache
from html import escape

from garden.flower.large import draw_large
from garden.flower.paint import resolve
from garden.flower.recipe import Recipe
from garden.flower.small import draw_small

SIZES = {"small": (24, draw_small), "large": (300, draw_large)}


def _key(recipe: Recipe) -> str:
    """What ids begin with: the same recipe gives the same ids and the same content."""
    text = "|".join(recipe.__dict__.values())
    return "i" + hashlib.blake2s(text.encode(), digest_size=3).hexdigest()


@lru_cache(maxsize=2048)
def draw(recipe: Recipe, size: str = "small", title: str = "") -> str:
    """The flower of `recipe` as an SVG string with presentation attributes only.

    Parameters
    ----------
    recipe
        Pattern and colour words; what is not recorded is filled in from what is.
    size
        ``"small"`` (flat, 24 px) or ``"large"`` (shaded, 300 px). Ids of a large flower begin
        with a digest of the recipe, so the same flower may stand twice on one page.
    title
        Text for people who do not see it; without one the flower is hidden from readers.

    Raises
    ------
    ValueError
        When `size` is neither of the two.
    """
    if size not in SIZES:
        raise ValueError(f"size: unknown word {size!r}")
    pixels, painter = SIZES[size]
    named = f'role="img"><title>{escape(title)}</title>' if title else 'aria-hidden="true">'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="flower flower-{size}" '
        f'viewBox="0 0 100 100" width="{pixels}" height="{pixels}" {named}'
        f"{painter(resolve(recipe), _key(recipe))}</svg>"
    )
