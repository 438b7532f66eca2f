"""Numbers of tie tags: a serial number and a check digit by ISO/IEC 7064, MOD 11-2.

MOD 11-2 finds every single wrong digit and every swap of two digits. One serial in eleven would
need the check character X, which no number pad has: those serials are passed over.
"""

from __future__ import annotations

from collections.abc import Iterator

from stdnum.exceptions import InvalidFormat, ValidationError
from stdnum.iso7064 import mod_11_2


def tag_code(serial: int) -> str | None:
    """The tag's number with its check digit; None for a serial that is passed over."""
    check = mod_11_2.calc_check_digit(str(serial))
    return None if check == "X" else f"{serial}{check}"


def tag_codes(first_serial: int, count: int) -> Iterator[tuple[int, str]]:
    """`count` pairs (serial, number) from `first_serial` on."""
    serial = first_serial
    while count:
        if code := tag_code(serial):
            yield serial, code
            count -= 1
        serial += 1


def read_tag(text: str) -> str:
    """The tag's number as typed, without spaces and dashes.

    Raises ValueError with a sentence when it is no number, or when its check digit does not fit.
    """
    code = "".join(sign for sign in text if not sign.isspace() and sign not in "-.#")
    if not (code.isascii() and code.isdigit() and 2 <= len(code) <= 12):
        raise ValueError("A tag number has only digits: type it as it stands on the tag.")
    try:
        mod_11_2.validate(code)
    except (InvalidFormat, ValidationError):
        raise ValueError(
            f"{code} is mistyped: its last digit does not fit the others. Look at the tag again."
        ) from None
    return code
