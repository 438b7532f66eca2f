"""Writers one after the other, and what is said when a turn does not come or a rule is broken."""

from __future__ import annotations

import threading
from collections.abc import Callable
from contextlib import contextmanager
from typing import Any

import pytest
from django.db import DataError, OperationalError, connection, connections
from django.test import Client, RequestFactory

from garden import turns
from garden.models import Garden, Person, Plant
from garden.turns import Busy, broken_rule, writing
from garden.verbs import Act, Refused, verb
from garden.views.site import failed


@contextmanager
def elsewhere(doing: Callable[[], None]) -> Any:
    """Something done by a thread of its own, awaited at the end; its errors in the list."""
    wrong: list[Exception] = []

    def run() -> None:
        try:
            doing()
        except Exception as error:  # noqa: BLE001 - a thread has nobody to tell
            wrong.append(error)
        finally:
            connections.close_all()

    thread = threading.Thread(target=run)
    thread.start()
    yield wrong
    thread.join()


@pytest.fixture
def impatient(monkeypatch: pytest.MonkeyPatch) -> None:
    """A writer that waits a tenth of a second."""
    monkeypatch.setattr(turns, "PATIENCE", 0.1)


def hurry() -> None:
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SET lock_timeout = '100ms'")


@pytest.mark.django_db(transaction=True)
def test_writing__a_turn_that_never_comes_is_busy(impatient: None, owner: Person) -> None:
    def another() -> None:
        hurry()
        with writing():
            Garden.objects.update(name="never")

    with writing():
        Garden.objects.update(name="mine")
        with elsewhere(another) as wrong:
            pass
    assert [type(error) for error in wrong] == [Busy]
    assert Garden.get().name == "mine"


@pytest.mark.django_db(transaction=True)
def test_writing__waits_for_the_one_before_and_sees_it(owner: Person) -> None:
    """Both look before they write; without turns one of them would be lost."""
    began, looked = threading.Event(), threading.Event()

    def another() -> None:
        began.set()
        with writing():
            seen = Garden.objects.get(pk=1).stock_version
            Garden.objects.update(stock_version=seen + 1)

    before = Garden.get().stock_version
    with elsewhere(another) as wrong:
        began.wait(5)
        with writing():
            seen = Garden.objects.get(pk=1).stock_version
            looked.wait(0.3)
            Garden.objects.update(stock_version=seen + 1)
    assert wrong == []
    assert Garden.get().stock_version == before + 2


@pytest.mark.django_db
def test_writing__within_writing_is_the_same_turn(owner: Person) -> None:
    with writing(), writing():
        Garden.objects.update(name="twice in")
    assert Garden.get().name == "twice in"


@pytest.mark.django_db
@pytest.mark.parametrize("error", [Busy(), OperationalError("the server closed the connection")])
def test_busy__is_a_page_that_says_so_and_asks_to_send_again(
    client: Client, error: Exception, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stumble() -> Garden:
        raise error

    monkeypatch.setattr(Garden, "get", stumble)
    client.raise_request_exception = False
    answer = client.get("/sign-in/")
    assert answer.status_code == 503
    assert answer.headers["Retry-After"] == "5"
    assert b"send it again" in answer.content


def test_failed__any_other_error_is_no_busy_garden() -> None:
    try:
        raise ValueError("a slip")
    except ValueError:
        answer = failed(RequestFactory().get("/"))
    assert answer.status_code == 500


@verb
def break_a_rule(act: Act, *, write: Any) -> tuple[Garden, str]:
    write()
    return act.garden, "never"


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("write", "sentence"),
    [
        (lambda: Plant.objects.create(name="Marrow Tin"), "the same stands there already"),
        (lambda: Person.objects.create_user("WANDA"), "the same stands there already"),
        (lambda: Plant.objects.create(), r"\(plant has name or number\)"),
    ],
)
def test_broken_rule__is_told_in_the_same_words(
    act: Any, write: Callable[[], object], sentence: str
) -> None:
    Plant.objects.create(name="Marrow Tin")
    with pytest.raises(Refused, match=sentence):
        break_a_rule(act(), write=write)


def test_broken_rule__what_a_column_cannot_hold() -> None:
    assert "too large" in broken_rule(DataError("smallint out of range"))


@pytest.mark.django_db
@pytest.mark.skipif("connection.vendor != 'postgresql'", reason="SQLite takes any number")
def test_verb__a_number_beyond_its_column_is_a_sentence(act: Any) -> None:
    with pytest.raises(Refused, match="too large"):
        break_a_rule(act(), write=lambda: Garden.objects.update(next_tag=2**40))
