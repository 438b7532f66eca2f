"""Codes on labels: written, read back, refused when one sign is wrong."""

from __future__ import annotations

import contextlib
import string

import pytest
import segno
from hypothesis import given
from hypothesis import strategies as st
from stdnum.iso7064 import mod_37_36

from garden.labels.codes import PLANT, ROW, key_of, keyed, near, payload, read

SIGNS = string.digits + string.ascii_uppercase
KEYS = st.integers(1, 10**12)
LETTERS = st.sampled_from([PLANT, ROW])
BASES = st.sampled_from(
    ["http://millrace.local:8000", "https://millrace.local", "http://192.168.1.20:8003/"]
)


@given(letter=LETTERS, key=KEYS)
def test_keyed__gives_the_key_back(letter: str, key: int) -> None:
    code = keyed(letter, key)
    assert key_of(code, letter) == key
    assert key_of(code, PLANT if letter == ROW else ROW) is None
    assert mod_37_36.is_valid(code)


@given(letter=LETTERS, key=st.integers(1, 10**6), data=st.data())
def test_read__refuses_one_wrong_sign(letter: str, key: int, data: st.DataObject) -> None:
    code = keyed(letter, key)
    at = data.draw(st.integers(1, len(code) - 1))
    sign = data.draw(st.sampled_from([one for one in SIGNS if one != code[at]]))
    with pytest.raises(ValueError, match="mistyped"):
        read(code[:at] + sign + code[at + 1 :])


@given(letter=LETTERS, key=st.integers(10, 10**6), data=st.data())
def test_near__holds_the_code_that_was_meant(letter: str, key: int, data: st.DataObject) -> None:
    code = keyed(letter, key)
    at = data.draw(st.integers(1, len(code) - 2))
    slips = {
        "wrong": code[:at] + str((int(code[at]) + 1) % 10) + code[at + 1 :],
        "left out": code[:at] + code[at + 1 :],
        "doubled": code[:at] + code[at] + code[at:],
    }
    typed = slips[data.draw(st.sampled_from(sorted(slips)))]
    assert code in near(typed)


@given(base=BASES, letter=LETTERS, key=KEYS, low=st.booleans())
def test_read__takes_the_last_part_of_any_address(
    base: str, letter: str, key: int, low: bool
) -> None:
    code = keyed(letter, key)
    address = payload(base, code)
    assert read(address.lower() if low else address) == code
    assert read(f" {address}/?page=1 ") == code


@pytest.mark.parametrize(
    ("typed", "code"),
    [
        ("26-014c", "26-014C"),
        (" 26 - 014 - 1 ", "26-014-1"),
        ("26–014–1–2", "26-014-1-2"),
        ("1 0013", "10013"),
        ("https://elsewhere.example/t/26-014", "26-014"),
        ("HTTP://OLD.LOCAL:8000/T/26%2D014/", "26-014"),
    ],
)
def test_read__takes_codes_as_people_write_them(typed: str, code: str) -> None:
    assert read(typed) == code


@pytest.mark.parametrize(
    "typed",
    [
        "",
        "   ",
        "Teapot, white",
        "http://x/plants/3/",
        "½",
        "x" * 500,
        "P",
        "-",
        "P0A",
        "2\x00",
        "١٢",
    ],
)
def test_read__refuses_what_can_be_no_code(typed: str) -> None:
    with pytest.raises(ValueError, match=r"\.$"):
        read(typed)


@given(st.text(max_size=60))
def test_read__raises_nothing_else(typed: str) -> None:
    with contextlib.suppress(ValueError):
        assert read(typed) == read(typed).upper()
    assert all(one == one.upper() for one in near(typed))


@given(base=BASES, key=st.integers(1, 10**7))
def test_payload__goes_into_the_alphanumeric_mode(base: str, key: int) -> None:
    # ISO/IEC 18004:2015, 7.3.4: digits, capitals and nine signs.
    code = segno.make(payload(base, keyed(PLANT, key)), error="m", micro=False)
    assert code.mode == "alphanumeric"
    assert code.version <= 4


def test_payload__refuses_an_address_that_mode_cannot_hold() -> None:
    with pytest.raises(ValueError, match="signs"):
        payload("http://mühle.local", "26-014")
    with pytest.raises(ValueError, match="signs"):
        payload("http://mill_race.local", "26-014")
