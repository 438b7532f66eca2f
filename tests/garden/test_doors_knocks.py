"""Wrong tries at the door are slowed and told to the owner; what was typed is kept nowhere."""

from __future__ import annotations

import threading
from collections import Counter
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
import time_machine
from django.contrib.auth import hashers
from django.core import serializers
from django.db import connections
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from garden.models import Device, JournalLine, Knock, Person
from garden.pairing import new_code, new_token
from garden.records import knocks
from garden.records.knocks import Shut, knock, place_of
from tests.cast import PASSWORD
from tests.pages import texts, tree

pytestmark = pytest.mark.django_db
DOOR = reverse("sign-in")
AWAY, OTHER, HERE = "192.168.7.31", "192.168.7.32", "127.0.0.1"
NOW = datetime(2026, 5, 20, 10, tzinfo=UTC)


@pytest.fixture
def clock() -> Iterator[time_machine.Traveller]:
    with time_machine.travel(NOW, tick=False) as traveller:
        yield traveller


def knock_with(name: str, password: str = "wrong", where: str = AWAY, **more: Any) -> Any:
    sent = {"username": name, "password": password}
    return Client().post(DOOR, sent, REMOTE_ADDR=where, **more)


def statuses(times: int, send: Callable[[], Any]) -> list[int]:
    return [send().status_code for _ in range(times)]


def test_password__is_slowed_after_five_wrong_ones_even_when_right(
    owner: Person, clock: time_machine.Traveller
) -> None:
    assert statuses(5, lambda: knock_with("Wanda")) == [200] * 5
    answer = knock_with("Wanda", PASSWORD)
    assert answer.status_code == 429
    assert answer.headers["Retry-After"] == "900"
    assert "no-store" in answer.headers["Cache-Control"]
    assert texts(answer, ".errors li") == [
        "Too many wrong tries came from here. The door can be tried again in 15 minutes."
    ]
    clock.move_to(NOW + timedelta(minutes=14, seconds=59))
    assert knock_with("Wanda", PASSWORD).headers["Retry-After"] == "1"
    clock.move_to(NOW + timedelta(minutes=15, seconds=1))
    assert knock_with("Wanda", PASSWORD).status_code == 302


def test_password__trying_on_keeps_the_door_shut_no_longer(
    owner: Person, clock: time_machine.Traveller
) -> None:
    statuses(5, lambda: knock_with("Wanda"))
    for minute in range(1, 15):
        clock.move_to(NOW + timedelta(minutes=minute))
        assert knock_with("Wanda").status_code == 429
    assert Knock.objects.count() == 5
    assert Knock.objects.get(shut_until__isnull=False).last_at == NOW + timedelta(minutes=14)
    clock.move_to(NOW + timedelta(minutes=16))
    assert knock_with("Wanda", PASSWORD).status_code == 302


@pytest.mark.parametrize(
    ("name", "where"), [("Emil", AWAY), ("Wanda", OTHER)], ids=["another name", "another place"]
)
def test_password__another_is_not_slowed(
    owner: Person, helper_person: Person, name: str, where: str
) -> None:
    statuses(6, lambda: knock_with("Wanda"))
    assert knock_with(name, PASSWORD, where).status_code == 302


def test_password__a_right_one_begins_the_count_anew(owner: Person) -> None:
    for _ in range(3):
        assert statuses(4, lambda: knock_with("Wanda")) == [200] * 4
        assert knock_with("Wanda", PASSWORD).status_code == 302
    assert Knock.objects.count() == 12


@pytest.mark.parametrize("spelt", ["WANDA", " wanda ", "Ｗanda"])
def test_password__one_name_however_it_is_spelt(owner: Person, spelt: str) -> None:
    statuses(5, lambda: knock_with(spelt))
    assert knock_with("Wanda", PASSWORD).status_code == 429


def test_password__somebody_at_the_laptop_waits_a_minute(
    owner: Person, clock: time_machine.Traveller
) -> None:
    statuses(5, lambda: knock_with("Wanda", where=HERE))
    assert knock_with("Wanda", PASSWORD, HERE).headers["Retry-After"] == "60"
    clock.move_to(NOW + timedelta(seconds=61))
    assert knock_with("Wanda", PASSWORD, HERE).status_code == 302


def test_password__headers_of_a_stranger_are_not_believed(owner: Person) -> None:
    for number in range(5):
        forged = {"X-Forwarded-For": f"10.0.0.{number}", "Forwarded": f"for=10.0.0.{number}",
                  "X-Real-Ip": HERE}  # fmt: skip
        knock_with("Wanda", headers=forged)
    assert knock_with("Wanda", PASSWORD, headers={"X-Forwarded-For": HERE}).status_code == 429
    assert {*Knock.objects.values_list("address", flat=True)} == {AWAY}


def test_password__nobodys_name_is_slowed_like_somebodys(owner: Person) -> None:
    """Otherwise the fifth answer would tell which names there are."""
    known, unknown = (
        [[answer.status_code, texts(answer, ".errors li")] for answer in
         (knock_with(name, where=where) for _ in range(7))]
        for name, where in (("Wanda", AWAY), ("Nobody", OTHER))
    )  # fmt: skip
    assert known == unknown
    assert known[4][0] == 200
    assert known[5][0] == 429


