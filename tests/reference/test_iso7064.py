"""Check characters of ISO/IEC 7064, against worked examples and against every slip of a finger.

The worked examples are "examples of ISO/IEC 7064 as carried in the documentation of
python-stdnum"; those of MOD 11-2 also the two sample identifiers of ORCID's support pages.
"""

from __future__ import annotations

import pytest
from stdnum.iso7064 import mod_11_2, mod_37_2, mod_37_36, mod_97_10

from breeding.tagnumbers import read_tag, tag_codes

FIRST_SERIAL = 1000
TAGS = [code for _, code in tag_codes(FIRST_SERIAL, 600)]


# Source of each: examples of ISO/IEC 7064 as carried in the documentation of python-stdnum.
@pytest.mark.parametrize(
    ("system", "number", "check"),
    [
        (mod_11_2.calc_check_digit, "0794", "0"),
        (mod_37_2.calc_check_digit, "G123489654321", "Y"),
        (mod_37_36.calc_check_digit, "A12425GABC1234002", "M"),
        (mod_97_10.calc_check_digits, "794", "44"),
    ],
    ids=["mod 11-2", "mod 37-2", "mod 37-36", "mod 97-10"],
)
def test_check_characters__worked_examples(system, number: str, check: str) -> None:
    assert system(number) == check


def weighted_sum(code: str) -> int:
    """MOD 11-2 by its definition: the sum of digits times 2 to the power of their place; X is 10,
    and sound codes give 1."""
    values = [10 if sign == "X" else int(sign) for sign in reversed(code)]
    return sum(value * 2**place for place, value in enumerate(values)) % 11


# Source: ORCID support, "Structure of the ORCID Identifier", which computes its check character
# by ISO/IEC 7064:2003, MOD 11-2; both are sample identifiers of those pages.
@pytest.mark.parametrize("published", ["0000-0002-1825-0097", "0000-0002-1694-233X"])
def test_check_character__published_identifiers_of_mod_11_2(published: str) -> None:
    code = published.replace("-", "")
    assert weighted_sum(code) == 1
    assert [sign for sign in "0123456789X" if weighted_sum(code[:-1] + sign) == 1] == [code[-1]]
    assert mod_11_2.calc_check_digit(code[:-1]) == code[-1]


def test_read_tag__takes_the_published_identifier_without_its_leading_zeros() -> None:
    assert read_tag("0002-1825-0097") == "000218250097"


def test_tag_codes__fulfil_the_definition_of_mod_11_2() -> None:
    assert {weighted_sum(code) for code in TAGS} == {1}


def test_tag_codes__hold_digits_only() -> None:
    assert all(code.isascii() and code.isdigit() for code in TAGS)


def test_tag_codes__pass_over_the_serials_whose_check_character_is_x() -> None:
    serials = [serial for serial, _ in tag_codes(FIRST_SERIAL, 600)]
    passed_over = set(range(FIRST_SERIAL, serials[-1])) - set(serials)
    assert len(passed_over) > 40
    assert {mod_11_2.calc_check_digit(str(serial)) for serial in passed_over} == {"X"}


def accepted(code: str) -> bool:
    try:
        read_tag(code)
    except ValueError:
        return False
    return True


def test_read_tag__takes_every_tag() -> None:
    assert [read_tag(code) for code in TAGS] == TAGS


def test_read_tag__finds_every_single_wrong_digit() -> None:
    slips = [
        code[:place] + digit + code[place + 1 :]
        for code in TAGS
        for place in range(len(code))
        for digit in "0123456789"
        if digit != code[place]
    ]
    assert len(slips) == 600 * 5 * 9
    assert [slip for slip in slips if accepted(slip)] == []


def test_read_tag__finds_every_swap_of_neighbours() -> None:
    slips = [
        code[:place] + code[place + 1] + code[place] + code[place + 2 :]
        for code in TAGS
        for place in range(len(code) - 1)
        if code[place] != code[place + 1]
    ]
    assert len(slips) > 2000
    assert [slip for slip in slips if accepted(slip)] == []
