"""A phone is let in: by whom, as whom, once, and for five minutes."""

from __future__ import annotations

import re
import threading
from collections import Counter
from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.conf import settings
from django.contrib.sessions.models import Session
from django.db import connections
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st

from garden import pairing
from garden.models import Device, JournalLine, Pairing, Person
from garden.records.doors import offer_pairing, redeem
from garden.verbs import Refused
from tests.cast import act_of
from tests.pages import post, texts, tree

pytestmark = pytest.mark.django_db
DOOR, NEW = reverse("sign-in"), reverse("phone-new")
USED, OLD = "This code was used already", "This code is too old"


def offered(client: Client, name: str = "Emil's phone", **fields: Any) -> tuple[str, str]:
    """(token, code) of what a page shows to a phone, one's own unless somebody is named."""
    fields.setdefault("person", client.session["_auth_user_id"])
    page = post(client, NEW, name=name, **fields)
    assert page.status_code == 200
    assert page.headers["Cache-Control"].count("no-store")
    [told] = tree(page).cssselect("[data-scan]")
    [code] = texts(page, "#code")
    return told.get("data-scan").partition("#")[2], code


def come(way: str, word: str, client: Client | None = None, **more: Any) -> tuple[Client, Any]:
    """Somebody at the door with a token or a code."""
    client = client or Client()
    return client, client.post(DOOR, {way: word}, **more)


def inside(client: Client) -> bool:
    return client.get(reverse("today")).status_code == 200


def test_phone__comes_in_as_the_chosen_person_under_its_name(
    owner_client: Client, owner: Person, helper_person: Person
) -> None:
    token, _ = offered(owner_client, person=helper_person.pk)
    phone, answer = come("token", token)
    assert (answer.status_code, answer.url) == (302, reverse("today"))
    assert inside(phone)
    post(phone, reverse("bed-new"), name="Far Bed", rows="2", positions="9")
    line = JournalLine.objects.latest("pk")
    assert (line.person, line.device) == (helper_person, "Emil's phone")
    device = Device.objects.get()
    assert (device.person, device.way, str(device)) == (helper_person, "paired", "Emil's phone")
    assert device.pairing.made_by == owner


def test_code__is_as_good_typed_in_small_letters_with_spaces(owner_client: Client) -> None:
    _, code = offered(owner_client)
    assert re.fullmatch(r"[34679ACDEFGHJKMNPQRTVWXY]{4} [34679ACDEFGHJKMNPQRTVWXY]{4}", code)
    phone, answer = come("code", f"  {code.lower().replace(' ', ' - ')} ")
    assert answer.status_code == 302
    assert inside(phone)


@pytest.mark.parametrize("second", ["token", "code"])
def test_offer__is_used_up_by_either_way(owner_client: Client, second: str) -> None:
    token, code = offered(owner_client)
    come("token", token)
    phone, answer = come(second, {"token": token, "code": code}[second])
    assert texts(answer, ".errors li")[0].startswith(USED)
    assert not inside(phone)
    assert Device.objects.count() == 1


def test_offer__is_good_for_five_minutes(owner_client: Client) -> None:
    now = timezone.now()
    with time_machine.travel(now, tick=False):
        token, _ = offered(owner_client)
    with time_machine.travel(now + timedelta(minutes=5), tick=False):
        phone, answer = come("token", token)
    assert texts(answer, ".errors li")[0].startswith(OLD)
    assert not inside(phone)
    with time_machine.travel(now + timedelta(minutes=4, seconds=59), tick=False):
        assert come("token", token)[1].status_code == 302


def test_offer__ends_with_the_next_one(owner_client: Client) -> None:
    token, _ = offered(owner_client)
    offered(owner_client, name="Another phone")
    assert texts(come("token", token)[1], ".errors li")[0].startswith(OLD)


def test_offer__of_somebody_shut_out_opens_nothing(
    owner_client: Client, helper_person: Person
) -> None:
    token, _ = offered(owner_client, person=helper_person.pk)
    Person.objects.filter(pk=helper_person.pk).update(is_active=False)
    phone, answer = come("token", token)
    assert texts(answer, ".errors li") == ["Nobody may sign in by this code."]
    assert not inside(phone)


