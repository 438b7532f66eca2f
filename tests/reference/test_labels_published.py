"""Papers and square codes against what is published."""

from __future__ import annotations

import pytest

from garden.labels import READY
from garden.labels.sheet import PAPERS
from garden.labels.square import bars, is_fine, matrix, modules

MM = 72 / 25.4


def test_a4__is_a0_halved_four_times() -> None:
    """ISO 216: A0 is 841 × 1189 mm; each size halves the longer side, rounded down."""
    short, long = 841, 1189
    for _ in range(4):
        short, long = long // 2, short
    assert PAPERS["A4"] == (short, long) == (210, 297)


def test_letter__is_eight_and_a_half_by_eleven_inches() -> None:
    """ANSI/ASME Y14.1, size A: 8.5 × 11 in; an inch is 25.4 mm."""
    assert PAPERS["Letter"] == pytest.approx((8.5 * 25.4, 11 * 25.4))


def test_labels_of_two_by_two__on_a4_are_nearly_a6() -> None:
    """ISO 216: A6 is 105 × 148 mm."""
    sheet = READY["a4-4-105x148"]
    assert (sheet.label_width, sheet.label_height) == (105, 148)


@pytest.mark.parametrize(("version", "most"), [(1, 20), (2, 38), (3, 61), (4, 90), (5, 122)])
def test_code__capacity_and_modules_by_version(version: int, most: int) -> None:
    """ISO/IEC 18004: 17 + 4·version modules; alphanumeric capacities at level M (table 7)."""
    assert len(matrix("A" * most)) == 17 + 4 * version
    assert len(matrix("A" * (most + 1))) == 17 + 4 * (version + 1)


def test_code__quiet_zone_is_four_modules_on_every_side() -> None:
    """ISO/IEC 18004: four modules. The worked case: 50 characters, version 3, 400 dots an inch,
    4 dots a module: 7.366 mm, with the quiet zone 9.398 mm."""
    text = "A" * 50
    module = 4 * 25.4 / 400
    assert len(matrix(text)) * module == pytest.approx(7.366)
    assert modules(text) * module == pytest.approx(9.398)


def test_code__four_dots_of_a_printer_make_a_module() -> None:
    """Four dots at 300 dots an inch are 0.34 mm: a version 3 code is then 12.5 mm wide."""
    assert is_fine("A" * 50, 12.58 * MM)
    assert not is_fine("A" * 50, 12.4 * MM)


def test_code__format_says_level_m_and_mask_three() -> None:
    """ISO/IEC 18004, 7.9 and annex C: level M is 00, the mask 011; ten check bits by the generator
    10100110111; all covered with 101010000010010. Eight of them stand in row 8 from the left, the
    timing pattern in column 6 passed over, and seven in column 8 from below."""
    data = rest = 0b00011 << 10
    for bit in range(14, 9, -1):
        if rest >> bit & 1:
            rest ^= 0b10100110111 << bit - 10
    wanted = f"{(data | rest) ^ 0b101010000010010:015b}"
    rows = matrix("HTTP://HAFT-7K.LOCAL:8000/T/0012345")
    assert [rows[8][x] for x in (0, 1, 2, 3, 4, 5, 7, 8)] == [int(bit) for bit in wanted[:8]]
    assert [rows[-1 - y][8] for y in range(7)] == [int(bit) for bit in wanted[:7]]


def test_bars__are_the_dark_modules() -> None:
    rows = matrix("HTTP://HAFT-7K.LOCAL:8000/T/0012345")
    again = [bytearray(len(row)) for row in rows]
    for x, y, length in bars(rows):
        assert not any(again[y][x : x + length])
        again[y][x : x + length] = b"\x01" * length
    assert [bytes(row) for row in again] == list(rows)
