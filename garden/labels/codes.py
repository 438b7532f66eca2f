"""What labels carry: short codes with a check character, and the address in a QR code.

Tags, cups, pots, crosses and seedlings are called by the numbers they have. A plant is `P`, its key
and a check character, a row `R` likewise: ISO/IEC 7064, MOD 37,36, which finds every single wrong
sign and nearly every swap of two neighbours.

An address is written in capitals, so that a QR code holds it in the alphanumeric mode of ISO/IEC
18004, with the fewest and so the largest squares. Only its last part is ever read back: a label
outlives the address that the garden had when it was printed.
"""

from __future__ import annotations

import re
from itertools import pairwise
from urllib.parse import unquote

from stdnum.exceptions import ValidationError
from stdnum.iso7064 import mod_37_36

PLANT, ROW = "P", "R"
LONGEST = 24
# A whole text that somebody pasted, or that a QR code of anybody held.
LONGEST_TEXT = 400
ALPHANUMERIC = re.compile(r"[0-9A-Z $%*+\-./:]*")
IN_ADDRESS = re.compile(r"/t/([^/?#]+)/?(?:[?#].*)?$", re.IGNORECASE)
KEYED = re.compile(rf"([{PLANT}{ROW}])([1-9][0-9]{{0,17}})([0-9A-Z])")
BARE = re.compile(r"[0-9A-Z](?:[0-9A-Z-]*[0-9A-Z])?")
# What phones and people write for a hyphen.
DASHES = str.maketrans(dict.fromkeys("\u2010\u2011\u2012\u2013\u2014\u2212_", "-"))
NO_CODE = "This is no code of this garden: type it as it stands in letters on the label."


def keyed(letter: str, key: int) -> str:
    """The code of a plant or a row: its letter, its key, the check character."""
    plain = f"{letter}{key}"
    return plain + mod_37_36.calc_check_digit(plain)


def key_of(code: str, letter: str) -> int | None:
    """The key that a code of this letter carries; None for other codes and a wrong check."""
    found = KEYED.fullmatch(code)
    return int(found[2]) if found and found[1] == letter and _fits(code) else None


def payload(base: str, code: str) -> str:
    """The address in the QR code, in capitals: `HTTP://MILLRACE.LOCAL:8000/T/P123K`.

    `base` is scheme, name and port. Raises ValueError for an address that the alphanumeric mode
    cannot hold.
    """
    address = f"{base.rstrip('/')}/T/{code}".upper()
    if not ALPHANUMERIC.fullmatch(address):
        raise ValueError(f"{base} holds signs that do not go into a small QR code.")
    return address


def read(text: str) -> str:
    """The code in an address that ends in /t/CODE, or in a code typed by hand.

    Spaces, case and kinds of dashes do not matter. Raises ValueError with a sentence: for a text
    that can be no code, and for a plant's or row's code whose check character does not fit.
    """
    if len(text) > LONGEST_TEXT:
        raise ValueError(NO_CODE)
    code = plain(text)
    if len(code) > LONGEST or not BARE.fullmatch(code):
        raise ValueError(NO_CODE)
    if code[0] in (PLANT, ROW) and not _fits(code):
        raise ValueError(f"{code} is mistyped: its last sign does not fit the others.")
    return code


def plain(text: str) -> str:
    """A code as it is compared, whatever stands round it; not checked."""
    text = text.strip()
    if found := IN_ADDRESS.search(text):
        text = unquote(found[1])
    return "".join(text.split()).translate(DASHES).upper()


def near(text: str) -> list[str]:
    """Codes that a slip may have made this of: one sign wrong, left out or doubled, or two swapped.

    Of plants and rows only those whose check character fits. At most some 500, the likeliest first.
    """
    code = plain(text)
    if not 2 <= len(code) <= LONGEST or not BARE.fullmatch(code):
        return []
    slips = (_misread, _swapped, _replaced, _shorter, _longer)
    found = dict.fromkeys(one for slip in slips for one in slip(code))
    keys = (PLANT, ROW)
    return [one for one in found if one != code and (one[:1] not in keys or _fits(one))]


def _fits(code: str) -> bool:
    """Whether it is a plant's or a row's code whose last sign is right."""
    try:
        mod_37_36.validate(code)
    except ValidationError:
        return False
    return bool(KEYED.fullmatch(code))


def _misread(code: str) -> list[str]:
    """Letters taken for the digits that they look like, and the other way in a last sign."""
    digits = code.translate(str.maketrans("OIL", "011"))
    last = code[:-1] + code[-1].translate(str.maketrans("01", "OI"))
    return [digits, code[0] + digits[1:], digits[:-1] + code[-1],
            code[0] + digits[1:-1] + code[-1], last]  # fmt: skip


def _swapped(code: str) -> list[str]:
    return [code[:at] + b + a + code[at + 2 :] for at, (a, b) in enumerate(pairwise(code))]


def _replaced(code: str) -> list[str]:
    """With another digit for a digit, and with another letter for a letter at either end."""
    letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
    ends = (0, len(code) - 1)
    return [
        code[:at] + other + code[at + 1 :]
        for at, sign in enumerate(code)
        if sign != "-"
        for other in ("0123456789" + letters if at in ends else "0123456789")
    ]


def _shorter(code: str) -> list[str]:
    return [code[:at] + code[at + 1 :] for at in range(len(code))]


def _longer(code: str) -> list[str]:
    return [
        code[:at] + sign + code[at:] for at in range(1, len(code) + 1) for sign in "0123456789-"
    ]
