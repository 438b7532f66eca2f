"""The page in the bed as it is served: one for everybody, its forms those of the ordinary pages."""

from __future__ import annotations

import gzip
import re
from pathlib import Path
from typing import Any

import pytest
from django.contrib.staticfiles import finders
from django.test import Client
from django.urls import reverse

from breeding.models import Pollination
from evaluation.bed.lists import LISTS
from evaluation.bed.shell import MENU
from garden.bundling import without_comments
from garden.models import Person
from tests.cast import HARVESTED, LOOKED, Cast
from tests.pages import links, post, texts, tree

pytestmark = pytest.mark.django_db
# Template of the page in the bed -> the ordinary page with the same form.
SAME_FORMS = {
    "bed-cross": "new-cross", "bed-look": "look", "bed-harvest": "harvest", "bed-sow": "sow",
    "bed-count": "count", "bed-line-out": "line-out",
}  # fmt: skip


@pytest.fixture
def page(owner_client: Client, cast: Cast) -> Any:
    return owner_client.get(reverse("in-bed"))


def names(form: Any) -> set[str]:
    return {control.get("name") for control in form.cssselect("[name]")} - {"csrfmiddlewaretoken"}


def test_page__is_kept_by_the_browser_and_names_nobody(page: Any, owner: Person) -> None:
    assert page.headers["Cache-Control"] == "private, max-age=604800"
    assert "Cookie" not in page.headers.get("Vary", "")
    assert "csrftoken" not in page.cookies
    text = page.content.decode()
    assert owner.name not in text
    assert "csrfmiddlewaretoken" not in text
    assert "X-CSRFToken" not in text
    # An entry of its own is made on the phone for each form.
    assert {field.get("value", "") for field in tree(page).cssselect("[name=entry]")} == {""}


def test_page__is_the_same_for_owner_and_helper(page: Any, helper_client: Client) -> None:
    assert helper_client.get(reverse("in-bed")).content == page.content


def test_page__is_for_those_who_record(visitor_client: Client, client: Client, cast: Cast) -> None:
    assert visitor_client.get(reverse("in-bed")).status_code == 403
    assert client.get(reverse("in-bed")).status_code == 302


def test_page__costs_no_query_more_when_the_garden_grows(
    owner_client: Client, cast: Cast, django_assert_max_num_queries: Any
) -> None:
    owner_client.get(reverse("in-bed"))
    with django_assert_max_num_queries(8):
        owner_client.get(reverse("in-bed"))


@pytest.mark.parametrize(("template", "ordinary"), SAME_FORMS.items())
def test_forms__have_the_fields_of_the_ordinary_page(
    page: Any, owner_client: Client, cast: Cast, template: str, ordinary: str
) -> None:
    address = {
        "new-cross": reverse("new-cross") + f"?seed={cast.teapot.pk}&pollen={cast.ledger.pk}",
        "look": reverse("look", args=[cast.bee_flower.pk]),
        "harvest": reverse("harvest", args=[cast.bee_flower.pk]),
        "sow": reverse("sow", args=[cast.cup.code]),
        "count": reverse("count", args=[cast.pot.code]),
        "line-out": reverse("line-out", args=[cast.pot.code]),
    }[ordinary]
    (form,) = tree(page).cssselect(f"#{template} form")
    (other,) = tree(owner_client.get(address)).cssselect("main form.form[method=post]")
    # Shown only where there is something to choose, or as long as nothing is chosen.
    away = {"cup", "seed_text", "pollen_text"}
    assert names(form) - away == names(other) - away
    assert names(other) <= names(form)


def test_menu__leads_to_every_form_in_at_most_two_taps(page: Any) -> None:
    assert links(page, "#bed-home .bed-way") == [f"#{hash_}" for hash_, *_ in MENU]
    assert texts(page, "#bed-home .bed-way b")[0] == "New cross"


def test_lists__are_named_in_the_page(page: Any) -> None:
    (home,) = tree(page).cssselect("#bed")
    assert home.get("data-lists").split() == list(LISTS)


@pytest.mark.parametrize("name", ["today", "new-cross", "judging"])
def test_ways__lead_to_it(owner_client: Client, cast: Cast, name: str) -> None:
    assert reverse("in-bed") in links(owner_client.get(reverse(name)), "main a")


def test_ways__are_not_shown_to_visitors(visitor_client: Client, cast: Cast) -> None:
    for name in ("today", "judging"):
        assert reverse("in-bed") not in links(visitor_client.get(reverse(name)), "a")


def test_pod_by_tag__is_the_same_as_by_the_flower(owner_client: Client, cast: Cast) -> None:
    tag = cast.bee_flower.tag.code
    answer = post(
        owner_client, reverse("tag-look", args=[tag]), outcome="set", day=LOOKED.isoformat()
    )
    assert answer.status_code == 303
    assert Pollination.live.get(tag__code=tag).state == "set"
    answer = post(
        owner_client, reverse("tag-harvest", args=[tag]), seeds="21", day=HARVESTED.isoformat()
    )
    assert answer.status_code == 303
    assert Pollination.live.get(tag__code=tag).seeds == 21


@pytest.mark.parametrize("name", ["tag-look", "tag-harvest"])
def test_pod_by_tag__that_hangs_nowhere_is_not_there(
    owner_client: Client, visitor_client: Client, cast: Cast, name: str
) -> None:
    assert owner_client.get(reverse(name, args=[cast.free_tag])).status_code == 404
    assert owner_client.get(reverse(name, args=["nonsense"])).status_code == 404
    assert visitor_client.get(reverse(name, args=[cast.flower.tag.code])).status_code == 403


def test_first_load__stays_below_the_measure(owner_client: Client, cast: Cast) -> None:
    """Page, styles, scripts and faces as they are sent compressed, without the lists: 85 kB."""
    page = owner_client.get(reverse("in-bed"), headers={"Accept-Encoding": "gzip"})
    text = gzip.decompress(page.content).decode()
    named = re.findall(r'/static/([\w./-]+\.(?:css|js|woff2|svg))"', text)
    assert len(named) > 15
    size = len(page.content)
    for name in named:
        body = Path(finders.find(name)).read_bytes()
        kind = Path(name).suffix
        if kind in (".css", ".js"):
            body = without_comments(body.decode(), kind).encode()
        size += len(body) if kind == ".woff2" else len(gzip.compress(body, 9))
    assert size < 85_000
