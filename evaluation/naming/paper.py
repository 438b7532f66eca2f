"""The registration dossier on paper."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from evaluation.naming.dossier import AUTHORITY
from evaluation.naming.parts import Part

if TYPE_CHECKING:
    from garden.flower import Recipe

LABEL, VALUE = 38.0, 62.0
# Photos are fitted into a square, side by side; mm.
PHOTO, GAP = 72.0, 8.0


def dossier_pdf(
    title: str,
    parts: Sequence[Part],
    missing: Sequence[str],
    garden: str,
    day: str,
    paper: str = "A4",
    flower: Recipe | None = None,
    photos: Sequence[tuple[bytes, str]] = (),
) -> bytes:
    """The whole dossier; what is missing first. `photos` are JPEGs with their captions.

    Raises KeyError when the paper is neither 'A4' nor 'Letter'.
    """
    # The PDF library is loaded when the first sheet is asked for, not at every start.
    from garden.paper import BOLD, BOX, document

    sheet = document(f"Registration dossier: {title}", garden=garden, day=day, paper=paper)
    if flower is not None:
        sheet.beside(flower, 26)
    sheet.text(AUTHORITY)
    if missing:
        sheet.heading("Still missing", 3)
        sheet.table([], [[BOX, each] for each in missing], widths=[7, 0], ruled=False)
    for part in parts:
        with sheet.together():
            sheet.heading(part.title)
            rows = [[fact.label, fact.text, fact.beside] for fact in part.facts]
            if any(row[2] for row in rows):
                sheet.table([], rows, widths=[LABEL, VALUE, 0], faces={1: BOLD})
            else:
                sheet.table([], [row[:2] for row in rows], widths=[LABEL, 0], faces={1: BOLD})
            for note in part.notes:
                sheet.note(note)
    if photos:
        with sheet.together():
            sheet.heading("Photos")
            sheet.table(
                [], [[_picture(content) for content, _ in photos], [told for _, told in photos]],
                widths=[PHOTO + GAP] * len(photos), ruled=False,
            )  # fmt: skip
    sheet.field("Remarks", lines=3)
    return sheet.pdf()


def _picture(content: bytes) -> Any:
    """A photo as high as it is long, or as wide, in its place."""
    import io

    from reportlab.lib.units import mm
    from reportlab.platypus import Image

    return Image(io.BytesIO(content), PHOTO * mm, PHOTO * mm, kind="proportional", hAlign="LEFT")
