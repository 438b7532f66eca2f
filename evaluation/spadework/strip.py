"""A row drawn as a strip: filled where it is dug, a flower on its stem where somebody stays.

SVG with presentation attributes only. Every fate has a shape of its own, so that colour is no
more than a help: dug a full block, not judged a low open box, moved an arrow, gone nothing.
"""

from __future__ import annotations

from evaluation.spadework.rows import Fate, SpadeRow

# CSS pixels. Fifty positions fill the width of a phone; longer rows go on in the next line.
UNIT, A_LINE, PAD = 7, 50, 4
TOP, GROUND, HEIGHT = 2, 30, 56
BLOCK, LOW = 18, 9
INK, SOFT, VIOLET, FOLIAGE, SAFFRON = "#1d1430", "#453a59", "#47207c", "#1d4c2b", "#f0ae2e"
FONT = "Atkinson Next, sans-serif"


def lines_of(row: SpadeRow) -> list[tuple[int, int, int]]:
    """(position at the left edge, first, last) of each line.

    A row that fits one line begins at its edge; a longer one is broken behind multiples of ten,
    and set in so that tens stand below tens.
    """
    first, last = row.spots[0].position, row.spots[-1].position
    if last - first < A_LINE:
        return [(first, first, last)]
    found = []
    while first <= last:
        start = (first - 1) // 10 * 10 + 1
        found.append((start, first, min(start + A_LINE - 1, last)))
        first = start + A_LINE
    return found


def numbered(first: int, last: int) -> list[int]:
    """Positions of a line that get their number: every tenth, and the first where it has room."""
    tens = [at for at in range(first, last + 1) if at % 10 == 0]
    near = tens and tens[0] - first < 4
    return tens if near else [first, *tens]


def draw_strip(row: SpadeRow) -> str:
    """The row as SVG, hidden from readers aloud: the words beside it say the same."""
    lines = lines_of(row)
    width, height = A_LINE * UNIT + 2 * PAD, HEIGHT * len(lines)
    drawn = [_line(row, *line, HEIGHT * at) for at, line in enumerate(lines)]
    return (
        f'<svg class="strip" viewBox="0 0 {width} {height}" aria-hidden="true" focusable="false">'
        f"{''.join(drawn)}</svg>"
    )


def draw_key(fate: Fate) -> str:
    """Three positions of one fate, for the key."""
    width, height = 3 * UNIT + 2 * PAD, GROUND + 4
    return (
        f'<svg class="strip-key" viewBox="0 0 {width} {height}" aria-hidden="true" '
        f'focusable="false">{_ground(PAD, width - PAD, GROUND)}{_run(fate, PAD, 3, GROUND)}</svg>'
    )


def _line(row: SpadeRow, start: int, first: int, last: int, top: int) -> str:
    ground = top + GROUND

    def x(position: int) -> int:
        return PAD + (position - start) * UNIT

    out = [_ground(x(first), x(last + 1), ground)]
    for fate, (one, other) in row.runs(first, last):
        out.append(_run(fate, x(one), other - one + 1, ground))
    for at in numbered(first, last):
        out.append(
            f'<text x="{x(at) + UNIT / 2:g}" y="{ground + 20}" text-anchor="{_anchor(at, start)}" '
            f'font-family="{FONT}" font-size="18" fill="{SOFT}">{at}</text>'
        )
    return "".join(out)


def _anchor(position: int, start: int) -> str:
    """Numbers at the edges stay within the strip."""
    if position - start < 2:
        return "start"
    return "end" if position - start > A_LINE - 3 else "middle"


def _ground(left: float, right: float, y: int) -> str:
    return f'<path d="M{left:g} {y}H{right:g}" stroke="{SOFT}" stroke-width="1.5"/>'


def _run(fate: Fate, left: float, count: int, ground: int) -> str:
    wide = count * UNIT
    if fate == Fate.DIG:
        return (
            f'<path d="M{left:g} {ground}v-{BLOCK}h{wide}v{BLOCK}z" fill="{VIOLET}"/>'
        )  # fmt: skip
    if fate == Fate.WAIT:
        return (
            f'<path d="M{left + 1:g} {ground}v-{LOW}h{wide - 2}v{LOW}" fill="none" '
            f'stroke="{INK}" stroke-width="1.5" stroke-dasharray="3 2"/>'
        )
    if fate in (Fate.LEAVE, Fate.MOVED):
        each = _flower if fate == Fate.LEAVE else _arrow
        return "".join(each(left + (at + 0.5) * UNIT, ground) for at in range(count))
    return ""


def _flower(x: float, ground: int) -> str:
    return (
        f'<path d="M{x:g} {ground}v-20" stroke="{FOLIAGE}" stroke-width="2.2"/>'
        f'<circle cx="{x:g}" cy="{ground - 22}" r="3.1" fill="{SAFFRON}" stroke="{INK}" '
        f'stroke-width="1.2"/>'
    )


def _arrow(x: float, ground: int) -> str:
    return (
        f'<path d="M{x - 2.6:g} {ground - 7}l2.6 -4l2.6 4M{x:g} {ground - 2}v-8" fill="none" '
        f'stroke="{INK}" stroke-width="1.3"/>'
    )
