"""Devices that are in: listed, signed out from elsewhere, ended by a new password."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.conf import settings
from django.contrib.sessions.models import Session
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from garden import doorway
from garden.models import Device, JournalLine, Pairing, Person
from garden.records.doors import offer_pairing, renew_feed_key, sign_out_device
from garden.verbs import Refused
from tests.browser.addresses import addresses, parts_and_files
from tests.cast import PASSWORD, Cast, act_of
from tests.pages import post, texts, tree
from tests.refusals import breaks

pytestmark = pytest.mark.django_db
PHONES, NEW_WORD = reverse("phones"), "a quiet word by the pond"
IPHONE = "Mozilla/5.0 (iPhone; CPU iPhone OS 19_0 like Mac OS X)"


@pytest.fixture(autouse=True)
def _nobody_seen() -> None:
    doorway._noted.clear()


def came_in(name: str, agent: str = IPHONE) -> Client:
    """A device on which somebody signed in by password."""
    client = Client(headers={"User-Agent": agent})
    answer = client.post(reverse("sign-in"), {"username": name, "password": PASSWORD})
    assert answer.status_code == 302
    return client


def inside(client: Client) -> bool:
    return client.get(reverse("hello")).status_code == 200


def rows(client: Client) -> list[str]:
    """The lines of what is in now, without the words for a screen reader."""
    table = tree(client.get(PHONES)).cssselect("table.devices tbody tr")
    for row in table:
        for unseen in row.cssselect(".unseen"):
            unseen.text = ""
    return [" ".join(row.text_content().split()) for row in table]


def test_phones__the_owner_sees_all_and_others_their_own(
    owner: Person, helper_person: Person, visitor: Person
) -> None:
    wanda, emil, odile = (came_in(name) for name in ("Wanda", "Emil", "Odile"))
    day = timezone.localtime()
    assert [row.split(" ", 3)[:3] for row in rows(wanda)] == [
        ["iPhone", "Emil", rows(wanda)[0].split(" ", 3)[2]],
        ["iPhone", "Odile", rows(wanda)[1].split(" ", 3)[2]],
        ["iPhone", "this", "one"],
    ]
    assert len(rows(emil)) == len(rows(odile)) == 1
    assert "by password" in rows(emil)[0]
    assert day.strftime("%Y") in rows(emil)[0]


def test_phones__a_fixed_number_of_queries(
    owner_client: Client, helper_person: Person, django_assert_num_queries: Any
) -> None:
    came_in("Emil")
    with django_assert_num_queries(6):
        owner_client.get(PHONES)
    for _ in range(5):
        came_in("Emil")
    with django_assert_num_queries(6):
        assert len(rows(owner_client)) == 6


def test_sign_it_out__works_with_the_next_request(owner: Person, helper_person: Person) -> None:
    wanda, emil = came_in("Wanda"), came_in("Emil")
    assert inside(emil)
    [form] = tree(wanda.get(PHONES)).cssselect("table.devices form")
    assert post(wanda, form.get("action")).status_code == 303
    assert not inside(emil)
    assert emil.get(reverse("today")).url.startswith(reverse("sign-in"))
    assert inside(wanda)
    line = JournalLine.objects.latest("pk")
    assert (line.text, line.person) == ("Signed out iPhone, a device of Emil", owner)
    assert not line.may_be_undone_by(owner)
    gone = Device.objects.get(person=helper_person)
    assert (gone.ended_how, gone.ended_by, gone.session_key) == ("sent", owner, "")
    assert "signed out from elsewhere by Wanda" in " ".join(texts(wanda.get(PHONES), "tbody"))


def test_sign_it_out__while_a_request_of_it_is_answered(
    owner: Person, helper_person: Person
) -> None:
    """The session is changed in the very request that follows: it must not come back by that."""
    emil = came_in("Emil")
    session = emil.session
    session["bed"] = 1
    sign_out_device(act_of(owner), device=Device.objects.get())
    with pytest.raises(Exception, match="deleted|UpdateError|^$"):
        session.save(must_create=False)
    assert not Session.objects.exists()
    assert not inside(emil)


def test_signed_out_device__writes_nothing_and_sees_nothing(cast: Cast, owner: Person) -> None:
    Person.objects.create_user("Emil", PASSWORD, role="helper")
    emil = came_in("Emil")
    pages = {**addresses(cast), **parts_and_files(cast)}
    sign_out_device(act_of(owner), device=Device.objects.get(person__name="Emil"))
    lines = JournalLine.objects.count()
    for name in set(pages) - {"sign-in", "feed", "hello"}:
        for send in (emil.get, emil.post):
            answer = send(pages[name])
            assert answer.status_code in (302, 401), name
    assert JournalLine.objects.count() == lines


@pytest.mark.parametrize("role", ["helper", "visitor"])
def test_sign_it_out__nobody_elses(
    owner: Person, helper_person: Person, visitor: Person, role: str, request: Any
) -> None:
    wanda = came_in("Wanda")
    client = request.getfixturevalue(f"{role}_client")
    address = reverse("phone-out", args=[Device.objects.get().pk])
    assert post(client, address).status_code == 404
    assert inside(wanda)


@pytest.mark.parametrize("name", ["Emil", "Odile"])
def test_sign_it_out__ones_own_other_one(helper_person: Person, visitor: Person, name: str) -> None:
    here, lost = came_in(name), came_in(name)
    address = reverse("phone-out", args=[Device.objects.first().pk])
    assert post(here, address).status_code == 303
    assert (inside(here), inside(lost)) == (True, False)
    assert post(here, address).status_code == 422


def test_sign_it_out__takes_back_what_it_was_letting_in(
    owner: Person, helper_person: Person
) -> None:
    came_in("Emil")
    offer = offer_pairing(act_of(helper_person), person=helper_person, name="x",
                          token_digest="a" * 64, code_digest="b" * 64).thing  # fmt: skip
    sign_out_device(act_of(owner), device=Device.objects.get())
    offer.refresh_from_db()
    assert not offer.is_good(timezone.now())


def test_verb__nobody_elses(owner: Person, helper_person: Person) -> None:
    came_in("Wanda")
    with pytest.raises(Refused, match="Only the owner"):
        sign_out_device(act_of(helper_person), device=Device.objects.get())


def test_signing_out__closes_the_device(owner: Person) -> None:
    client = came_in("Wanda")
    client.post(reverse("sign-out"))
    device = Device.objects.get()
    assert (device.ended_how, device.ended_by) == ("left", owner)
    assert not Session.objects.exists()
    assert not inside(client)


def test_new_password__ends_the_other_devices(owner: Person) -> None:
    here, there = came_in("Wanda"), came_in("Wanda")
    here.post(reverse("password"), {"old": PASSWORD, "password": NEW_WORD})
    assert (inside(here), inside(there)) == (True, False)
    assert [device.ended_how for device in Device.objects.order_by("pk")] == ["", "password"]
    assert rows(here)[0].startswith("iPhone this one")
    # The key of the session is another one now, and the device knows it.
    assert Device.objects.get(ended_at=None).session_key == here.session.session_key


def test_new_password_from_the_owner__ends_all_devices(
    owner: Person, helper_person: Person
) -> None:
    wanda, emil = came_in("Wanda"), came_in("Emil")
    address = reverse("person-change", args=[helper_person.pk])
    fields = {"name": "Emil", "role": "helper", "is_active": "on", "password": NEW_WORD}
    assert post(wanda, address, **fields).status_code == 303
    assert (inside(wanda), inside(emil)) == (True, False)
    assert [row.split()[1] for row in rows(wanda)] == ["this"]
    assert NEW_WORD not in repr([*JournalLine.objects.values()])


def test_somebody_shut_out__stays_out_when_let_in_again(
    owner: Person, helper_person: Person
) -> None:
    wanda, emil = came_in("Wanda"), came_in("Emil")
    address = reverse("person-change", args=[helper_person.pk])
    post(wanda, address, name="Emil", role="helper")
    assert not inside(emil)
    post(wanda, address, name="Emil", role="helper", is_active="on")
    assert not inside(emil)


def test_journal__names_the_device(owner: Person) -> None:
    client = came_in("Wanda", agent="Mozilla/5.0 (Linux; Android 16)")
    post(client, reverse("bed-new"), name="Far Bed", rows="2", positions="9")
    assert JournalLine.objects.latest("pk").device == "Android phone"


def test_last_seen__is_noted_once_in_ten_minutes_and_costs_nothing_between(
    owner: Person, django_assert_num_queries: Any
) -> None:
    client = came_in("Wanda")
    client.get(reverse("hello"))
    now = timezone.now()
    with time_machine.travel(now + timedelta(minutes=9), tick=False):
        with django_assert_num_queries(3):  # session, person, garden
            client.get(reverse("hello"))
        assert Device.objects.get().seen_at < now + timedelta(minutes=1)
    later = now + timedelta(minutes=11)
    with time_machine.travel(later, tick=False):
        client.get(reverse("hello"))
    assert Device.objects.get().seen_at == later


def test_session__runs_out_and_is_cleared(owner: Person, owner_client: Client) -> None:
    client = came_in("Wanda")
    assert len(rows(owner_client)) == 1
    half_a_year = timezone.now() + timedelta(seconds=settings.SESSION_COOKIE_AGE + 60)
    with time_machine.travel(half_a_year, tick=False):
        assert not inside(client)
        came_in("Wanda")
        assert Session.objects.count() == 1
        assert Device.objects.inside().count() == 1


def test_cookies__are_out_of_reach_of_scripts_and_foreign_forms(owner: Person) -> None:
    client = Client()
    client.get(reverse("sign-in"))
    client.post(reverse("sign-in"), {"username": "Wanda", "password": PASSWORD})
    for name in (settings.SESSION_COOKIE_NAME, settings.CSRF_COOKIE_NAME):
        cookie = client.cookies[name]
        assert (cookie["httponly"], cookie["samesite"]) == (True, "Lax")


def test_database__holds_the_rules_of_the_door(owner: Person) -> None:
    came_in("Wanda")
    device = Device.objects.get()
    now = timezone.now()
    breaks("device_out_has_no_session", lambda: Device.objects.update(ended_at=now))
    offer_pairing(act_of(owner), person=owner, name="x", token_digest="a" * 64,
                  code_digest="b" * 64)  # fmt: skip
    earlier = now - timedelta(days=1)
    breaks("pairing_ends_after_it_began", lambda: Pairing.objects.update(good_until=earlier))
    whose = {"person": owner, "made_by": owner, "made_at": now, "good_until": now}
    breaks("token_digest", lambda: Pairing.objects.create(token_digest="a" * 64, **whose))
    assert device.ended_at is None


def test_calendar__gets_a_new_address_and_the_old_one_dies(owner_client: Client) -> None:
    old = texts(owner_client.get(reverse("calendar")), "#address")[0]
    [form] = tree(owner_client.get(reverse("calendar"))).cssselect("main form")
    answer = post(owner_client, form.get("action"))
    assert answer.status_code == 303
    new = texts(owner_client.get(reverse("calendar")), "#address")[0]
    assert [Client().get(each).status_code for each in (old, new)] == [404, 200]
    kept = repr([*JournalLine.objects.values()])
    assert "a new address" in kept
    for address in (old, new):
        assert address.split("/")[-2] not in kept


def test_calendar__the_owner_renews_a_visitors(owner_client: Client, visitor: Person) -> None:
    key = visitor.feed_key
    assert post(owner_client, reverse("calendar-renew", args=[visitor.pk])).status_code == 303
    visitor.refresh_from_db()
    assert visitor.feed_key != key


def test_calendar__nobody_elses(
    helper_client: Client, owner: Person, helper_person: Person
) -> None:
    assert post(helper_client, reverse("calendar-renew", args=[owner.pk])).status_code == 404
    with pytest.raises(Refused, match="Only the owner"):
        renew_feed_key(act_of(helper_person), person=owner)
