"""What a phone is told: whether the garden is there, and what became of what it sent."""

from __future__ import annotations

import uuid
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from breeding.models import Cross, Pollination
from garden.models import JournalLine
from garden.phone import version
from tests.cast import Stock

NOON = datetime(2026, 6, 3, 12, tzinfo=UTC)


def worked(stock: Stock, **more: Any) -> dict[str, Any]:
    """The body of a pollination, as the form sends it."""
    return {"entry": str(uuid.uuid4()), "at": NOON.isoformat(), "seed": stock.teapot.pk,
            "pollen": stock.ledger.pk, "tag": stock.tags[0], "stigmas": 3, **more}  # fmt: skip


def send(client: Client, body: dict[str, Any], at: str = "", **headers: str) -> Any:
    known = {"Haftbook-Entry": str(body.get("entry", "")), **headers}
    return client.post(at or reverse("new-cross"), body, headers=known)


@pytest.fixture
def at_noon() -> Any:
    with time_machine.travel(NOON, tick=False):
        yield


def test_hello__tells_who_is_in_and_what_day_it_is(owner_client: Client, at_noon: None) -> None:
    answer = owner_client.get(reverse("hello"))
    told = answer.json()
    assert (told["name"], told["day"], told["recorder"]) == ("Wanda", "2026-06-03", True)
    assert datetime.fromisoformat(told["now"]) == NOON
    assert told["token"]
    assert told["version"]
    assert "no-store" in answer.headers["Cache-Control"]


def test_version__is_another_one_when_a_form_is_another(tmp_path: Path, settings: Any) -> None:
    form = tmp_path / "breeding" / "forms.py"
    form.parent.mkdir()
    form.write_text("seeds = 1", encoding="utf-8")
    settings.BASE_DIR = tmp_path
    before = version.__wrapped__()
    assert version.__wrapped__() == before
    form.write_text("seeds = None", encoding="utf-8")
    assert version.__wrapped__() != before


def test_hello__tells_a_stranger_nothing(client: Client, garden_row: Any) -> None:
    answer = client.get(reverse("hello"))
    assert (answer.status_code, answer.json()) == (401, {})


def test_entry__is_kept_and_named(owner_client: Client, stock: Stock, at_noon: None) -> None:
    body = worked(stock)
    answer = send(owner_client, body)
    told = answer.json()
    line = JournalLine.objects.get(entry=body["entry"])
    assert (answer.status_code, told["outcome"]) == (200, "kept")
    assert told["entry"] == body["entry"]
    assert (told["text"], told["line"]) == (line.text, line.pk)
    assert f"kept={line.pk}" in told["at"]
    assert "page" not in told


def test_entry__sent_again_counts_once(owner_client: Client, stock: Stock, at_noon: None) -> None:
    body = worked(stock)
    first, second = (send(owner_client, body).json() for _ in range(2))
    assert (first["outcome"], second["outcome"]) == ("kept", "already")
    assert first["line"] == second["line"]
    assert Pollination.objects.count() == 1


def test_entry__with_other_words_is_a_conflict(
    owner_client: Client, stock: Stock, at_noon: None
) -> None:
    body = worked(stock)
    send(owner_client, body)
    answer = send(owner_client, {**body, "stigmas": 1})
    assert answer.status_code == 409
    assert answer.json()["outcome"] == "conflict"
    assert Pollination.objects.get().stigmas == 3


def test_entry__on_a_tag_that_is_tied_on_is_refused_in_words(
    owner_client: Client, stock: Stock, at_noon: None
) -> None:
    send(owner_client, worked(stock))
    answer = send(owner_client, worked(stock))
    told = answer.json()
    assert answer.status_code == 422
    assert told["outcome"] == "refused"
    assert stock.tags[0] in told["fields"]["tag"][0]
    assert Pollination.objects.count() == 1


def test_entry__carries_the_page_while_its_form_is_on_the_screen(
    owner_client: Client, stock: Stock, at_noon: None
) -> None:
    answer = send(owner_client, worked(stock, tag="nonsense"), **{"Haftbook-Page": "1"})
    assert answer.status_code == 422
    assert 'class="errors"' in answer.json()["page"]


def test_entry__about_something_gone_says_so(owner_client: Client, stock: Stock) -> None:
    answer = send(owner_client, {"entry": str(uuid.uuid4())}, reverse("look", args=[99]))
    assert answer.status_code == 404
    assert answer.json()["says"]


def test_entry__of_somebody_signed_out_waits(client: Client, stock: Stock) -> None:
    answer = send(client, worked(stock))
    assert (answer.status_code, answer.json()["outcome"]) == (401, "signed-out")
    assert not Cross.objects.exists()


def test_entry__with_an_old_token_asks_for_a_new_one(owner: Any, stock: Stock) -> None:
    client = Client(enforce_csrf_checks=True)
    client.force_login(owner)
    answer = send(client, worked(stock))
    assert (answer.status_code, answer.json()["outcome"]) == (403, "token")
    token = client.get(reverse("hello")).json()["token"]
    with time_machine.travel(NOON, tick=False):
        assert send(client, worked(stock), **{"X-CSRFToken": token}).status_code == 200


def test_entry__of_a_visitor_is_refused(visitor_client: Client, stock: Stock) -> None:
    answer = send(visitor_client, worked(stock))
    assert (answer.status_code, answer.json()["outcome"]) == (403, "refused")


@pytest.mark.parametrize("wrong_by", [timedelta(days=-1), timedelta(0), timedelta(days=1)])
def test_entry__keeps_its_day_though_the_phone_has_another(
    owner_client: Client, stock: Stock, wrong_by: timedelta
) -> None:
    tapped = NOON + wrong_by
    with time_machine.travel(NOON + timedelta(days=3), tick=False):
        clock = (NOON + timedelta(days=3) + wrong_by).isoformat()
        send(owner_client, worked(stock, at=tapped.isoformat()), **{"Haftbook-Clock": clock})
    assert Pollination.objects.get().day == NOON.date()
    assert JournalLine.objects.get(verb="record_pollination").happened_at == NOON


@pytest.mark.parametrize("nonsense", ["", "yesterday", "2026-06-03T12:00", "9999-12-31T23:59:59Z"])
def test_entry__with_a_nonsense_clock_is_kept(
    owner_client: Client, stock: Stock, at_noon: None, nonsense: str
) -> None:
    headers = {"Haftbook-Clock": nonsense, "Haftbook-Skew": nonsense}
    assert send(owner_client, worked(stock), **headers).status_code == 200
    assert Pollination.objects.get().day == NOON.date()
