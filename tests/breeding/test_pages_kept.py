"""After something was kept: the way on, the way back, what comes next, and the journal's fold."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from garden.models import JournalLine
from tests.cast import Cast
from tests.pages import links, post, texts


def test_look_it_leads_on_to_the_next_pods(owner_client: Client, cast: Cast) -> None:
    address = reverse("look", args=[cast.bee_flower.pk])
    page = post(owner_client, address, outcome="set", follow=True)
    assert links(page, ".kept-next a") == [reverse("due", args=["look"])]
    kept = links(page, ".kept-next a")[0] + "?" + page.request["QUERY_STRING"]
    there = owner_client.get(kept)
    assert texts(there, ".kept button")
    assert texts(there, ".kept-next") == []


def test_kept_it_offers_undo_only_where_it_can_work(owner_client: Client, cast: Cast) -> None:
    post(owner_client, reverse("look", args=[cast.bee_flower.pk]), outcome="set")
    line = JournalLine.objects.latest("id")
    address = f"{reverse('today')}?kept={line.pk}"
    assert texts(owner_client.get(address), ".kept button") == [f"Undo {line.text}"]
    undone = post(owner_client, reverse("undo", args=[line.pk]), follow=True)
    assert texts(undone, ".kept button") == []
    assert texts(owner_client.get(address), ".kept button") == []


@pytest.mark.parametrize(("name", "main"), [("pot", "Line out"), ("uncounted", "Count")])
def test_pot_it_asks_for_what_comes_next(
    owner_client: Client, cast: Cast, name: str, main: str
) -> None:
    code = cast.pot.code
    if name == "uncounted":
        post(owner_client, reverse("sow", args=[cast.cup.code]), seeds="4")
        code = f"{cast.cup.code}-2"
    page = owner_client.get(reverse("pot", args=[code]))
    assert texts(page, ".act .btn--main") == [main]
    assert len(texts(page, ".act .btn")) == 2


def test_journal_it_folds_away_what_is_older(owner_client: Client, cast: Cast) -> None:
    page = owner_client.get(reverse("cross", args=[cast.cross.code]))
    shown = len(JournalLine.objects.filter(
        mentions__kind="breeding.cross", mentions__thing_id=cast.cross.pk
    ))  # fmt: skip
    assert shown > 6
    assert len(texts(page, "section > .journal time")) == 6
    assert len(texts(page, "details .journal time")) == shown - 6
