"""From a recipe's words to the paints of each part; what was recorded wins."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from garden.flower.colours import BEARD_COLOURS, COLOURS
from garden.flower.recipe import Recipe
from garden.flower.shade import darker, is_pale, is_warm, lighter, lightness, mix, tinted

WHITE, CREAM, YELLOW = (COLOURS[word].hex for word in ("white", "cream", "yellow"))
VIOLET, PURPLE, BRICK = (COLOURS[word].hex for word in ("violet", "purple", "red-brown"))


@dataclass(frozen=True)
class Paint:
    """Paints (``#rrggbb``) of one flower; `haft`, `rim` and `mark` are ``''`` when there is none.

    `mark` is the pattern's own second colour: stitches, pale veins, splashes or the blended-in
    tone of the falls; `flush` is that of the standards.
    """

    pattern: str
    standards: str
    falls: str
    styles: str
    beard: str
    haft: str = ""
    rim: str = ""
    mark: str = ""
    flush: str = ""


def _hex(word: str) -> str:
    return COLOURS[word].hex if word else ""


def _ground(mark: str) -> str:
    return CREAM if is_warm(mark) else WHITE


def _deep(paint: str) -> str:
    return darker(paint, 0.24) if is_pale(paint) else darker(paint, 0.15)


def _pale(paint: str) -> str:
    return tinted(paint, 0.9, 0.45)


def _self(standards: str, falls: str, rim: str) -> dict[str, str]:
    standards = standards or falls or VIOLET
    return {"standards": standards, "falls": falls or standards}


def _bitone(standards: str, falls: str, rim: str) -> dict[str, str]:
    standards = standards or (lighter(falls, 0.5) if falls else COLOURS["lavender"].hex)
    return {"standards": standards, "falls": falls or _deep(standards)}


def _bicolor(standards: str, falls: str, rim: str) -> dict[str, str]:
    standards = standards or (_ground(falls) if falls else YELLOW)
    return {"standards": standards, "falls": falls or _deep(standards)}


def _amoena(standards: str, falls: str, rim: str) -> dict[str, str]:
    return {"standards": standards or WHITE, "falls": falls or VIOLET}


def _neglecta(standards: str, falls: str, rim: str) -> dict[str, str]:
    return {"standards": standards or _pale(falls or VIOLET), "falls": falls or PURPLE}


def _variegata(standards: str, falls: str, rim: str) -> dict[str, str]:
    return {"standards": standards or YELLOW, "falls": falls or BRICK}


def _plicata(standards: str, falls: str, rim: str) -> dict[str, str]:
    dark = [paint for paint in (falls, standards) if paint and not is_pale(paint)]
    mark = rim or (dark[0] if dark else VIOLET)
    ground = falls if falls and (rim or is_pale(falls)) else ""
    ground = ground or (standards if standards and is_pale(standards) else _ground(mark))
    return {"standards": standards or ground, "falls": ground, "mark": mark, "rim": ""}


def _luminata(standards: str, falls: str, rim: str) -> dict[str, str]:
    falls = falls or standards or COLOURS["orchid"].hex
    clean = CREAM if is_warm(falls) else WHITE
    return {"standards": standards or lighter(falls, 0.3), "falls": falls, "mark": clean}


def _glaciata(standards: str, falls: str, rim: str) -> dict[str, str]:
    standards = standards or falls or WHITE
    return {"standards": standards, "falls": falls or standards}


def _blend(standards: str, falls: str, rim: str) -> dict[str, str]:
    first = standards or falls or COLOURS["apricot"].hex
    if falls and falls != first:
        return {"standards": first, "falls": falls, "mark": first, "flush": falls}
    second = mix(first, COLOURS["rose" if is_warm(first) else "tan"].hex, 0.6)
    return {"standards": first, "falls": first, "mark": second, "flush": second}


def _splash(paint: str, other: str) -> str:
    if is_pale(other) and is_pale(paint):
        return VIOLET
    if not is_pale(paint):
        return mix(paint, _ground(paint), 0.86)
    return darker(other, 0.2) if 0.72 < lightness(other) < 0.9 else other


def _broken(standards: str, falls: str, rim: str) -> dict[str, str]:
    standards = standards or falls or PURPLE
    falls = falls or standards
    return {
        "standards": standards,
        "falls": falls,
        "mark": _splash(falls, standards),
        "flush": _splash(standards, falls),
    }


_LAYOUTS = {
    "self": _self,
    "bitone": _bitone,
    "bicolor": _bicolor,
    "amoena": _amoena,
    "neglecta": _neglecta,
    "variegata": _variegata,
    "plicata": _plicata,
    "luminata": _luminata,
    "glaciata": _glaciata,
    "blend": _blend,
    "broken colour": _broken,
}


@lru_cache(maxsize=1024)
def resolve(recipe: Recipe) -> Paint:
    """Paints of every part of the flower that `recipe` describes."""
    rim = _hex(recipe.rim)
    laid = _LAYOUTS[recipe.pattern](_hex(recipe.standards), _hex(recipe.falls), rim)
    return Paint(
        pattern=recipe.pattern,
        styles=_hex(recipe.styles) or laid["standards"],
        beard=BEARD_COLOURS[recipe.beard or "yellow"].hex,
        haft=_hex(recipe.haft),
        **({"rim": rim} | laid),
    )
