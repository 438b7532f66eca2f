"""The flower on a plant's page: shaded petals with veins, folds, hafts and fuzzy beards."""

from __future__ import annotations

import random

from garden.flower.forms import FORMS, LOWER, UPPER, Form
from garden.flower.geometry import Petal
from garden.flower.marks import ellipse, splashes
from garden.flower.paint import Paint
from garden.flower.parts import beard, front_style, side_style
from garden.flower.shade import darker, is_pale, lighter, lightness, line, mix

_MIRROR = ' transform="matrix(-1 0 0 1 100 0)"'


def _stops(*stops: tuple[float, str, float]) -> str:
    return "".join(
        f'<stop offset="{offset:g}" stop-color="{paint}"'
        + (f' stop-opacity="{opacity:g}"/>' if opacity < 1 else "/>")
        for offset, paint, opacity in stops
    )


def _linear(id_: str, ends: str, stops: str) -> str:
    x1, y1, x2, y2 = ends.split()
    axis = f'x1="{x1}" y1="{y1}" x2="{x2}" y2="{y2}"'
    return (
        f'<linearGradient id="{id_}" gradientUnits="userSpaceOnUse" {axis}>{stops}</linearGradient>'
    )


def _radial(id_: str, place: str, stops: str) -> str:
    cx, cy, r = place.split()
    axis = f'cx="{cx}" cy="{cy}" r="{r}"'
    return (
        f'<radialGradient id="{id_}" gradientUnits="userSpaceOnUse" {axis}>{stops}</radialGradient>'
    )


def _soft(id_: str, paint: str, opacity: float) -> str:
    stops = _stops((0, paint, opacity), (0.5, paint, opacity * 0.45), (1, paint, 0))
    return f'<radialGradient id="{id_}">{stops}</radialGradient>'


def _light(paint: str, share: float) -> str:
    """Light on a petal; dark petals take less of it and so keep their depth."""
    return lighter(paint, share * (0.45 if lightness(paint) < 0.4 else 1))


def _gradients(paint: Paint, key: str) -> str:
    s, f = paint.standards, paint.falls
    s_low, f_out = s, f
    if paint.pattern == "blend":
        s_low, f_out = mix(s, paint.flush, 0.85), mix(f, paint.mark, 0.8)
    if paint.pattern == "luminata":
        s_low = mix(s, paint.mark, 0.6)
    upper = _stops(
        (0, darker(s_low, 0.1), 1), (0.3, s_low, 1), (0.72, s, 1), (1, _light(s, 0.34), 1)
    )
    lower = _stops(
        (0, darker(f, 0.12), 1), (0.34, f, 1), (0.68, mix(_light(f, 0.16), f_out, 0.5), 1),
        (1, darker(f_out, 0.05), 1),
    )  # fmt: skip
    deep = 0.6 if is_pale(s) else 1
    under = mix(f, paint.rim, 0.5) if paint.rim else f
    inside = _stops(
        (0, _light(s, 0.1), 1),
        (0.35, darker(s, 0.07 * deep), 1),
        (1, darker(s_low, 0.22 * deep), 1),
    )
    return (
        _linear(key + "gB", "50 2 50 50", inside)
        + _linear(key + "gS", "42 56 32 6", upper)
        + _radial(key + "gL", "46 54 46", lower)
        + _radial(key + "gF", "50 52 47", lower)
        + _soft(key + "h", "#fff", 0.22 if lightness(f) < 0.4 else 0.42)
        + _soft(key + "d", darker(under, 0.28), 0.35 if is_pale(f) else 0.6)
        + _soft(key + "e", darker(s, 0.25), 0.35 if is_pale(s) else 0.5)
        + _glow(paint, key)
    )


