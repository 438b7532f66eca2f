from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from breeding.tagnumbers import read_tag, tag_code, tag_codes


def test_tag_code__serial_with_its_check_digit() -> None:
    # 1*16 + 0*8 + 0*4 + 0*2 = 16; 16 + 7 = 23 = 2*11 + 1.
    assert tag_code(1000) == "10007"


def test_tag_code__none_where_the_check_would_be_x() -> None:
    # 1*16 + 0*8 + 0*4 + 4*2 = 24 = 2 modulo 11; only 10 brings that to 1.
    assert tag_code(1004) is None


def test_tag_codes__none_asked() -> None:
    assert list(tag_codes(1000, 0)) == []


def test_tag_codes__one() -> None:
    assert list(tag_codes(1004, 1)) == [(1005, "10058")]


@given(st.integers(0, 10**9), st.integers(1, 30))
def test_tag_codes__as_many_as_asked_rising_and_readable(first: int, count: int) -> None:
    pairs = list(tag_codes(first, count))
    assert len(pairs) == count
    assert pairs == sorted(set(pairs))
    assert all(read_tag(code) == code for _, code in pairs)


@pytest.mark.parametrize("typed", ["10007", " 10007 ", "1000 7", "1000-7", "#10007", "1.000.7"])
def test_read_tag__without_what_stands_around_the_digits(typed: str) -> None:
    assert read_tag(typed) == "10007"


@pytest.mark.parametrize("typed", ["", "7", "tag", "1000x", "-", "１０００７", "1" * 13, "10 007;"])
def test_read_tag__no_number(typed: str) -> None:
    with pytest.raises(ValueError, match="only digits"):
        read_tag(typed)


def test_read_tag__mistyped() -> None:
    with pytest.raises(ValueError, match="10008 is mistyped"):
        read_tag("1000 8")
