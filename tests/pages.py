"""Reading pages in tests: by selectors on parsed HTML, never by substrings of markup."""

from __future__ import annotations

import uuid
from typing import Any

from django.test import Client
from lxml import html


def tree(response: Any) -> html.HtmlElement:
    """The answer's page, parsed."""
    return html.fromstring(response.content.decode() or "<p>")


def texts(response: Any, selector: str) -> list[str]:
    """The text of every element that the selector finds, spaces tidied."""
    return [" ".join(found.text_content().split()) for found in tree(response).cssselect(selector)]


def links(response: Any, selector: str = "a") -> list[str]:
    return [found.get("href") for found in tree(response).cssselect(selector)]


def post(client: Client, address: str, follow: bool = False, **fields: Any) -> Any:
    """Send a form as its page would: with an entry of its own."""
    return client.post(address, {"entry": str(uuid.uuid4()), **fields}, follow=follow)
