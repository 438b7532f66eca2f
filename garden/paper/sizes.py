"""Papers, margins and inks of a sheet; lengths in points."""

from __future__ import annotations

from reportlab.lib.pagesizes import A4, LETTER
from reportlab.lib.units import mm

PAPERS = {"A4": A4, "Letter": LETTER}
SIDE, TOP, BOTTOM = 15 * mm, 14 * mm, 12 * mm
# What stands above and below the words of a page.
RUNNING, FOOT = 8 * mm, 7 * mm
# Ink, soft ink and edge on white paper: 18:1, 8.6:1 and 3.2:1.
INK, SOFT, EDGE, RULE = "#000000", "#4d4d4d", "#8c8c8c", "#bdbdbd"


def page_size(paper: str, across: bool = False) -> tuple[float, float]:
    """Width and height; raises KeyError for an unknown paper."""
    width, height = PAPERS[paper]
    return (height, width) if across else (width, height)
