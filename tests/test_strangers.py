"""Who may come in where: strangers get the door, visitors no form, helpers nothing of the owner's.

Every route of the site is asked, so a new one is held without a word here.
"""

from __future__ import annotations

from typing import Any

import pytest
from django.apps import apps
from django.test import Client
from django.urls import reverse

from garden.models import Knock, Person
from tests.browser.addresses import (
    NO_PAGES,
    OWNER_FORMS,
    RECORD_FORMS,
    addresses,
    parts_and_files,
    route_names,
    route_of,
)
from tests.cast import Cast
from tests.pages import tree

pytestmark = pytest.mark.django_db

OWNERS = (*OWNER_FORMS, "people", "at-the-door", "backups", "backup-now", "backup-file",
          "rubric-preview", "rubric-criterion", "out-folder", "out-onefile")  # fmt: skip
RECORDERS_PARTS = ("undo", "phone-waited-for", "calendar-renew", "parent", "answers", "tag-said",
                   "labels", "labels-of", "label-none", "label-runs", "label-run", "label-run-pdf",
                   "label-sheets", "label-sheet-strike", "label-sheet-test")  # fmt: skip
# What a form would send, so that a door left open would show.
SENT = {
    "name": "Somebody Else", "role": "owner", "password": "a door left open", "is_active": "on",
    "reason": "because", "count": "5", "seeds": "5", "outcome": "set", "rows": "2",
    "positions": "9", "position": "4", "text": "name\nSomething New", "take": "1",
    "standing_now": "4", "old": "a door left open", "note": "changed", "sown_on": "2024-11-26",
}  # fmt: skip


def everything() -> list[Any]:
    """Every row of ours, so that whatever is written shows."""
    return [
        list(model._default_manager.order_by("pk").values_list())
        for app in ("garden", "breeding", "evaluation", "sessions")
        for model in apps.get_app_config(app).get_models()
        # A wrong try is told to the owner.
        if model is not Knock
    ]


def everywhere(cast: Cast) -> dict[str, str]:
    return {**addresses(cast), **parts_and_files(cast)}


def test_everywhere__holds_every_route_of_the_site(cast: Cast) -> None:
    assert {route_of(address) for address in everywhere(cast).values()} == route_names()


@pytest.mark.parametrize("method", ["get", "head", "post", "put", "delete", "options"])
def test_stranger__gets_only_the_door_and_writes_nothing(cast: Cast, method: str) -> None:
    pages = everywhere(cast)
    del pages["sign-in"]
    before = everything()
    for name, address in pages.items():
        answer = getattr(Client(), method)(address, SENT if method in ("get", "post") else None)
        if name == "feed":
            assert answer.status_code in ((404,) if method == "get" else (404, 405))
            continue
        if name == "hello":
            # A phone learns only that nobody is signed in on it.
            assert answer.status_code == (401 if method in ("get", "head") else 405)
            assert answer.content in (b"", b"{}")
            continue
        assert answer.status_code == 302, name
        assert answer["Location"].partition("?")[0] == reverse("sign-in"), name
    assert everything() == before


def test_stranger__gets_the_whole_door_where_a_part_of_a_page_was_asked_for(cast: Cast) -> None:
    for name, address in everywhere(cast).items():
        if name in ("sign-in", "feed", "hello"):
            continue
        answer = Client().get(address, headers={"HX-Request": "true"})
        assert answer.status_code == 200, name
        assert answer["HX-Redirect"].partition("?")[0] == reverse("sign-in"), name
        assert answer.content == b"", name


def test_stranger__is_not_let_in_with_a_wrong_password(cast: Cast) -> None:
    stranger, before = Client(), everything()
    answer = stranger.post(reverse("sign-in"), {"username": "Wanda", "password": "no"})
    assert answer.status_code == 200
    assert stranger.get(reverse("today")).status_code == 302
    assert everything() == before


def test_feed__opens_by_the_key_of_somebody_who_is_in(cast: Cast, helper_person: Person) -> None:
    address = reverse("feed", args=[helper_person.feed_key])
    assert Client().get(address).status_code == 200
    Person.objects.filter(pk=helper_person.pk).update(is_active=False)
    assert Client().get(address).status_code == 404


def refused(client: Client, names: tuple[str, ...], pages: dict[str, str]) -> list[str]:
    """Those of the pages that were not refused, read or sent."""
    return [
        f"{send.__name__} {name}: {answer.status_code}"
        for name in names
        for send in (client.get, client.post)
        if (answer := send(pages[name], SENT)).status_code != 403
    ]


def test_helper__opens_nothing_of_the_owners(cast: Cast, helper_client: Client) -> None:
    pages = everywhere(cast)
    before = everything()
    assert refused(helper_client, OWNERS, pages) == []
    assert everything() == before


def test_visitor__opens_no_form(cast: Cast, visitor_client: Client) -> None:
    closed, pages = (*RECORD_FORMS, *OWNERS, *RECORDERS_PARTS), everywhere(cast)
    before = everything()
    assert refused(visitor_client, closed, pages) == []
    assert everything() == before


def test_visitor__changes_nothing_anywhere(cast: Cast, visitor_client: Client) -> None:
    pages = everywhere(cast)
    before = everything()
    for name in set(pages) - {"sign-in", "sign-out"}:
        assert visitor_client.post(pages[name], SENT).status_code < 500, name
    assert everything() == before


@pytest.mark.once
@pytest.mark.parametrize("role", ["visitor", "helper"])
def test_pages__lead_nobody_to_a_closed_door(cast: Cast, role: str, request: Any) -> None:
    client: Client = request.getfixturevalue(f"{role}_client")
    known, led = {}, {}
    for name, address in addresses(cast).items():
        answer = client.get(address)
        known[address] = answer.status_code
        # A page that the phone keeps is the same for everybody, so its frame shows every way.
        same = "max-age=604800" in answer.headers.get("Cache-Control", "")
        if answer.status_code == 200:
            for link in tree(answer).cssselect("main a[href^='/']" if same else "a[href^='/']"):
                led.setdefault(link.get("href").partition("#")[0], name)
    # Many lead to each other, and have answered already.
    known |= {to: client.get(to).status_code for to in led.keys() - known.keys()}
    assert len(led) > 20
    assert [f"{name} leads to {to}" for to, name in led.items() if known[to] == 403] == []


@pytest.mark.once
def test_visitor__sees_no_form_that_records(cast: Cast, visitor_client: Client) -> None:
    # Whoever reads may send a photo of a code: it is read and not kept.
    own = {reverse("sign-out"), reverse("password"), reverse("scan")}
    offered = [
        f"{name}: {form.get('action')}"
        for name, address in addresses(cast).items()
        if (answer := visitor_client.get(address)).status_code == 200
        for form in tree(answer).cssselect("form[method=post]")
        if form.get("action") not in own
    ]
    assert offered == []


def test_no_pages__are_routes(cast: Cast) -> None:
    assert set(NO_PAGES) == set(parts_and_files(cast))
