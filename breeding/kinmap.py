"""A set of plants as an ordered heat map of their relationships; free of Django.

Inline SVG with presentation attributes only.
"""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np

# From which relationship on a cell is filled how, and what its number is written in. Ink or
# paper on each fill has a contrast of 7:1 or better.
INK, PAPER = "#1d1430", "#fbf7ea"
STEPS = (
    (0.5, "#2e1256", PAPER, "1/2 and more: full sibs, parent and seedling, and closer"),
    (0.25, "#5b3797", PAPER, "1/4 to 1/2: half sibs and closer"),
    (0.125, "#b9a7dc", INK, "1/8 to 1/4: first cousins and closer"),
    (0.0625, "#d8ceec", INK, "1/16 to 1/8: half first cousins and closer"),
    (2e-9, "#ece5f6", INK, "under 1/16: second cousins and less"),
)  # fmt: skip
SAME = 1e-9
NOTHING = ("#fffdf6", "#453a59", "no common ancestor is recorded")
OWN, GRID = "#fcf1c3", "#d8cfe4"
# Up to so many plants the cells are wide enough for numbers.
MOST_NUMBERED = 15
WIDE, NARROW = 46, 22
# Letters of a name, with wide and with narrow cells.
LONGEST = (22, 16)


def ordered(distance: np.ndarray) -> list[int]:
    """An order in which near things stand side by side.

    Parameters
    ----------
    distance : ndarray of float, shape (n, n)
        Symmetric, 0 or more.

    Returns
    -------
    list of int
        Every index once.

    Notes
    -----
    Clusters are joined by average linkage; each time two are joined they are laid end to end in
    that one of the four ways that brings the nearest ends together. Time grows with n³, which
    for the few dozen plants of a map is milliseconds.

    Examples
    --------
    >>> import numpy as np
    >>> ordered(np.abs(np.subtract.outer([0, 9, 1, 8], [0, 9, 1, 8])))
    [2, 0, 1, 3]
    """
    runs = [[index] for index in range(len(distance))]
    while len(runs) > 1:
        pairs = [(i, j) for i in range(len(runs)) for j in range(i)]
        i, j = min(pairs, key=lambda ij: _mean(distance, runs[ij[0]], runs[ij[1]]))
        one, other = runs[j], runs[i]
        ways = [(one, other), (one[::-1], other), (one, other[::-1]), (one[::-1], other[::-1])]
        left, right = min(ways, key=lambda way: float(distance[way[0][-1], way[1][0]]))
        runs = [run for run in runs if run is not one and run is not other] + [left + right]
    return runs[0] if runs else []


def _mean(distance: np.ndarray, one: list[int], other: list[int]) -> float:
    return float(distance[one][:, other].mean())


def nearness_order(relationship: np.ndarray) -> list[int]:
    """`ordered` by relationship over the geometric mean of both plants' own, shape (n, n)."""
    import numpy as np

    own = np.sqrt(relationship.diagonal())
    return ordered(1 - relationship / np.outer(own, own))


def fill(relationship: float) -> tuple[str, str]:
    """Colour of a cell, and of what is written in it."""
    return next(
        ((ground, ink) for least, ground, ink, _ in STEPS if relationship >= least - SAME),
        NOTHING[:2],
    )


def legend() -> list[tuple[str, str]]:
    """(swatch as SVG, words), the closest first."""
    rows = [(ground, words) for _, ground, _, words in STEPS] + [(NOTHING[0], NOTHING[2])]
    rows.append((OWN, "the plant itself: its inbreeding in %"))
    return [
        ('<svg width="22" height="22" viewBox="0 0 22 22" aria-hidden="true"><rect x="1" y="1" '
         f'width="20" height="20" fill="{ground}" stroke="#82769a"/></svg>', words)
        for ground, words in rows
    ]  # fmt: skip


def picture(
    names: Sequence[str],
    relationship: Sequence[Sequence[float]],
    inbreeding: Sequence[float],
    titles: Sequence[Sequence[str]],
    label: str,
) -> str:
    """The map as one `svg` element.

    Parameters
    ----------
    names : sequence of str, length n
    relationship : n × n floats
        In the order of `names`.
    inbreeding : sequence of float, length n
        0–1; stands on the diagonal.
    titles : n × n str
        What each cell says when it is pointed at.
    label : str
        What the picture says to somebody who does not see it.

    Returns
    -------
    str
    """
    many, numbered = len(names), len(names) <= MOST_NUMBERED
    cell = WIDE if numbered else NARROW
    size = 18 if numbered else 15
    most = LONGEST[0 if numbered else 1]
    short = [name if len(name) <= most else name[: most - 1].rstrip() + "…" for name in names]
    left = round(max(map(len, short)) * size * 0.56) + 12
    wide, high = left + many * cell + 4, left + many * cell + 4
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" class="kin-map" width="{wide}" height="{high}" '
        f'viewBox="0 0 {wide} {high}" role="img" aria-label="{escape(label)}" '
        f'font-size="{size}" fill="{INK}">'
    ]
    for at, name in enumerate(short):
        middle = left + (at + 0.5) * cell
        parts.append(
            f'<text x="{left - 8}" y="{middle + size * 0.34:.1f}" text-anchor="end">{escape(name)}'
            f'</text><text transform="translate({middle + size * 0.34:.1f} {left - 8}) '
            f'rotate(-90)">{escape(name)}</text>'
        )
    parts.append(f'<g stroke="{GRID}">')
    for row in range(many):
        for column in range(many):
            own = row == column
            ground, ink = (OWN, INK) if own else fill(relationship[row][column])
            number = inbreeding[row] if own else relationship[row][column]
            x, y = left + column * cell, left + row * cell
            text = (
                f'<text x="{x + cell / 2}" y="{y + cell / 2 + 6}" text-anchor="middle" '
                f'fill="{ink}" stroke="none">{_number(number, own)}</text>'
                if numbered else ""
            )  # fmt: skip
            parts.append(
                f'<g><title>{escape(titles[row][column])}</title><rect x="{x}" y="{y}" '
                f'width="{cell}" height="{cell}" fill="{ground}"/>{text}</g>'
            )
    return "".join([*parts, "</g></svg>"])


def _number(number: float, own: bool) -> str:
    """'.25' of a pair; whole hundredths of a plant's inbreeding."""
    if own:
        return f"{100 * number:.0f}"
    if number <= 0:
        return "0"
    if number < 0.005:
        return "&lt;.01"
    text = f"{number:.2f}"
    return text[1:] if text.startswith("0") else text
