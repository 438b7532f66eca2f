"""Sheets to print: quiet pages, black on white, on A4 or Letter. Free of Django.

    sheet = document("Cross 26-014", garden="Hill garden", day="12 May 2026", paper="Letter")
    sheet.heading("Flowers worked")
    sheet.text("Three stigmas each.")
    sheet.facts([("Seed parent", "Lantern Hill"), ("Height", "91 cm")])
    sheet.table(["Tag", "Day", "Seen"], [["10013", "3 May", BOX]], right=(1,))
    sheet.picture(recipe, 40)
    sheet.field("Remarks", lines=2)
    answer = sheet.pdf()

`document(title, garden, day, paper="A4", across=False, beside="", heads=True) -> Document`:
the title heads the first page and, small, each following one; the foot of each page tells garden,
title, day and 'page n of m'. `across` lays the sheet on its side; `beside` stands at the right of
the title (a code); `heads=False` leaves the title off the pages. Words are plain text, never
markup; they wrap and are never cut; signs that no font has are drawn as '·'.

Of a Document, in the order in which they go on the paper:

- `.heading(text, level=2)`: 2 or 3; never the last line of a page.
- `.text(text, face=TEXT, size=10.5)`: a paragraph; `face` TEXT, BOLD, NAME or ITALIC.
- `.note(text)`: the same, smaller, for sources and reservations.
- `.facts(pairs, columns=1)`: names and values side by side.
- `.table(head, rows, widths=(), right=(), faces={}, size=9.5, ruled=True)`: repeats its head on
  each page and breaks between rows only (a row higher than a page is parted). A cell is text, BOX
  (a box to tick), LINE (a line to write on), a `Recipe` (its drawn flower) or a flowable of
  reportlab. `widths` in mm (0: what is left, in equal parts); without them columns share the room
  by what they hold. `right`: columns set flush right; `faces`: {column: face}.
- `.picture(what, width, height=0, caption="", side="left")`: a flower's `Recipe`, a drawing of
  reportlab, or the bytes of a PNG or JPEG; mm; the height follows where it is 0.
- `.beside(what, width)`: as a picture, at the left of the very next piece only.
- `.field(label, lines=1)`: a label and lines to write on; `.fields(labels)`: several side by side,
  a line each; `.boxes(label, words)`: words to tick.
- `.remarks(label="Remarks", most=4)`: lines to write on in what is left of the page, if any.
- `.gap(mm)`, `.turn()`: a blank; a new page. `.add(*flowables)`: pieces of one's own.
- `.together()`: `with sheet.together():` keeps what is added on one page where it fits.
- `.room`: width between the margins, in points; `.height`: that of a page below its head.
- `.pdf() -> bytes`. Call it once.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from garden.paper.fonts import BOLD, ITALIC, NAME, TEXT
    from garden.paper.pieces import BOX, LINE
    from garden.paper.sizes import PAPERS
    from garden.paper.writing import Document, document

__all__ = ["BOLD", "BOX", "ITALIC", "LINE", "NAME", "PAPERS", "TEXT", "Document", "document"]
# The PDF library is loaded when the first of these is asked for, not with the fonts' names.
_WHERE = {
    **dict.fromkeys(("BOLD", "ITALIC", "NAME", "TEXT"), "fonts"),
    **dict.fromkeys(("BOX", "LINE"), "pieces"),
    **dict.fromkeys(("Document", "document"), "writing"),
    "PAPERS": "sizes",
}


def __getattr__(name: str) -> Any:
    if name not in _WHERE:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_WHERE[name]}"), name)
