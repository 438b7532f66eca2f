"""Nonsense in every field of every form: a sentence at the field, never a server error.

What was typed stays, and nothing is half written: a refused form leaves the database as it was.
"""

from __future__ import annotations

from typing import Any

import pytest
from django.apps import apps
from django.db import connection, transaction
from django.test import Client
from django.urls import get_resolver, reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from garden.models import JournalLine
from tests.browser.addresses import addresses
from tests.cast import Cast
from tests.pages import texts

NONSENSE = [
    "", "0", "-99999999999999999999", "99999999999999999999", "3.5", "½", "١٢", "0001-01-01",
    "9999-12-31", "2024-02-30", "x" * 10_000, "🌸" * 50, "\u202eשלום עולם", "a\x00b",
    "<script>alert('1')</script>",
]  # fmt: skip
FORMS = (
    "new-cross", "look", "harvest", "sow", "count", "line-out", "select-seedling", "cross-parents",
    "flower-parents", "correct-flower", "put-away", "tags", "tag-spoil", "plant-new",
    "plant-change", "plant-place", "plant-strike", "plant-import", "bed-new", "bed-change",
    "person-new", "password", "garden-settings",
)  # fmt: skip

pytestmark = pytest.mark.django_db


def state() -> tuple[Any, ...]:
    """How many rows each table of ours holds, and the newest journal line."""
    ours = [
        model
        for app in ("garden", "breeding", "evaluation")
        for model in apps.get_app_config(app).get_models()
    ]
    counts = tuple(model._default_manager.count() for model in ours)
    return counts, JournalLine.objects.order_by("-id").values_list("id", flat=True).first()


def fields_of(client: Client, address: str) -> dict[str, str]:
    """The form's fields as the page would send them."""
    form = client.get(address).context["form"]
    values = {field.html_name: field.value() for field in form}
    return {name: "" if value is None else str(value) for name, value in values.items()}


@pytest.mark.parametrize("name", FORMS)
def test_every_field__answers_nonsense_with_a_sentence(
    owner_client: Client, cast: Cast, name: str
) -> None:
    address = addresses(cast)[name]
    sound = fields_of(owner_client, address)
    for field in sound:
        for nonsense in NONSENSE:
            before = state()
            with transaction.atomic():
                answer = owner_client.post(address, sound | {"entry": ""} | {field: nonsense})
                assert answer.status_code in (200, 303, 422), (field, nonsense)
                if answer.status_code == 422:
                    assert state() == before, (field, nonsense)
                    assert texts(answer, ".err, [role=alert] li, p[role=alert]"), (field, nonsense)
                transaction.set_rollback(True)


def test_refused_form__keeps_what_was_typed(owner_client: Client, cast: Cast) -> None:
    for name in ("plant-new", "harvest", "line-out", "bed-new"):
        address = addresses(cast)[name]
        sound = fields_of(owner_client, address)
        typed = {field: "nonsense ½" for field in sound if field not in ("entry", "at")}
        answer = owner_client.post(address, sound | typed)
        assert answer.status_code == 422
        assert answer.content.decode().count("nonsense ½") >= 1


HOSTILE = st.one_of(st.sampled_from(NONSENSE), st.text(max_size=60), st.integers().map(str))
WORDS = ("q", "after", "kept", "seed", "pollen", "tag", "seed_text", "paper", "person", "name")


@settings(max_examples=250, suppress_health_check=list(HealthCheck))
@given(data=st.data())
def test_every_address__answers_hostile_requests(
    owner_client: Client, cast: Cast, data: st.DataObject
) -> None:
    name, params = data.draw(st.sampled_from(routes()))
    args = {each: data.draw(st.one_of(st.integers(0, 10**17), st.sampled_from(
        ["24-001", "x", "..", "seed", "cup", cast.free_tag]))) for each in params}  # fmt: skip
    try:
        address = reverse(name, kwargs=args)
    except Exception:  # noqa: BLE001 - an address that cannot be written cannot be asked for
        return
    query = data.draw(st.dictionaries(st.sampled_from(WORDS), HOSTILE, max_size=4))
    with transaction.atomic():
        send = data.draw(st.sampled_from([owner_client.get, owner_client.post]))
        answer = send(address, query)
        transaction.set_rollback(True)
    assert answer.status_code < 500
    assert connection.is_usable()


def routes() -> list[tuple[str, tuple[str, ...]]]:
    """Every named address with the names of its parts; leaving is not one to be tried."""
    known = get_resolver().reverse_dict
    names = {name for name in known if isinstance(name, str)} - {"sign-out"}
    return sorted((name, tuple(known[name][0][0][1])) for name in names)
