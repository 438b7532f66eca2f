"""What must be true of every answer, whatever was asked; faults are gathered, not raised."""

from __future__ import annotations

import re
import traceback
from collections.abc import Iterator
from contextlib import contextmanager
from io import BytesIO
from typing import Any
from urllib.parse import urlsplit

from django.core.signals import got_request_exception
from django.db import connection
from django.test import Client
from django.urls import Resolver404, resolve

from garden.claims import put_right
from tests.hostile.asks import Ask

WRITING = re.compile(r'\s*(?:INSERT INTO|UPDATE|DELETE FROM|REPLACE INTO) "(\w+)"', re.I)
OTHER_WRITING = re.compile(r"\s*(?:WITH|REPLACE|DROP|CREATE|ALTER|TRUNCATE|PRAGMA|ATTACH)\b", re.I)
# What may be written for anybody: signing in and out keeps a session, knocking is remembered.
DOORSTEP = {"django_session", "garden_knock"}


class Watch:
    """Sends requests as one person and notes what is wrong with their answers."""

    def __init__(self, client: Client) -> None:
        self.client = client
        self.client.raise_request_exception = False
        self.handler = client.handler
        client.handler = self._as_served
        self.cookies = client.cookies.output(header="", sep=";").strip()
        self.answered = 0
        self.asked: set[Ask] = set()
        self.wrong: list[str] = []
        self.written: list[str] = []
        self.failed: list[str] = []

    @contextmanager
    def listening(self) -> Iterator[None]:
        """Hear what is written to the database and what the site fails at."""
        got_request_exception.connect(self._hear_failure)
        try:
            with connection.execute_wrapper(self._hear_query):
                yield
        finally:
            got_request_exception.disconnect(self._hear_failure)

    def send(self, ask: Ask) -> Any:
        """The answer to one request, with `written` and `failed` saying what it did."""
        self.written, self.failed = [], []
        self.client.cookies.load(self.cookies)
        self.handler.enforce_csrf_checks = ask.csrf
        headers = dict(ask.headers)
        length = headers.pop("Content-Length", None)
        # As a server gives it: what is not there can be asked for, and is not got.
        extra: dict[str, Any] = {"wsgi.input": BytesIO(ask.body)}
        extra |= {"CONTENT_LENGTH": length} if length is not None else {}
        extra |= {"HTTP_COOKIE": ask.cookie} if ask.cookie is not None else {}
        answer = self.client.generic(
            ask.method, ask.path, ask.body, ask.content_type, headers=headers, **extra
        )
        self.answered += 1
        if answer.status_code >= 500 or self.failed:
            self.note(ask, answer, f"fails: {' '.join(self.failed)}")
        if self.written and (ask.is_safe or ask.csrf):
            self.note(ask, answer, "writes, though nobody may by this")
        return answer

    def note(self, ask: Ask, answer: Any, fault: str) -> None:
        """Remember what is wrong with an answer, and to what."""
        if len(self.wrong) < 40:
            self.wrong.append(
                f"{answer.status_code} {fault}\n  {self.written}\n  {str(ask)[:1500]}"
            )

    def _as_served(self, environ: dict[str, Any]) -> Any:
        """The site's answer, asked as garden/wsgi.py asks it."""
        put_right(environ)
        return self.handler(environ)

    def _hear_failure(self, request: Any, **_: Any) -> None:
        self.failed.append(traceback.format_exc(limit=-6))

    def _hear_query(self, execute: Any, sql: str, params: Any, many: bool, context: Any) -> Any:
        if found := WRITING.match(sql):
            self.written += {found[1]} - DOORSTEP
        elif OTHER_WRITING.match(sql):
            self.written.append(sql[:60])
        return execute(sql, params, many, context)


def body(answer: Any) -> str:
    """All that an answer says, streamed or not, its headers too."""
    told = b"".join(answer.streaming_content) if answer.streaming else answer.content
    return f"{answer.headers}\n{answer.cookies}\n{told.decode(errors='replace')}"


def route(ask: Ask) -> str:
    """The name of the route that an address leads to; '' for none."""
    try:
        return resolve(urlsplit("http://h" + ask.path).path).url_name or ""
    except (Resolver404, ValueError):
        return ""
