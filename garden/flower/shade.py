"""Lighter, darker and mixed paints, reckoned in Oklab so that hues keep their character.

Oklab: Björn Ottosson, "A perceptual color space for image processing" (2020).
"""

from __future__ import annotations

import math
from functools import lru_cache

Lab = tuple[float, float, float]


def _to_linear(byte: int) -> float:
    value = byte / 255
    return value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4


def _to_byte(value: float) -> int:
    value = min(1.0, max(0.0, value))
    value = 12.92 * value if value <= 0.0031308 else 1.055 * value ** (1 / 2.4) - 0.055
    return round(value * 255)


@lru_cache(maxsize=512)
def lab(hex_: str) -> Lab:
    """Oklab lightness (0 to 1) and the two colour axes of ``#rrggbb``."""
    r, g, b = (_to_linear(int(hex_[i : i + 2], 16)) for i in (1, 3, 5))
    long = (0.4122214708 * r + 0.5363325363 * g + 0.0514459929 * b) ** (1 / 3)
    mid = (0.2119034982 * r + 0.6806995451 * g + 0.1073969566 * b) ** (1 / 3)
    short = (0.0883024619 * r + 0.2817188376 * g + 0.6299787005 * b) ** (1 / 3)
    return (
        0.2104542553 * long + 0.7936177850 * mid - 0.0040720468 * short,
        1.9779984951 * long - 2.4285922050 * mid + 0.4505937099 * short,
        0.0259040371 * long + 0.7827717662 * mid - 0.8086757660 * short,
    )


def to_hex(light: float, a: float, b: float) -> str:
    """The nearest ``#rrggbb`` to an Oklab colour; values outside sRGB are clipped."""
    long = (light + 0.3963377774 * a + 0.2158037573 * b) ** 3
    mid = (light - 0.1055613458 * a - 0.0638541728 * b) ** 3
    short = (light - 0.0894841775 * a - 1.2914855480 * b) ** 3
    red = 4.0767416621 * long - 3.3077115913 * mid + 0.2309699292 * short
    green = -1.2684380046 * long + 2.6097574011 * mid - 0.3413193965 * short
    blue = -0.0041960863 * long - 0.7034186147 * mid + 1.7076147010 * short
    return f"#{_to_byte(red):02x}{_to_byte(green):02x}{_to_byte(blue):02x}"


def lightness(hex_: str) -> float:
    """Oklab lightness, 0 (black) to 1 (white)."""
    return lab(hex_)[0]


def is_pale(hex_: str) -> bool:
    """Whether a paint is light enough to serve as the ground of a pattern."""
    return lightness(hex_) > 0.86


def is_warm(hex_: str) -> bool:
    """Whether a paint leans to yellow, orange or brown rather than to blue or violet."""
    _, a, b = lab(hex_)
    return b > 0.02 and b > a * 0.3


@lru_cache(maxsize=2048)
def mix(first: str, second: str, share: float) -> str:
    """`first` with `share` (0 to 1) of `second` in it."""
    one, two = lab(first), lab(second)
    return to_hex(*(p + (q - p) * share for p, q in zip(one, two, strict=True)))


def _turned(hue: float, step: float) -> float:
    """Shadows of yellow go to amber, never to olive."""
    amber = math.radians(62)
    if math.radians(70) < hue < math.radians(112):
        return hue + (amber - hue) * min(1.0, step * 3.2)
    return hue


@lru_cache(maxsize=2048)
def darker(hex_: str, step: float) -> str:
    """The same paint in shade; `step` is the loss of lightness (0.1 is a soft shadow)."""
    light, a, b = lab(hex_)
    chroma, hue = math.hypot(a, b), math.atan2(b, a)
    if chroma < 0.012:  # white petals have cool lilac shadows
        chroma, hue = 0.016 + step * 0.13, math.radians(298)
    else:
        chroma, hue = chroma * (1 + step * 0.9), _turned(hue, step)
    light = max(0.12, light - step)
    return to_hex(light, chroma * math.cos(hue), chroma * math.sin(hue))


@lru_cache(maxsize=2048)
def lighter(hex_: str, share: float) -> str:
    """The same paint in light: `share` (0 to 1) of the way to a warm white."""
    return mix(hex_, "#fffdf8", share)


def tinted(hex_: str, light: float, chroma: float) -> str:
    """A tint of the same hue at a given lightness, with `chroma` (0 to 1) of its strength."""
    _, a, b = lab(hex_)
    return to_hex(light, a * chroma, b * chroma)


@lru_cache(maxsize=512)
def line(hex_: str) -> str:
    """A fine outline for a petal that reads on cream, on white and on dark violet."""
    light = lightness(hex_)
    if light < 0.42:  # dark petals are drawn with a line of light
        return lighter(hex_, 0.34)
    return darker(hex_, 0.35 if light > 0.93 else 0.25)