def _glow(paint: Paint, key: str) -> str:
    if paint.pattern == "luminata":
        stops = _stops((0, paint.mark, 1), (0.5, paint.mark, 0.85), (1, paint.mark, 0))
        return f'<radialGradient id="{key}m">{stops}</radialGradient>'
    return _soft(key + "m", mix(paint.beard, "#e4e08a", 0.4), 0.4) if is_pale(paint.falls) else ""


def _outlines(key: str) -> str:
    return "".join(
        f'<path id="{key}{form.name}" d="{form.outline}"/>'
        f'<clipPath id="{key}k{form.name}"><use href="#{key}{form.name}"/></clipPath>'
        for form in FORMS
    )


def _strokes(data: str, paint: str, width: float, opacity: float = 1.0) -> str:
    fade = f' opacity="{opacity:g}"' if opacity < 1 else ""
    return f'<path d="{data}" stroke="{paint}" stroke-width="{width:g}"{fade}/>'


def _veins(form: Form, base: str, paint: Paint) -> str:
    if paint.pattern == "luminata":
        tone = mix(base, paint.mark, 0.75)
        return _strokes(form.veins, tone, 0.65, 0.85) + _strokes(form.forks, tone, 0.45, 0.75)
    tone = darker(base, 0.16 if lightness(base) > 0.4 else 0.12)
    faint = 0.25 if paint.pattern == "glaciata" else 0.5
    fine = "" if paint.mark else _strokes(form.forks, tone, 0.3, faint)
    return _strokes(form.veins, tone, 0.4, faint) + fine


def _texture(form: Form, base: str, paint: Paint, key: str) -> str:
    """Veins, the creases of the ruffles, and light on the rolled margin."""
    rimmed = paint.rim and form.petal in LOWER
    light = _light(paint.rim if rimmed else base, 0.6)
    roll = f'<use href="#{key}{form.name}" stroke="{light}" stroke-width="2" opacity=".4"/>'
    if rimmed or paint.pattern == "plicata":  # the edge is busy enough
        return roll
    return f'<path d="{form.creases}" fill="{darker(base, 0.14)}" opacity=".28"/>{roll}'


def _stitched(form: Form, paint: Paint, key: str) -> str:
    """Plicata: a breath of colour on the margin, fine close stitches, longer ones and dots."""
    use = f'<use href="#{key}{form.name}" stroke="{paint.mark}" stroke-width='
    return (
        f'{use}"4" opacity=".28"/>{use}"5" stroke-linecap="butt" stroke-dasharray=".5 .8 .5 1.1"/>'
        + _strokes(form.stitches, paint.mark, 0.7)
    )


def _marks(form: Form, base: str, paint: Paint, key: str) -> str:
    """What lies on one petal besides its own colour: rim, stitches, haft marks."""
    upper = form.petal in UPPER
    marks = ""
    if paint.pattern == "plicata" and (not upper or is_pale(base)):
        marks = _stitched(form, paint, key)
    if upper:
        return marks
    if paint.rim:
        use = f'<use href="#{key}{form.name}" stroke="{paint.rim}" stroke-dasharray="{form.rim}"'
        marks += f'{use} stroke-width="8" opacity=".4"/>{use} stroke-width="5.6"/>'
    if paint.haft:
        marks += _strokes(form.hafts, paint.haft, 1.1, 0.9)
    return marks


def _broken(petal: Petal, paint: Paint, rng: random.Random) -> str:
    if paint.pattern != "broken colour":
        return ""
    data = splashes(petal, 4, rng, 1.9) + splashes(petal, 5, rng, 0.6)
    return f'<path d="{data}" fill="{paint.flush if petal in UPPER else paint.mark}"/>'


def _edge(form: Form, base: str, paint: Paint) -> str:
    if form.petal in UPPER:
        return line(base)
    if paint.pattern == "blend":
        return line(mix(base, paint.mark, 0.7))
    return line(paint.rim or base)


