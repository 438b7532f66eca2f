"""What a person should know before labels are printed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from garden.labels.frames import Company
from garden.labels.label import Label
from garden.labels.layout import LEAST_TEXT, lay_out
from garden.labels.sheet import Sheet
from garden.labels.square import LEAST_SIDE, MM, is_fine, matrix
from garden.paper import fonts

PARTS = {
    "title": "the name",
    "parents": "the parents",
    "line": "a line",
    "flower": "the flower",
    "square": "the square code",
}


def problems(
    labels: Sequence[Label], sheet: Sheet | None = None, flowers: bool = True
) -> list[str]:
    """Sentences about labels that will not be all that was asked; none when all is well.

    Without a sheet only what would be wrong on any: signs that no font has, a payload too long.
    """
    found: dict[str, None] = {}
    if sheet:
        found |= dict.fromkeys(_of_sheet(sheet))
    company = Company.of(labels, flowers)
    for label in labels:
        found |= dict.fromkeys(_signs(label))
        if sheet and not sheet.check() and _fits_a_code(label):
            found |= dict.fromkeys(_room(label, sheet, flowers, company))
    return list(found)


def _of_sheet(sheet: Sheet) -> Iterator[str]:
    yield from sheet.check()
    if min(sheet.label_width, sheet.label_height) * MM < LEAST_SIDE - 1e-6:
        yield "Labels lower than 12 mm have no square code: type the code in letters instead."


def _fits_a_code(label: Label) -> bool:
    try:
        return not label.payload or bool(matrix(label.payload))
    except ValueError:
        return False


def _signs(label: Label) -> Iterator[str]:
    if not fonts.clean(label.code):
        yield "A label has no code in letters."
    text = " ".join((label.code, label.title, label.parents, *label.lines))
    missing = fonts.unprintable(text)
    if missing:
        signs = " ".join(missing)
        yield f"{label.code}: no font here has {signs}; a dot is printed instead."
    if not _fits_a_code(label):
        yield f"{label.code}: its address is too long for a square code."
    if label.flower and any(label.flower.values()) and label.recipe is None:
        yield f"{label.code}: its colours are not known here, so no flower is drawn."


def _room(label: Label, sheet: Sheet, flowers: bool, company: Company) -> Iterator[str]:
    size = (sheet.label_width * MM, sheet.label_height * MM)
    layout = lay_out(label, *size, flowers, company)
    low = min(sheet.label_width, sheet.label_height) * MM < LEAST_SIDE - 1e-6
    gone = [part for part in layout.left_out if not (part == "square" and low)]
    if gone:
        said = " and ".join(PARTS[part] for part in dict.fromkeys(gone))
        yield f"{label.code}: no room for {said} on {sheet.title}."
    if any(words.part == "code" and words.size < LEAST_TEXT for words in layout.words):
        yield f"{label.code}: the code in letters is very small on {sheet.title}."
    if layout.square and not is_fine(label.payload, layout.square.side):
        yield f"{label.code}: the square code is very fine on {sheet.title}; try one before many."
