"""The pages of a document: title, running head, foot with 'page n of m'."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Any

from reportlab.lib.colors import HexColor
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, Flowable, Frame, PageTemplate, Table

from garden.paper import fonts
from garden.paper.sizes import BOTTOM, FOOT, INK, SIDE, SOFT, TOP
from garden.paper.words import BOLD, NAME, TEXT, paragraph, words_width

if TYPE_CHECKING:
    from garden.paper.writing import Document

TITLE, BESIDE, SMALL = 22.0, 16.0, 8.5


class Numbered(Canvas):  # type: ignore[misc]
    """A canvas that knows how many pages there are before it writes their feet."""

    def __init__(self, *args: Any, sheet: Document, **more: Any) -> None:
        fonts.register()
        super().__init__(*args, **more | {"initialFontName": TEXT, "invariant": 1})
        self.sheet, self.kept = sheet, list[dict[str, Any]]()

    def showPage(self) -> None:
        self.kept.append(dict(self.__dict__))
        self._startPage()

    def save(self) -> None:
        for page in self.kept:
            self.__dict__.update(page)
            self.foot(len(self.kept))
            super().showPage()
        super().save()

    def foot(self, pages: int) -> None:
        width, _ = self.sheet.size
        at = f"page {self._pageNumber} of {pages}"
        said = " · ".join(each for each in (self.sheet.garden, self.sheet.day) if each)
        room = width - 2 * SIDE - words_width(at, TEXT, SMALL) - 20
        wide = words_width(said, TEXT, SMALL)
        self.setFillColor(HexColor(SOFT))
        fonts.draw(self, SIDE, BOTTOM, said, TEXT, SMALL * min(1, room / max(wide, 1)))
        right = width - SIDE - words_width(at, TEXT, SMALL)
        fonts.draw(self, right, BOTTOM, at, TEXT, SMALL)


class Pages:
    """Puts the pieces of a document on its pages."""

    def __init__(self, sheet: Document) -> None:
        self.sheet = sheet

    def build(self, story: list[Flowable]) -> bytes:
        out, sheet = io.BytesIO(), self.sheet
        width, height = sheet.size
        bottom = BOTTOM + FOOT
        sides = {"leftPadding": 0, "rightPadding": 0, "topPadding": 0, "bottomPadding": 0}
        first = Frame(SIDE, bottom, sheet.room, height - TOP - bottom, **sides)
        later = Frame(SIDE, bottom, sheet.room, sheet.height, **sides)
        maker = BaseDocTemplate(
            out, pagesize=sheet.size, title=sheet.title, author=sheet.garden, lang="en",
            leftMargin=SIDE, rightMargin=SIDE, topMargin=TOP, bottomMargin=bottom,
        )  # fmt: skip
        maker.addPageTemplates(
            [
                PageTemplate("first", [first], autoNextPageTemplate="later"),
                PageTemplate("later", [later], onPage=self.running),
            ]
        )
        head = [self.title()] if sheet.heads else []
        maker.build(
            [*head, *story], canvasmaker=lambda *args, **more: Numbered(*args, sheet=sheet, **more)
        )
        return out.getvalue()

    def title(self) -> Flowable:
        """The title, with what stands beside it, over a rule."""
        sheet = self.sheet
        beside = words_width(sheet.title_beside, BOLD, BESIDE) + 12 if sheet.title_beside else 0
        beside = min(beside, sheet.room * 0.4)
        cells: list[Any] = [paragraph(sheet.title, NAME, TITLE, leading=TITLE * 1.1)]
        wide = [sheet.room - beside]
        if beside:
            cells.append(paragraph(sheet.title_beside, BOLD, BESIDE, align="right"))
            wide.append(beside)
        style = [
            ("LINEBELOW", (0, 0), (-1, 0), 1.2, HexColor(INK)),
            ("VALIGN", (0, 0), (-1, 0), "BOTTOM"),
            ("FONT", (0, 0), (-1, -1), TEXT, 9),
            ("LEFTPADDING", (0, 0), (-1, -1), 0),
            ("RIGHTPADDING", (0, 0), (-1, -1), 0),
            ("TOPPADDING", (0, 0), (-1, -1), 0),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 5),
        ]
        return Table([cells], wide, style=style, spaceAfter=8)

    def running(self, canvas: Any, _: Any) -> None:
        """The small head of a following page."""
        sheet = self.sheet
        if not sheet.heads:
            return
        said = " · ".join(each for each in (sheet.title, sheet.title_beside) if each)
        wide = words_width(said, BOLD, 9.0)
        top = sheet.size[1] - TOP - 9
        canvas.saveState()
        canvas.setFillColor(HexColor(INK))
        fonts.draw(canvas, SIDE, top, said, BOLD, 9.0 * min(1, sheet.room / max(wide, 1)))
        canvas.setStrokeColor(HexColor(INK))
        canvas.setLineWidth(0.6)
        canvas.line(SIDE, top - 5, sheet.size[0] - SIDE, top - 5)
        canvas.restoreState()