def _petal(form: Form, base: str, paint: Paint, key: str, soft: str) -> str:
    """One petal: its gradient, marks, soft lights and shadows in its clip, and a fine line."""
    name = key + form.name
    return (
        f'<g clip-path="url(#{key}k{form.name})"><use href="#{name}" fill="url(#{key}g{form.name})"'
        f"/>{_veins(form, base, paint)}{_marks(form, base, paint, key)}"
        f"{_texture(form, base, paint, key)}{soft}</g>"
        f'<use href="#{name}" stroke="{_edge(form, base, paint)}" stroke-width=".4"/>'
    )


def _heart(key: str, paint: Paint, x: float, y: float, rx: float, ry: float, turn: float) -> str:
    """The clean heart of a luminata, or a glow of the beard on a pale fall."""
    if paint.pattern != "luminata" and not is_pale(paint.falls):
        return ""
    return ellipse(x, y, rx, ry, turn, f"url(#{key}m)")


def _twice(id_: str, left: str) -> str:
    return f'<g id="{id_}">{left}</g><use href="#{id_}"{_MIRROR}/>'


def _over(form: Form, paint: Paint, key: str, rng: random.Random, mirror: bool) -> str:
    """Splashes, which differ from petal to petal and so are laid on after mirroring."""
    marks = _broken(form.petal, paint, rng)
    if not marks:
        return ""
    side = _MIRROR if mirror else ""
    return f'<g clip-path="url(#{key}k{form.name})"{side}>{marks}</g>'


def _side_fall_light(paint: Paint, key: str) -> str:
    return (
        ellipse(17, 60, 8, 15, 32, f"url(#{key}h)")
        + ellipse(40, 49, 13, 8, 20, f"url(#{key}d)")
        + ellipse(27, 68, 14, 7, -40, f"url(#{key}d)")
        + _heart(key, paint, 31, 50, 16, 8, 8)
    )


def _front_fall_light(paint: Paint, key: str) -> str:
    return (
        ellipse(36, 79, 8, 14, 18, f"url(#{key}h)")
        + ellipse(64, 79, 8, 14, -18, f"url(#{key}h)")
        + ellipse(50, 55, 8, 9, 0, f"url(#{key}d)")
        + ellipse(50, 82, 3.4, 16, 0, f"url(#{key}d)")
        + _heart(key, paint, 50, 65, 11, 19, 0)
    )


def _standard_light(key: str) -> str:
    return (
        ellipse(33, 24, 7, 17, 12, f"url(#{key}h)")
        + ellipse(44, 50, 9, 12, -30, f"url(#{key}e)")
        + ellipse(24, 36, 5, 18, -18, f"url(#{key}e)")
    )


def draw_large(paint: Paint, key: str) -> str:
    """Inner markup of the large flower; `key` begins every id and steers where splashes fall."""
    rng = random.Random(key)
    s, f = paint.standards, paint.falls
    back, standard, side, front = FORMS
    hollow = ellipse(50, 46, 12, 20, 0, f"url(#{key}e)")
    parts = (
        f"<defs>{_outlines(key)}{_gradients(paint, key)}</defs>",
        '<g fill="none" stroke-linecap="round" stroke-linejoin="round">',
        _petal(back, darker(s, 0.06), paint, key, hollow),
        _over(back, paint, key, rng, False),
        _twice(key + "l", _petal(side, f, paint, key, _side_fall_light(paint, key))),
        _over(side, paint, key, rng, False),
        _over(side, paint, key, rng, True),
        _twice(key + "b", beard(paint.beard, front=False) + side_style(paint.styles)),
        _twice(key + "s", _petal(standard, s, paint, key, _standard_light(key))),
        _over(standard, paint, key, rng, False),
        _over(standard, paint, key, rng, True),
        _petal(front, f, paint, key, _front_fall_light(paint, key)),
        _over(front, paint, key, rng, False),
        beard(paint.beard, front=True),
        front_style(paint.styles),
        "</g>",
    )
    return "".join(parts)
