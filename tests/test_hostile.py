"""Ten thousand malformed, hostile or random requests over every address of the site.

No server error; no change of data by somebody who may not; a stranger gets nothing but the door.
The addresses come from the resolver, the names from the views and the forms: what is new is in.
Drawn by a seeded generator of our own, a tenth of a millisecond each: the same on every run.
"""

from __future__ import annotations

import hashlib
import logging
from collections.abc import Iterator
from random import Random
from typing import Any
from urllib.parse import urlsplit

import pytest
from django import forms
from django.apps import apps
from django.db import transaction
from django.test import Client
from django.urls import reverse

from garden.models import Knock, Person
from garden.records import add_bed, add_plant
from tests import conftest
from tests.browser.addresses import FORMS, addresses, parts_and_files
from tests.cast import PASSWORD, Cast, act_of
from tests.hostile.asks import Ask, Site, ask, names_asked_for, templates
from tests.hostile.watch import Watch, body, route
from tests.test_strangers import OWNERS

ALL = 10_000
# Role -> requests of each part; the parts run beside each other.
PARTS = {
    "stranger": (4000,),
    "visitor": (3000,),
    "helper": (1500,),
    "owner": (800, 800),
}
# What answers a stranger, and why; everything else leads to the door or says nothing.
OPEN = {
    "sign-in": "the door",
    "hello": "whether the garden is in reach",
}
# What no stranger's answer may hold, and no request of ours does.
CANARIES = (
    "Kingfisher Latchkey", "Perpetua Quince", "Vault Bed", "burnt sugar under the arms",
    "Quillon Teapot", "Marzipan Ledger", "Thistle Postman", "Oboe for Hannes", "Moss Semaphore",
    "Long Bed", "Odile",
)  # fmt: skip
REFUSALS = {400, 401, 403, 404, 405, 413, 429}
EVERYBODYS = ("sign-out", "password")

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _quiet() -> Iterator[None]:
    """Thousands of refusals need not be told one by one."""
    logging.disable(logging.CRITICAL)
    yield
    logging.disable(logging.NOTSET)


@pytest.fixture
def hostile_site(cast: Cast, owner: Person, owner_client: Client) -> Site:
    """Everything that can be asked in the small garden, with the canaries in it."""
    Person.objects.create_user("Perpetua Quince", PASSWORD, role="helper")
    add_plant(act_of(owner), name="Kingfisher Latchkey", notes="burnt sugar under the arms")
    add_bed(act_of(owner), name="Vault Bed", rows=2, positions=5)
    pages = {**addresses(cast), **parts_and_files(cast)}
    bodies = [(pages[name], sound_fields(owner_client, pages[name])) for name in FORMS]
    names = names_asked_for() | {name for _, fields in bodies for name in fields}
    return Site(templates(), sorted(set(pages.values())), sorted(names), bodies)


def sound_fields(client: Client, address: str) -> dict[str, str]:
    """The fields of the form at an address, as its page would send them."""
    form: forms.Form = client.get(address).context["form"]
    values = {each.html_name: each.value() for each in form}
    return {name: "" if value is None else str(value) for name, value in values.items()}


def parts(role: str) -> Any:
    """One test for each part of a role's requests."""
    first, *others = enumerate(PARTS[role], start=1)
    # On a second database the first part is enough.
    more = [pytest.param(*each, marks=pytest.mark.once) for each in others]
    return pytest.mark.parametrize(("number", "requests"), [first, *more])


def drawn(site: Site, role: str, number: int, requests: int) -> Iterator[Ask]:
    chance = Random(f"{role} {number}")
    return (ask(chance, site) for _ in range(requests))


def checksum() -> str:
    """Of every row of every table of ours but the sessions and the wrong tries at the door."""
    whole = hashlib.sha256()
    for model in apps.get_models():
        if model._meta.app_label in ("garden", "breeding", "evaluation") and model is not Knock:
            rows = model._default_manager.order_by("pk").values_list()
            whole.update(repr((model._meta.label, list(rows))).encode())
    return whole.hexdigest()