def test_offer__redeemed_once_of_twenty_at_a_time(transactional_db: None, owner: Person) -> None:
    token = pairing.new_token()
    offer_pairing(act_of(owner), person=owner, name="phone",
                  token_digest=pairing.token_digest(token), code_digest="x" * 64)  # fmt: skip
    together, said = threading.Barrier(20, timeout=20), Counter[str]()

    def try_it() -> None:
        together.wait()
        try:
            redeem(timezone.now(), token_digest=pairing.token_digest(token))
            said["in"] += 1
        except Refused as refused:
            said[str(refused)[: len(USED)]] += 1
        finally:
            connections.close_all()

    threads = [threading.Thread(target=try_it) for _ in range(20)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert said == {"in": 1, USED: 19}


def test_words__stand_nowhere_as_they_are(owner_client: Client) -> None:
    token, code = offered(owner_client)
    kept = repr([*Pairing.objects.values(), *JournalLine.objects.values()])
    assert token not in kept
    assert code not in kept
    assert code.replace(" ", "") not in kept
    # Without the garden's own key 37 bits could be tried out.
    bare = pairing.code_digest(pairing.tidy_code(code), "")
    assert Pairing.objects.get().code_digest != bare
    assert bare != pairing.code_digest(pairing.tidy_code(code), settings.SECRET_KEY)


def test_same_form_again__shows_no_second_code(owner_client: Client) -> None:
    sent = {"name": "Wanda's phone", "person": Person.objects.get().pk,
            "entry": "6b1f0a52-3a86-4a5e-9d0c-6a6c8c1f0d11"}  # fmt: skip
    assert owner_client.post(NEW, sent).status_code == 200
    again = owner_client.post(NEW, sent)
    assert (again.status_code, again.url.partition("?")[0]) == (303, reverse("phones"))
    assert Pairing.objects.count() == 1


def test_helper__lets_in_nobody_else(helper_client: Client, owner: Person) -> None:
    page = helper_client.get(NEW)
    assert tree(page).cssselect("[name=person]") == []
    token, _ = offered(helper_client, person=owner.pk)
    assert Pairing.objects.get().person.name == "Emil"
    come("token", token)
    assert Device.objects.get().person.name == "Emil"


def test_verb__helper_lets_in_nobody_else(owner: Person, helper_person: Person) -> None:
    with pytest.raises(Refused, match="Only the owner"):
        offer_pairing(act_of(helper_person), person=owner, name="x", token_digest="a" * 64,
                      code_digest="b" * 64)  # fmt: skip


def test_visitor__lets_in_no_phone(visitor_client: Client) -> None:
    assert visitor_client.get(NEW).status_code == 403
    assert post(visitor_client, NEW, name="x").status_code == 403
    assert not Pairing.objects.exists()


def test_it_says_when_the_phone_is_in(owner_client: Client, helper_client: Client) -> None:
    token, _ = offered(owner_client)
    address = reverse("phone-waited-for", args=[Pairing.objects.get().pk])
    assert owner_client.get(address).status_code == 204
    assert helper_client.get(address).status_code == 404
    come("token", token)
    came = owner_client.get(address, headers={"HX-Request": "true"})
    assert (came.status_code, texts(came, ".offer-came")) == (
        286, ["✓ Emil's phone is in, as Wanda."],
    )  # fmt: skip


def test_it_says_when_no_phone_came(owner_client: Client) -> None:
    offered(owner_client)
    Pairing.objects.update(good_until=timezone.now())
    page = owner_client.get(reverse("phone-waited-for", args=[Pairing.objects.get().pk]))
    assert texts(page, ".offer-came--late") == [
        "This code is no longer good, and no phone came in by it."
    ]


@pytest.mark.parametrize(
    ("host", "homes", "secure", "begins"),
    [
        ("127.0.0.1:8123", ["192.168.7.20"], False, "http://192.168.7.20:8123/sign-in/#"),
        ("localhost:8123", ["192.168.7.20"], True, "https://millrace.local:8123/sign-in/#"),
        ("testserver", ["192.168.7.20"], False, "http://testserver/sign-in/#"),
    ],
)
def test_picture__leads_where_a_phone_reaches(
    owner_client: Client, monkeypatch: pytest.MonkeyPatch, host: str, homes: list[str],
    secure: bool, begins: str,
) -> None:  # fmt: skip
    monkeypatch.setattr("garden.doorway.home_addresses", lambda: homes)
    monkeypatch.setattr("garden.doorway.local_name", lambda: "millrace.local" if secure else "")
    sites = [begins.partition("/sign-in")[0]]
    fields = {"name": "phone", "person": Person.objects.get().pk, "entry": "", "site": sites[0]}
    page = owner_client.post(NEW, fields, headers={"Host": host}, secure=secure)
    [told] = tree(page).cssselect("[data-scan]")
    assert told.get("data-scan").startswith(begins)
    [drawn] = tree(page).cssselect("svg.qr")
    assert drawn.get("viewbox") or drawn.get("viewBox")


def test_addresses__are_offered_and_no_other_is_taken(
    owner_client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("garden.doorway.home_addresses", lambda: ["192.168.7.20", "10.0.0.4"])
    monkeypatch.setattr("garden.doorway.local_name", lambda: "")
    page = owner_client.get(NEW, headers={"Host": "localhost:8000"})
    assert texts(page, "[name=site] option") == ["192.168.7.20:8000", "10.0.0.4:8000"]
    sent = {"name": "x", "person": Person.objects.get().pk, "site": "http://evil.example"}
    wrong = owner_client.post(NEW, sent, headers={"Host": "localhost:8000"})
    assert texts(wrong, "#wrong_site") == ["Choose one of these."]


def test_session__gets_another_key_when_a_phone_comes_in(owner_client: Client) -> None:
    token, _ = offered(owner_client)
    phone = Client()
    session = phone.session
    session["planted"] = "by somebody else"
    session.save()
    phone.cookies[settings.SESSION_COOKIE_NAME] = session.session_key
    come("token", token, phone)
    assert phone.cookies[settings.SESSION_COOKIE_NAME].value != session.session_key
    with pytest.raises(Session.DoesNotExist):
        Session.objects.get(session_key=session.session_key)


def test_door__wants_a_token_of_its_own_page(owner_client: Client) -> None:
    token, _ = offered(owner_client)
    phone = Client(enforce_csrf_checks=True)
    assert come("token", token, phone)[1].status_code == 403
    assert Pairing.objects.get().used_at is None


def test_looking_at_the_door__uses_nothing_up(owner_client: Client) -> None:
    token, _ = offered(owner_client)
    for query in ({}, {"token": token}, {"code": token}):
        assert Client().get(DOOR, query).status_code == 200
    assert come("token", token)[1].status_code == 302


def test_somebody_else__takes_the_device_over(owner_client: Client, helper_client: Client) -> None:
    token, _ = offered(owner_client)
    phone, answer = come("token", token, helper_client)
    assert answer.status_code == 302
    assert phone.get(reverse("hello")).json()["name"] == "Wanda"


def test_door__says_who_is_in(owner_client: Client) -> None:
    assert texts(owner_client.get(DOOR), "[data-unscanned] p")[0].startswith("Wanda is signed in")


def test_tokens_and_codes__have_the_bits_they_claim() -> None:
    assert len(pairing.SIGNS) == len(set(pairing.SIGNS)) == 24
    assert not set(pairing.SIGNS) & set("0O1IL2Z5S8BU")
    assert 24**pairing.CODE_LENGTH == 110_075_314_176
    tokens = {pairing.new_token() for _ in range(200)}
    assert len(tokens) == 200
    assert all(pairing.is_token(token) for token in tokens)
    assert all(pairing.is_code(pairing.new_code()) for _ in range(200))


@given(st.text())
def test_tidy_code__is_stable(text: str) -> None:
    assert pairing.is_code(pairing.tidy_code(text)) in (True, False)
    code = pairing.new_code()
    assert pairing.tidy_code(pairing.shown_code(code).lower()) == code
