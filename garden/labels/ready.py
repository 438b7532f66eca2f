"""Ready-made sheets and rolls, named by their measures only.

Papers: A4 by ISO 216, Letter 8½ × 11 in. Where a measure is one of inches it stands in mm to the
hundredth. White edges are equal on both sides.
"""

from __future__ import annotations

from garden.labels.sheet import PAPERS, Sheet

INCH = 25.4
# (columns, rows, width, height, gap between columns, gap between rows)
Grid = tuple[int, int, float, float, float, float]
A4: tuple[Grid, ...] = (
    (1, 24, 190, 12, 0, 0),
    (2, 22, 95, 12, 0, 0),
    (2, 18, 95, 15, 0, 0),
    (1, 14, 190, 20, 0, 0),
    (5, 13, 38.1, 21.2, 2.5, 0),
    (4, 12, 45.7, 21.2, 2.5, 0),
    (4, 10, 48.5, 25.4, 0, 0),
    (3, 11, 70, 25.4, 0, 0),
    (3, 8, 63.5, 33.9, 2.5, 0),
    (3, 8, 70, 36, 0, 0),
    (3, 8, 70, 37, 0, 0),
    (3, 7, 63.5, 38.1, 2.5, 0),
    (2, 7, 99.1, 38.1, 2.5, 0),
    (2, 4, 99.1, 67.7, 2.5, 0),
    (2, 4, 105, 74, 0, 0),
    (2, 2, 105, 148, 0, 0),
)
LETTER: tuple[Grid, ...] = (
    (1, 20, 7.5 * INCH, 0.5 * INCH, 0, 0),
    (4, 20, 1.75 * INCH, 0.5 * INCH, 0.3 * INCH, 0),
    (3, 10, 2.625 * INCH, 1 * INCH, 0.125 * INCH, 0),
    (2, 10, 4 * INCH, 1 * INCH, 0.1875 * INCH, 0),
    (2, 7, 4 * INCH, 4 / 3 * INCH, 0.1875 * INCH, 0),
    (2, 5, 4 * INCH, 2 * INCH, 0.1875 * INCH, 0),
    (2, 3, 4 * INCH, 10 / 3 * INCH, 0.1875 * INCH, 0),
    (2, 2, 4 * INCH, 5 * INCH, 0.25 * INCH, 0),
)
# (width of the roll, length of a label, whether the text runs along the roll)
ROLLS: tuple[tuple[float, float, bool], ...] = (
    (12, 50, True),
    (12, 90, True),
    (15, 150, True),
    (18, 60, True),
    (24, 70, True),
    (25, 200, True),
    (29, 62, True),
    (29, 90, True),
    (36, 89, True),
    (38, 25, False),
    (50, 25, False),
    (57, 32, False),
    (62, 40, False),
    (62, 100, False),
    (76, 51, False),
    (102, 51, False),
    (102, 76, False),
    (102, 152, False),
)


def _of_paper(paper: str, grid: Grid) -> tuple[str, Sheet]:
    columns, rows, wide, high, gap_x, gap_y = grid
    page_width, page_height = PAPERS[paper]
    measures = f"{round(wide, 2):g} × {round(high, 2):g}"
    sheet = Sheet(
        title=f"{paper}, {columns * rows} of {measures} mm",
        page_width=page_width,
        page_height=page_height,
        columns=columns,
        rows=rows,
        label_width=wide,
        label_height=high,
        left=(page_width - columns * wide - (columns - 1) * gap_x) / 2,
        top=(page_height - rows * high - (rows - 1) * gap_y) / 2,
        gap_x=gap_x,
        gap_y=gap_y,
    )
    return f"{paper.lower()}-{columns * rows}-{_slug(wide, high)}", sheet


def _of_roll(wide: float, long: float, along: bool) -> tuple[str, Sheet]:
    width, height = (long, wide) if along else (wide, long)
    sheet = Sheet(
        title=f"Roll {wide:g} mm wide, labels of {width:g} × {height:g} mm",
        page_width=width,
        page_height=height,
        columns=1,
        rows=1,
        label_width=width,
        label_height=height,
        left=0,
        top=0,
        roll=True,
    )
    return f"roll-{_slug(wide, long)}", sheet


def _slug(*measures: float) -> str:
    return "x".join(f"{one:.4g}".replace(".", "-") for one in measures)


READY: dict[str, Sheet] = dict(
    [_of_paper("A4", grid) for grid in A4]
    + [_of_paper("Letter", grid) for grid in LETTER]
    + [_of_roll(*roll) for roll in ROLLS]
)
