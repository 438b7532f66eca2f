"""Words on a sheet: plain text set in the notebook's faces, wrapped and never cut."""

from __future__ import annotations

from functools import lru_cache
from html import escape
from typing import Any

from reportlab.lib.colors import HexColor
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Paragraph

from garden.paper import fonts
from garden.paper.sizes import INK

__all__ = ["BOLD", "ITALIC", "NAME", "TEXT", "clean", "markup", "paragraph", "style", "words_width"]

clean = fonts.clean
TEXT, BOLD, NAME, ITALIC = fonts.TEXT, fonts.BOLD, fonts.NAME, fonts.ITALIC
ALIGN = {"left": 0, "centre": 1, "right": 2}


@lru_cache(maxsize=8192)
def markup(text: str, face: str, size: float) -> str:
    """`text` as a paragraph takes it: escaped, each run in a font that has its signs."""
    lines = [clean(line) for line in text.splitlines()] or [""]
    return "<br/>".join(
        "".join(_run(*run, face, size) for run in fonts.runs(line, face)) for line in lines
    )


def _run(piece: str, font: str, face: str, size: float) -> str:
    if font == face:
        return escape(piece)
    size *= fonts.BESIDE.get((face, font), 1.0)
    return f'<font name="{font}" size="{size:.2f}">{escape(piece)}</font>'


@lru_cache(maxsize=256)
def style(face: str, size: float, align: str = "left", ink: str = INK, **more: Any) -> Any:
    """How a paragraph is set; sizes in points."""
    fonts.register()
    return ParagraphStyle(
        f"{face} {size} {align} {ink} {more}",
        fontName=face,
        fontSize=size,
        leading=more.pop("leading", size * 1.25),
        alignment=ALIGN[align],
        textColor=HexColor(ink),
        splitLongWords=1,
        **more,
    )


def paragraph(text: str, face: str = TEXT, size: float = 10.5, **more: Any) -> Paragraph:
    """`text` as one flowable; `more` as `style` takes it."""
    return Paragraph(markup(str(text), face, size), style(face, size, **more))


def words_width(text: str, face: str, size: float) -> float:
    """Width in points of `text` on one line."""
    return float(fonts.width(clean(text), face, size))
