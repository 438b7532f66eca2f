"""The page Waiting as the garden serves it: kept by the phone, naming nobody."""

from __future__ import annotations

import re
from urllib.parse import urlsplit

import pytest
from django.test import Client
from django.urls import reverse

from garden.views.waiting import RECORDING, recording_addresses
from tests.browser.addresses import addresses, route_names
from tests.cast import Cast
from tests.pages import tree

KEPT_PAGES = ("waiting", "waiting-take-in")


@pytest.mark.parametrize("name", KEPT_PAGES)
def test_kept_page__may_be_opened_by_the_phone_itself(owner_client: Client, name: str) -> None:
    answer = owner_client.get(reverse(name), headers={"Accept-Encoding": "gzip"})
    assert answer.headers["Cache-Control"] == "private, max-age=604800"
    assert "cookie" not in answer.headers.get("Vary", "").lower()
    assert not answer.cookies


@pytest.mark.parametrize("name", KEPT_PAGES)
def test_kept_page__is_the_same_for_everybody_and_names_nobody(
    owner_client: Client, visitor_client: Client, name: str
) -> None:
    pages = [client.get(reverse(name)).content for client in (owner_client, visitor_client)]
    assert pages[0] == pages[1]
    assert b"Wanda" not in pages[0]
    assert b"csrf" not in pages[0].lower()


@pytest.mark.parametrize("name", KEPT_PAGES)
def test_kept_page__is_for_those_who_are_in(client: Client, db: None, name: str) -> None:
    answer = client.get(reverse(name))
    assert answer.status_code == 302
    assert "max-age=604800" not in answer.headers.get("Cache-Control", "")


def test_page__names_who_is_in_so_that_entries_are_theirs(
    owner_client: Client, owner: object
) -> None:
    body = tree(owner_client.get(reverse("today"))).cssselect("body")[0]
    assert body.get("data-person") == str(owner.pk)
    assert body.get("data-person-name") == "Wanda"


def test_recording_addresses__are_those_of_pages_that_stand(cast: Cast) -> None:
    missing = set(RECORDING) - route_names()
    assert missing <= {"tag-look", "tag-harvest"}
    assert len(recording_addresses()) >= len(set(RECORDING) - missing)


def test_forms_of_the_outbox__post_to_recording_addresses_and_ask_for_no_password(
    cast: Cast, owner_client: Client
) -> None:
    patterns = [re.compile(each.replace("(?<", "(?P<")) for each in recording_addresses()]
    seen: dict[str, int] = {}
    for name, address in addresses(cast).items():
        for form in tree(owner_client.get(address)).cssselect("form[data-outbox]"):
            path = urlsplit(form.get("action") or address).path or urlsplit(address).path
            assert any(pattern.search(path) for pattern in patterns), (name, path)
            assert not form.cssselect("[type=password]"), name
            assert form.get("data-outbox"), name
            assert form.cssselect("[name=entry]"), name
            assert form.cssselect("[name=at]"), name
            seen[form.get("data-outbox")] = seen.get(form.get("data-outbox"), 0) + 1
    assert set(seen) >= {
        "New cross", "Pod", "Harvest", "Sowing", "Count", "Lining out", "Look-over", "Score",
        "Bloom", "Photo", "Place", "Selection", "Decision", "Pollen", "Count by type", "Type",
    }  # fmt: skip


@pytest.mark.parametrize(
    "path", ["/people/new/", "/password/", "/settings/", "/sign-out/", "/new-cross/../people/new/"]
)
def test_recording_addresses__hold_nothing_of_the_house(path: str, db: None) -> None:
    patterns = [re.compile(each.replace("(?<", "(?P<")) for each in recording_addresses()]
    assert patterns
    assert not any(pattern.search(path) for pattern in patterns)