def told_to_stranger(asked: Ask, answer: Any) -> str:
    """What is wrong with an answer to somebody who is not in; '' for nothing."""
    said, status = body(answer), answer.status_code
    if known := [word for word in CANARIES if word in said]:
        return f"tells of {known}"
    if status in REFUSALS:
        return ""
    if status in (301, 302, 303):
        to = urlsplit(answer.headers["Location"])
        slash = status == 301 and to.path == urlsplit("http://h" + asked.path).path + "/"
        door = to.path == reverse("sign-in")
        return "" if (slash or door) and not to.netloc and not to.scheme else "leads elsewhere"
    if status == 200 and answer.headers.get("HX-Redirect", "").startswith(reverse("sign-in")):
        return "" if answer.content == b"" else "leads to the door and says more"
    return "" if route(asked) in OPEN else "is no refusal"


# The owner gets furthest into every page: those are asked on every database.
@pytest.mark.once
@parts("stranger")
def test_stranger__gets_nothing_but_the_door(
    hostile_site: Site, number: int, requests: int
) -> None:
    watch, before = Watch(Client()), checksum()
    with watch.listening():
        for asked in drawn(hostile_site, "stranger", number, requests):
            answer = watch.send(asked)
            if fault := told_to_stranger(asked, answer):
                watch.note(asked, answer, fault)
            if watch.written:
                watch.note(asked, answer, "writes")
    assert not watch.wrong, "\n".join(watch.wrong)
    assert watch.answered == requests
    assert checksum() == before


@pytest.mark.once
@parts("visitor")
def test_visitor__changes_nothing(
    hostile_site: Site, visitor_client: Client, number: int, requests: int
) -> None:
    watch, before = Watch(visitor_client), checksum()
    read = 0
    with watch.listening():
        for asked in drawn(hostile_site, "visitor", number, requests):
            with transaction.atomic():
                answer = watch.send(asked)
                # Whoever leaves is in again for the next one.
                transaction.set_rollback(route(asked) == "sign-out")
            read += answer.status_code == 200
            if watch.written and route(asked) not in EVERYBODYS:
                watch.note(asked, answer, "writes")
    assert not watch.wrong, "\n".join(watch.wrong)
    assert watch.answered == requests
    assert read > requests / 20
    assert checksum() == before


def written_and_undone(watch: Watch, asked: Ask) -> Any:
    """The answer to one request; what it wrote is taken back, also from memory."""
    with transaction.atomic():
        answer = watch.send(asked)
        transaction.set_rollback(True)
    if watch.written:
        conftest._forget()
    return answer


@pytest.mark.once
@parts("helper")
def test_helper__changes_nothing_of_the_owners(
    hostile_site: Site, helper_client: Client, number: int, requests: int
) -> None:
    watch, before = Watch(helper_client), checksum()
    kept = 0
    with watch.listening():
        for asked in drawn(hostile_site, "helper", number, requests):
            answer = written_and_undone(watch, asked)
            kept += "garden_journalline" in watch.written
            if route(asked) in OWNERS and answer.status_code < 400 and asked.cookie is None:
                watch.note(asked, answer, "opens to a helper")
            if "garden_person" in watch.written and route(asked) not in EVERYBODYS:
                watch.note(asked, answer, "writes people")
    assert not watch.wrong, "\n".join(watch.wrong)
    assert watch.answered == requests
    assert kept > 10
    assert checksum() == before


@parts("owner")
def test_owner__is_answered(
    hostile_site: Site, owner_client: Client, number: int, requests: int
) -> None:
    watch = Watch(owner_client)
    kept = 0
    with watch.listening():
        for asked in drawn(hostile_site, "owner", number, requests):
            body(written_and_undone(watch, asked))
            kept += "garden_journalline" in watch.written
    assert not watch.wrong, "\n".join(watch.wrong)
    assert watch.answered == requests
    assert kept > 10


def test_parts__are_ten_thousand() -> None:
    assert sum(sum(each) for each in PARTS.values()) >= ALL
