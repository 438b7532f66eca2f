"""What a request claims of itself can end in no server error, before anything of ours is asked."""

from __future__ import annotations

from collections.abc import Iterator
from io import BytesIO
from typing import Any
from wsgiref.util import setup_testing_defaults

import pytest
from django.core.signals import request_started
from django.db import close_old_connections
from django.test import Client

from garden.claims import MOST_DIGITS, in_digits, without_charset
from garden.models import Garden
from garden.wsgi import application

FORM = "multipart/form-data; boundary=b"


@pytest.mark.parametrize(
    ("told", "left"),
    [
        ("", ""),
        ("text/plain", "text/plain"),
        (FORM, FORM),
        (f"{FORM}; charset=base64", FORM),
        ("multipart/form-data; Charset = idna; boundary=b", "multipart/form-data; boundary=b"),
        ("text/plain;charset*=x''undefined;a=b", "text/plain;a=b"),
        ("a/b;\tCHARSET*0=rot;charset*1=13", "a/b"),
    ],
)
def test_content_type__loses_its_charset_alone(told: str, left: str) -> None:
    assert without_charset(told) == left


@pytest.mark.parametrize(
    ("told", "left"),
    [("0", "0"), ("815", "815"), ("-1", "0"), ("١٢", "0"), ("nonsense", "0"), ("1e3", "0"),
     ("9" * 5000, "9" * MOST_DIGITS)],
)  # fmt: skip
def test_length__is_a_number(told: str, left: str) -> None:
    assert in_digits(told) == left


@pytest.fixture
def served(garden_row: Garden) -> Iterator[None]:
    """The connection stays with the test, which asks the application as a server would."""
    request_started.disconnect(close_old_connections)
    yield
    request_started.connect(close_old_connections)


def status(**more: Any) -> int:
    """What the served application answers a stranger on the way to the beds."""
    asked = {"PATH_INFO": "/beds/", "HTTP_HOST": "localhost", "QUERY_STRING": "a=%ff", **more}
    setup_testing_defaults(asked)
    said: list[str] = []
    answer = application(asked, lambda line, headers: said.append(line))
    assert b"Traceback" not in b"".join(answer)
    return int(said[0].partition(" ")[0])


@pytest.mark.django_db
@pytest.mark.parametrize("charset", ["base64", "rot13", "idna", "undefined", "utf-16", "nonsense"])
def test_charset__that_is_none_leads_a_stranger_to_the_door(served: None, charset: str) -> None:
    told = {"CONTENT_TYPE": f"{FORM}; charset={charset}", "wsgi.input": BytesIO(b"a")}
    assert status(**told) == 302
    assert status(**told, REQUEST_METHOD="POST", CONTENT_LENGTH="1") in (302, 400, 403)


def test_charset__that_is_none_would_end_in_an_error_by_django_alone(client: Client) -> None:
    with pytest.raises(LookupError):
        client.get("/beds/?a=b", CONTENT_TYPE="text/plain; charset=base64")


@pytest.mark.django_db
@pytest.mark.parametrize("length", ["nonsense", "-1", "9" * 5000])
def test_length__that_is_none_is_answered(served: None, length: str) -> None:
    told = {"CONTENT_TYPE": FORM, "CONTENT_LENGTH": length, "wsgi.input": BytesIO(b"a")}
    assert status(**told, REQUEST_METHOD="POST") in (302, 400, 403, 413)
