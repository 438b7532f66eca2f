"""What lets a phone in: a token in a picture to scan, a short code to type. Free of Django."""

from __future__ import annotations

import hashlib
import hmac
import re
import secrets

# Capital letters and digits without those that look like another one, or sound like one aloud.
SIGNS = "34679ACDEFGHJKMNPQRTVWXY"
CODE_LENGTH = 8
TOKEN = re.compile(r"[A-Za-z0-9_-]{22}")
PURPOSE = b"haftbook pairing code: "


def new_token() -> str:
    """128 unguessable bits as 22 signs that an address can hold."""
    return secrets.token_urlsafe(16)


def new_code() -> str:
    """Eight of 24 signs: one of 110,075,314,176 codes (2**36.7)."""
    return "".join(secrets.choice(SIGNS) for _ in range(CODE_LENGTH))


def is_token(text: str) -> bool:
    """Whether a token could look like this."""
    return TOKEN.fullmatch(text) is not None


def tidy_code(text: str) -> str:
    """A code as it was made: typed in small letters, with spaces or hyphens, is as good."""
    return re.sub(r"[\s\-–.·]+", "", text).upper()


def is_code(text: str) -> bool:
    """Whether a tidied code could look like this."""
    return len(text) == CODE_LENGTH and set(text) <= set(SIGNS)


def shown_code(code: str) -> str:
    """'ACDE 3467', as it is easier to read across a room."""
    half = CODE_LENGTH // 2
    return f"{code[:half]} {code[half:]}"


def token_digest(token: str) -> str:
    """SHA-256 of a token, in hex: 128 random bits cannot be guessed back from it."""
    return hashlib.sha256(token.encode()).hexdigest()


def code_digest(code: str, key: str) -> str:
    """HMAC-SHA256 of a code, in hex: 37 bits could be, so the garden's own key goes in."""
    return hmac.new(key.encode(), PURPOSE + code.encode(), hashlib.sha256).hexdigest()


def picture(address: str) -> str:
    """A QR code of an address as SVG, four modules of white around it (ISO/IEC 18004)."""
    # Loaded when the first one is drawn, not at every start.
    import segno

    code = segno.make(address, error="m", micro=False)
    drawn: str = code.svg_inline(
        border=4, dark="#000", light="#fff", omitsize=True, svgclass="qr", lineclass=None
    )
    return drawn.replace("<svg ", '<svg role="img" aria-label="Code to scan" ', 1)
