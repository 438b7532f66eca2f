"""Tags on the phone: which are free, which hang on a flower, as ranges that a thin line carries."""

from __future__ import annotations

import gzip
import json
import random
from collections.abc import Iterator
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from breeding.models import Pollination
from breeding.tagnumbers import tag_code
from evaluation.bed import flowers
from evaluation.bed.flowers import ranges
from tests.cast import IN_BLOOM, Cast, noon

pytestmark = pytest.mark.django_db
ON_THE_WIRE = 15_000


@pytest.fixture(autouse=True)
def _in_bloom() -> Iterator[None]:
    with time_machine.travel(noon(IN_BLOOM), tick=False):
        yield


def answers(client: Client) -> Iterator[tuple[int, list[dict[str, Any]]]]:
    """(bytes on the wire, rows) of each answer, until the list is whole."""
    after = ""
    while after is not None:
        address = reverse("bed-list", args=["tags"])
        answer = client.get(address, {"after": after}, headers={"Accept-Encoding": "gzip"})
        zipped = answer.headers.get("Content-Encoding") == "gzip"
        told = json.loads(gzip.decompress(answer.content) if zipped else answer.content)
        yield len(answer.content), told["rows"]
        after = told["more"]


def parts(rows: list[dict[str, Any]], name: str) -> list[list[int]]:
    return [one for row in rows for one in row.get(name, [])]


def printed_in(parts_told: list[list[int]]) -> list[str]:
    codes = (tag_code(s) for first, last in parts_told for s in range(first, last + 1))
    return [code for code in codes if code]


def test_tags__free_ones_are_ranges_of_serials(owner_client: Client, cast: Cast) -> None:
    free = parts([row for _, rows in answers(owner_client) for row in rows], "free")
    assert printed_in(free) == cast.tags[3:]
    assert len(free) == 1


def test_tags__used_ones_of_all_seasons_are_ranges(owner_client: Client, cast: Cast) -> None:
    told = [row for _, rows in answers(owner_client) for row in rows]
    assert not any("tag" in row for row in told), "their season is long over"
    assert printed_in(parts(told, "used")) == cast.tags[:3]
    Pollination.live.filter(tag__code=cast.tags[0]).update(struck=True)
    told = [row for _, rows in answers(owner_client) for row in rows]
    assert cast.tags[0] not in printed_in(parts(told, "used"))


@pytest.mark.parametrize("name", ["free", "used"])
def test_tags__here_and_there_come_in_answers_that_a_thin_line_carries(
    owner_client: Client, cast: Cast, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    serials = sorted(random.Random(7).sample(range(10_000, 90_000), 8_000))
    monkeypatch.setattr(flowers, "_serials", lambda _: serials)
    told = list(answers(owner_client))
    assert len(told) >= 3
    assert max(size for size, _ in told) <= ON_THE_WIRE
    assert parts([row for _, rows in told for row in rows], name) == list(ranges(serials))


@given(st.sets(st.integers(1000, 1400)))
def test_ranges__hold_just_the_printed_serials(chosen: set[int]) -> None:
    printed = sorted(serial for serial in chosen if tag_code(serial))
    assert [int(code[:-1]) for code in printed_in(list(ranges(printed)))] == printed
