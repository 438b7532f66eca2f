"""What a request claims of itself, put right before Django begins to read. Free of Django.

Our pages are UTF-8, so browsers send UTF-8. A charset that a request names itself is used before
anything of ours could answer: 'base64' is no charset of texts, and would end in a server error for
anybody who reaches the port. So would a length that is no number, where the server lets it pass.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

Application = Callable[[dict[str, Any], Callable[..., Any]], Iterable[bytes]]
# Of a length in digits: more would be no number that a machine counts bytes with.
MOST_DIGITS = 18


def without_charset(content_type: str) -> str:
    """A content type without its charset; everything else of it as it was."""
    if "charset" not in content_type.lower():
        return content_type
    pieces = content_type.split(";")
    return ";".join(each for each in pieces if not each.strip().lower().startswith("charset"))


def in_digits(length: str) -> str:
    """A length in bytes that can be counted with: '0' for nonsense, never more than can be."""
    if not (length.isascii() and length.isdigit()):
        return "0"
    return length if len(length) <= MOST_DIGITS else "9" * MOST_DIGITS


def put_right(environ: dict[str, Any]) -> None:
    """Put right the claims of one request (PEP 3333), in place."""
    for name, made in (("CONTENT_TYPE", without_charset), ("CONTENT_LENGTH", in_digits)):
        if told := environ.get(name):
            environ[name] = made(told)


def believable(application: Application) -> Application:
    """The same WSGI application, asked only what can be believed."""

    def asked(environ: dict[str, Any], start_response: Callable[..., Any]) -> Iterable[bytes]:
        put_right(environ)
        return application(environ, start_response)

    return asked
