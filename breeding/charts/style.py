"""Sizes and inks of a chart, in chart units: CSS pixels on the page, scaled on paper."""

from __future__ import annotations

from dataclasses import dataclass

# The notebook's inks (static/css/tokens.css).
INK, SOFT, EDGE = "#1d1430", "#453a59", "#82769a"
VIOLET, FOLIAGE, BEARD, ROSE = "#47207c", "#1d4c2b", "#c4650a", "#8a1738"
PAPER = "#fffdf6"
# Nothing is set smaller: the page promises 18 px on a phone.
LEAST = 18.0
# Width of the line of the subject itself; others by the root of their share.
HEAVY, HAIRLINE = 4.4, 0.8


@dataclass(frozen=True)
class Style:
    """How roomy a chart is set.

    `cap` is the widest a label may be before it shrinks and wraps; `gap` the least blank between
    two nodes of one generation; `channel` the blank between two generations; `kin` what is added
    between branches for each generation that they hold; `smalls` whether the words beside the
    names are set; `bloom` scales the flowers (0: none), `crowd_bloom` those of crowded
    generations; `tight` sets names close to their lines.
    """

    cap: float = 300.0
    gap: float = 14.0
    channel: float = 46.0
    kin: float = 5.0
    smalls: bool = True
    bloom: float = 1.0
    crowd_bloom: float = 1.0
    tight: bool = False


SCREEN = Style()
# More than so many places in a generation are set on one line each, with a small flower.
CROWD = 18
NAMES = (32.0, 24.0, 22.0, 21.0)
BLOOMS = (132.0, 64.0, 52.0, 46.0, 42.0)
CROWDED_BLOOM, CROWDED_NAME = 30.0, 20.0
SMALL, LEAD = 18.0, 1.12


def weight(share: float) -> float:
    """Width of a line for a contribution of `share` (0 to 1)."""
    return round(max(HAIRLINE, HEAVY * max(0.0, share) ** 0.5), 1)
