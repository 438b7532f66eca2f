from __future__ import annotations

import pytest
from django.test import Client
from lxml import html

from garden.models import JournalLine


def preview(client: Client, **fields: str):
    response = client.post("/flowers/preview/", fields, headers={"HX-Request": "true"})
    assert response.status_code == 200
    return html.fromstring(response.content)


def description(tree) -> str:
    return (tree.xpath("//textarea[@name='description']/text()") or [""])[0].strip()


def test_it_draws_and_writes_what_is_touched(owner_client: Client) -> None:
    tree = preview(owner_client, standards="white", falls="violet", pattern="amoena")
    assert tree.xpath("//svg[contains(@class, 'flower-large')]")
    assert description(tree) == "Amoena: S. white; F. violet."
    assert tree.xpath("//input[@name='drawn']/@value") == ["Amoena: S. white; F. violet."]
    assert "violet" in tree.xpath("//*[@id='word_falls']")[0].text_content()


def test_it_renews_a_description_that_nobody_wrote(owner_client: Client) -> None:
    tree = preview(
        owner_client, standards="gold", falls="gold", pattern="self",
        description="S. and F. lemon.", drawn="S. and F. lemon.",
    )  # fmt: skip
    assert description(tree) == "Gold self."


def test_it_keeps_own_words(owner_client: Client) -> None:
    tree = preview(
        owner_client, standards="gold", description="Warm as toast.", drawn="S. lemon."
    )  # fmt: skip
    assert description(tree) == "Warm as toast."


@pytest.mark.parametrize("word", ["", "puce", "🌷", "\x00", "x" * 10_000, "<script>"])
def test_it_draws_nothing_from_unknown_words(owner_client: Client, word: str) -> None:
    tree = preview(owner_client, standards=word, pattern=word)
    assert not tree.xpath("//svg[contains(@class, 'flower-large')]")
    assert description(tree) == ""
    assert not tree.xpath("//script")


def test_it_writes_nothing_down(owner_client: Client) -> None:
    preview(owner_client, standards="gold")
    assert not JournalLine.objects.exists()
