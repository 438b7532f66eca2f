"""The square code of a label: its modules and how large it is printed.

QR code by ISO/IEC 18004 through segno. Mask 3 is set outright: trying all eight takes five times
as long and reads no better.
"""

from __future__ import annotations

from functools import lru_cache

MM = 72 / 25.4
QUIET = 4
# Four dots of a printer with 300 dots an inch.
GOOD_MODULE = 0.34 * MM
# What is aimed at where there is room.
FINE_MODULE = 0.45 * MM
LEAST_SIDE = 12.0 * MM
# A label is long when it is more than so many times as wide as high.
LONG = 4.4

Matrix = tuple[bytes, ...]


@lru_cache(maxsize=4096)
def matrix(payload: str) -> Matrix:
    """Rows of dark (1) and light (0) modules, without quiet zone; error correction M or better.

    Raises
    ------
    ValueError
        When the payload is too long for any code.
    """
    import segno

    code = segno.make_qr(payload, error="m", mask=3)
    return tuple(bytes(row) for row in code.matrix)


def modules(payload: str) -> int:
    """Modules along one side, the quiet zone of four on both sides counted."""
    return len(matrix(payload)) + 2 * QUIET


def best_side(payload: str, width: float, height: float) -> float:
    """The side in points that suits a label, quiet zone within; 0 when no code may be printed."""
    least = least_side(payload, width, height)
    if not least:
        return 0.0
    shorter = min(width, height)
    wanted = max(modules(payload) * FINE_MODULE, 0.26 * shorter + 6.5 * MM)
    if max(width, height) > LONG * shorter:
        wanted = max(wanted, 0.8 * shorter)
    return max(least, min(wanted, height, 0.42 * width))


def least_side(payload: str, width: float, height: float) -> float:
    """The smallest side in points that may be printed; 0 when even that is larger than the label.

    12 mm, and modules of 0.34 mm where the label's height and nearly half its width allow.
    """
    if not payload or min(width, height) < LEAST_SIDE - 1e-6:
        return 0.0
    wanted = modules(payload) * GOOD_MODULE
    return max(LEAST_SIDE, min(wanted, height, max(0.48 * width, LEAST_SIDE)))


def is_fine(payload: str, side: float) -> bool:
    """Whether modules are as large as a printer of 300 dots an inch needs."""
    return side / modules(payload) >= GOOD_MODULE - 1e-6


def bars(rows: Matrix) -> list[tuple[int, int, int]]:
    """(x, y, length) of every run of dark modules, in modules, from the upper left."""
    found = []
    for y, row in enumerate(rows):
        x = 0
        while (x := row.find(1, x)) >= 0:
            end = row.find(0, x)
            end = len(row) if end < 0 else end
            found.append((x, y, end - x))
            x = end
    return found