@pytest.mark.parametrize("name", ["Wanda", "Nobody", "Gone"])
def test_password__a_name_costs_one_hash_whether_it_is_somebodys(
    owner: Person, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    Person.objects.create_user("Gone", PASSWORD)
    Person.objects.filter(name="Gone").update(is_active=False)
    hashed: list[int] = []
    encode = hashers.MD5PasswordHasher.encode

    def counting(self: Any, *args: Any) -> str:
        hashed.append(1)
        return encode(self, *args)

    monkeypatch.setattr(hashers.MD5PasswordHasher, "encode", counting)
    for password in ("wrong", PASSWORD) if name != "Wanda" else ("wrong",):
        hashed.clear()
        assert knock_with(name, password).status_code == 200
        assert hashed == [1]


def test_many_names_from_one_place__are_slowed(owner: Person) -> None:
    said = [knock_with(f"name {number}").status_code for number in range(31)]
    assert said == [200] * 30 + [429]
    assert knock_with("Wanda", PASSWORD).status_code == 429
    assert knock_with("Wanda", PASSWORD, OTHER).status_code == 302


def test_one_name_from_many_places__is_slowed_but_not_at_the_laptop(owner: Person) -> None:
    said = [knock_with("Wanda", where=f"192.168.8.{number}").status_code for number in range(31)]
    assert said == [200] * 30 + [429]
    assert knock_with("Wanda", PASSWORD, HERE).status_code == 302


@pytest.mark.parametrize("first", ["token", "code"])
def test_codes__are_slowed_by_place_whichever_way(owner: Person, first: str) -> None:
    def wrong(way: str, where: str = AWAY) -> Any:
        return Client().post(
            DOOR, {way: new_token() if way == "token" else new_code()}, REMOTE_ADDR=where
        )

    assert statuses(5, lambda: wrong(first)) == [200] * 5
    assert [wrong(way).status_code for way in ("token", "code")] == [429, 429]
    assert wrong("code", OTHER).status_code == 200
    assert knock_with("Wanda", PASSWORD).status_code == 302


def test_code__that_no_laptop_shows_is_no_try(db: None) -> None:
    for typed in ("", "ABCD", "ABCD 123O", "x" * 5000, "½" * 8):
        answer = Client().post(DOOR, {"code": typed}, REMOTE_ADDR=AWAY)
        assert texts(answer, ".errors li")[0].startswith("A code has eight letters and digits")
    assert not Knock.objects.exists()


def test_tries_at_once__are_no_way_round_the_count(transactional_db: None, owner: Person) -> None:
    together, said = threading.Barrier(20, timeout=20), Counter[str]()

    def try_it() -> None:
        together.wait()
        try:
            knock("password", AWAY, name="Wanda", person=owner, now=timezone.now())
            said["looked at"] += 1
        except Shut:
            said["shut"] += 1
        finally:
            connections.close_all()

    threads = [threading.Thread(target=try_it) for _ in range(20)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert said == {"looked at": 5, "shut": 15}


def test_what_was_typed__is_kept_nowhere(owner: Person) -> None:
    slip, wrong = "my secret word 77", "another secret 88"
    knock_with(slip, wrong)
    knock_with("Wanda", wrong)
    Client().post(DOOR, {"code": new_code()}, REMOTE_ADDR=AWAY)
    kept = serializers.serialize("json", [*Knock.objects.all(), *JournalLine.objects.all()])
    assert slip not in kept
    assert wrong not in kept
    assert [knock.person for knock in Knock.objects.order_by("pk")] == [None, owner, None]


def test_mark_of_nobodys_name__is_worth_nothing_after_the_next_start(
    owner: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    knock_with("my secret word 77")
    monkeypatch.setattr(knocks, "_forgotten", b"another start")
    knock_with("my secret word 77")
    assert len({*Knock.objects.values_list("mark", flat=True)}) == 2


def test_book_of_tries__does_not_grow_without_end(
    owner: Person, clock: time_machine.Traveller, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(knocks, "MOST_KEPT", 40)
    monkeypatch.setattr(knocks, "SWEPT_EVERY", 10)
    for number in range(120):
        knock("password", f"10.1.{number}.7", name=f"n{number}", now=timezone.now())
    assert 40 <= Knock.objects.count() <= 50
    clock.move_to(NOW + timedelta(days=91))
    for number in range(10):
        knock("password", f"10.2.{number}.7", name=f"n{number}", now=timezone.now())
    assert Knock.objects.count() <= 10


def test_owner__reads_who_tried(owner_client: Client, helper_person: Person) -> None:
    statuses(6, lambda: knock_with("Emil"))
    knock_with("my secret word 77", where=OTHER)
    page = owner_client.get(reverse("at-the-door"))
    rows = [" ".join(row.text_content().split()) for row in tree(page).cssselect("tbody tr")]
    assert len(rows) == 6
    assert rows[0].endswith("192.168.7.32 Password nobody’s refused")
    assert "Emil shut until" in rows[1]
    assert rows[2].endswith("192.168.7.31 Password Emil refused")
    assert texts(owner_client.get(reverse("phones")), ".line-mark") == ["6"]


@pytest.mark.parametrize("role", ["helper", "visitor"])
def test_others__do_not_read_who_tried(role: str, request: Any) -> None:
    client = request.getfixturevalue(f"{role}_client")
    assert client.get(reverse("at-the-door")).status_code == 403
    assert texts(client.get(reverse("phones")), "#tries") == []


def test_right_password__leaves_no_line_at_the_door(owner: Person) -> None:
    assert knock_with("Wanda", PASSWORD).status_code == 302
    assert not Knock.objects.exists()
    assert Device.objects.count() == 1


@pytest.mark.parametrize(
    ("address", "place"),
    [
        ("192.168.7.9", "192.168.7.9"), ("::ffff:192.168.7.9", "192.168.7.9"),
        ("2001:db8:1:2:3:4:5:6", "2001:db8:1:2::/64"), ("::1", "::1"),
        ("", ""), ("unix:", ""), ("x" * 500, ""),
    ],
)  # fmt: skip
def test_place_of__an_address(address: str, place: str) -> None:
    assert place_of(address) == place
