"""The lists for the spade as pages and on paper."""

from __future__ import annotations

import io

import pdfplumber
import pytest
from django.urls import reverse

from evaluation.models import ClearOut
from evaluation.records import decide_at
from tests.pages import texts

pytestmark = pytest.mark.django_db


@pytest.fixture
def decided(act, cast) -> None:
    for position in (1, 2, 3, 5):
        decide_at(act(), row=cast.row, position=position, verdict="discard")
    decide_at(act(), row=cast.row, position=4, verdict="keep", reason="ruffled")


def words(pdf: bytes) -> str:
    with pdfplumber.open(io.BytesIO(pdf)) as sheets:
        return "\n".join(page.extract_text() or "" for page in sheets.pages)


def test_it_tells_what_to_dig_and_what_to_leave(owner_client, decided) -> None:
    page = owner_client.get(reverse("clear-out"))
    assert texts(page, ".spade-sums") == ["4 seedlings in 1 row."]
    line = texts(page, ".spade-line")[0]
    assert "dig 1–3 · LEAVE 4 (24-001A, keep) · dig 5" in line


def test_it_says_so_when_there_is_nothing(owner_client, cast) -> None:
    page = owner_client.get(reverse("clear-out"))
    assert "Nothing is to be dug" in texts(page, ".empty")[0]


@pytest.mark.parametrize("nonsense", ["?passed=x", "?passed=99", "?bed=0", "?bed=x&passed=-1"])
def test_it_bears_nonsense(owner_client, decided, nonsense: str) -> None:
    assert owner_client.get(reverse("clear-out") + nonsense).status_code == 200
    assert owner_client.get(reverse("clear-out-pdf") + nonsense).status_code == 200


def test_it_notes_what_was_dug(owner_client, cast, decided) -> None:
    address = reverse("clear-out-row", args=[cast.row.pk])
    answer = owner_client.post(address, {"positions": "1–3"}, headers={"HX-Request": "true"})
    assert answer.status_code == 200
    assert ClearOut.live.get().positions == [[1, 3]]
    assert "1 to dig" in texts(answer, "h3")[0]
    assert len(answer.content) < 15_000


def test_it_refuses_to_dig_what_is_kept(owner_client, cast, decided) -> None:
    address = reverse("clear-out-row", args=[cast.row.pk])
    answer = owner_client.post(address, {"positions": "1–5", "reason": "room for others"})
    assert answer.status_code == 422
    assert "24-001A stands at position 4 and is to stay." in answer.content.decode()
    assert "room for others" in answer.content.decode()
    assert not ClearOut.objects.exists()


def test_sheet__tells_the_same_in_print(owner_client, decided) -> None:
    answer = owner_client.get(reverse("clear-out-pdf"))
    assert answer["Content-Type"] == "application/pdf"
    told = words(answer.content)
    assert "dig 4" in told
    assert "LEAVE 4 (24-001A, keep)" in told
    assert "dig 1–3" in told


def test_sheet__empty_says_so(owner_client, cast) -> None:
    assert "othing" in words(owner_client.get(reverse("clear-out-pdf")).content)
    assert "Nothing waits" in words(owner_client.get(reverse("resets-pdf")).content)


def test_resets__lead_to_the_form_of_the_new_place(owner_client, cast, decided) -> None:
    page = owner_client.get(reverse("resets"))
    assert "24-001A" in texts(page, ".line")[0]
    assert "position 4" in texts(page, ".line")[0]
    assert "24-001A" in words(owner_client.get(reverse("resets-pdf")).content)


def test_it_lets_visitors_read(visitor_client, cast, decided) -> None:
    assert visitor_client.get(reverse("clear-out")).status_code == 200
    assert visitor_client.post(
        reverse("clear-out-row", args=[cast.row.pk]), {"positions": "1"}
    ).status_code == 403  # fmt: skip
