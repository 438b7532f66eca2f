"""Nonsense in every field of every form: a sentence at the field, never a server error.

What was typed stays, and nothing is half written: a refused form leaves the database as it was.
"""

from __future__ import annotations

import re
from typing import Any

import pytest
from django import forms
from django.apps import apps
from django.db import connection, transaction
from django.test import Client
from django.urls import get_resolver, reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from garden.models import Knock, Person
from tests.browser.addresses import FORMS, addresses
from tests.cast import Cast
from tests.pages import texts, tree
from tests.retelling import once

NONSENSE = (
    "", "0", "-99999999999999999999", "99999999999999999999", "3.5", "½", "١٢", "0001-01-01",
    "9999-12-31", "2024-02-30", "x" * 10_000, "🌸" * 50, "\u202eשלום עולם", "a\x00b",
    "<script>alert('1')</script>",
)  # fmt: skip
# In longer forms fewer kinds go into each field alone, in the longest only into what is typed; and
# every kind goes into all fields at once.
SOME = ("", "0", "99999999999999999999", "½", "2024-02-30")
FEW = ("0", "½")
# What is said of a form as a whole, because no one field of it is wrong.
UNCHANGED = r"Nothing was changed\.$"
WHOLE_FORM = {
    **dict.fromkeys(("correct-flower", "correct-cross", "correct-cup", "correct-pot",
                     "correct-count", "correct-row", "cross-parents", "plant-change",
                     "seedling-correct", "placing-correct", "bed-change", "person-change",
                     "garden-settings", "photo-correct", "score-correct",
                     "rubric-change", "bloom-correct", "locus-change",
                     "goal-change", "planned-change", "stock-count-correct",
                     "taken-correct", "guest-correct", "introduction-change",
                     "label-sheet", "label-sheet-change",
                     "label-address"), UNCHANGED),
    "flower-parents": r"These are the parents that stand there already\.$",
    **dict.fromkeys(("score-seedling", "score-seedling-short", "score-plant"),
                    r"Give at least one mark, or write a note\.$"),
    "plant-strike": r".+ cannot be struck out: .+ hangs on it\.$",
    "plan-pairs": r"Tick at least one pair\.$",
    "measure": r"Write down at least one measure\.$",
}  # fmt: skip
# What these bring is shown by their own answer.
SHOW_AT_ONCE = ("plant-import", "phone-new")
# Fields that buttons send: nothing is typed there, and no sentence has a place there.
BUTTONS = {
    ("look", "outcome"),
    ("tag-look", "outcome"),
    ("walk-row", "found"),
    ("pollen-finish", "outcome"),
}
# Fields that a form has and this page does not show, and why.
NOT_SHOWN = {
    "harvest": {"cup"},  # there is no cup of this cross yet
    "tag-harvest": {"cup"},
    "cross-parents": {"seed_text", "pollen_text", "day"},  # both are chosen; a day means nothing
    "flower-parents": {"seed_text", "pollen_text", "day"},
    "tags": {"day"},
    "tag-spoil": {"day"},
    "plant-new": {"seed_parent_as_text", "pollen_parent_as_text"},  # shown beside an unclear name
    "plant-change": {"seed_parent_as_text", "pollen_parent_as_text"},
}

pytestmark = pytest.mark.django_db


@pytest.fixture
def pages(cast: Cast, owner: Person) -> dict[str, str]:
    """Every page of the small garden and what hangs on it."""
    return once("pages", owner, lambda: addresses(cast))


def state() -> list[Any]:
    """Every row of ours."""
    return [
        list(model._default_manager.order_by("pk").values_list())
        for app in ("garden", "breeding", "evaluation")
        for model in apps.get_app_config(app).get_models()
        if model is not Knock  # a wrong try at the door is written down
    ]


def fields_of(form: forms.Form) -> dict[str, str]:
    """The form's fields as the page would send them."""
    values = {field.html_name: field.value() for field in form}
    sent = {name: "" if value is None else str(value) for name, value in values.items()}
    return sent | ({"entry": ""} if "entry" in sent else {})


def changes() -> int:
    """How many rows this connection has written so far, kept or not."""
    if connection.vendor == "sqlite":
        return connection.connection.total_changes
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT sum(n_tup_ins + n_tup_upd + n_tup_del)::int FROM pg_stat_xact_user_tables"
        )
        return cursor.fetchone()[0]


def plain(text: str) -> str:
    """Spaces tidied, and without the sign that no page can hold and what is read in its place."""
    return " ".join(text.replace("\0", "").replace("\ufffd", "").split())


def said_at(page: Any, name: str) -> list[str]:
    """The sentences that stand at a field of the page."""
    found = page.cssselect(f"#wrong_{name}")
    for control in page.cssselect(f"main [name='{name}']"):
        around = control.xpath(
            "ancestor::*[self::fieldset or contains(concat(' ', @class, ' '), ' field ')][1]"
        )
        found += [err for box in around for err in box.cssselect(".err")]
    return [plain(err.text_content()) for err in found]


def faults(name: str, answer: Any) -> list[str]:
    """What a refused form leaves unsaid: each error at its field, each of the whole in the list."""
    form, page = answer.context["form"], tree(answer)
    summary = texts(answer, ".errors[role=alert] li")
    if not form.errors:
        # A plant list that can be read but not taken in says what is wrong line by line.
        problems = texts(answer, "table tbody td:last-child")
        assert name == "plant-import"
        assert problems
        assert all(problems)
        return []
    found = []
    for field, errors in form.errors.items():
        sentences = [plain(str(error)) for error in errors]
        if field == "__all__":
            allowed = WHOLE_FORM.get(name, "$never")
            found += [f"whole form: {each}" for each in sentences if not re.match(allowed, each)]
            found += [f"not in the list: {each}" for each in sentences if each not in summary]
        elif form[field].is_hidden:
            found += [] if any("could not be read" in each for each in summary) else [field]
        elif (name, field) not in BUTTONS:
            found += [f"{field}: {each}" for each in sentences if each not in said_at(page, field)]
        found += [f"no sentence: {each}" for each in sentences if not each.endswith((".", "?"))]
    return found


def is_typed(field: Any) -> bool:
    """Whether a person types into this field what may be shown again; a password is not."""
    widget = field.field.widget
    return isinstance(widget, forms.TextInput | forms.Textarea | forms.DateInput) and not (
        isinstance(widget, forms.PasswordInput)
    )


def attempts(form: forms.Form, fields: list[str]) -> list[dict[str, str]]:
    """What is tried: nonsense in each field alone, and in long forms in all fields at once."""
    kinds = NONSENSE if len(fields) <= 6 else SOME if len(fields) <= 12 else FEW
    each = [field for field in fields if kinds is not FEW or is_typed(form[field])]
    alone = [{field: kind} for field in each for kind in kinds]
    return alone + [dict.fromkeys(fields, kind) for kind in NONSENSE if kinds is not NONSENSE]


@pytest.mark.parametrize("name", FORMS)
def test_every_field__answers_nonsense_with_a_sentence(
    owner_client: Client, pages: dict[str, str], name: str
) -> None:
    address = pages[name]
    form = owner_client.get(address).context["form"]
    sound = fields_of(form)
    before, wrong, refused = state(), [], 0
    on_page = [each for each in sound if each not in NOT_SHOWN.get(name, ())]
    for tried in attempts(form, on_page):
        told = ", ".join(f"{field}={kind[:30]!r}" for field, kind in tried.items())[:120]
        with transaction.atomic():
            written = changes()
            answer = owner_client.post(address, sound | tried)
            assert answer.status_code in ({200, 303, 422} if name in SHOW_AT_ONCE else {303, 422})
            if answer.status_code == 422:
                refused += 1
                wrong += [f"{told}: {each}" for each in faults(name, answer)]
                if changes() != written and state() != before:
                    wrong.append(f"{told}: something was written")
            transaction.set_rollback(True)
    assert wrong == []
    assert refused


def shown(page: Any, name: str) -> list[str]:
    """What stands in the controls of a name."""
    return [
        control.text_content().strip() if control.tag == "textarea" else control.get("value", "")
        for control in page.cssselect(f"main [name='{name}']")
        if control.get("type") != "hidden" and control.get("hidden") is None
    ]


@pytest.mark.parametrize("name", FORMS)
def test_refused_form__keeps_what_was_typed(
    owner_client: Client, pages: dict[str, str], name: str
) -> None:
    address = pages[name]
    form = owner_client.get(address).context["form"]
    # Too long for every field: no form takes it, and none may lose it.
    typed = {
        field.html_name: f"½ <{field.html_name}> & {'so on ' * 2000}.."
        for field in form.visible_fields()
        if is_typed(field) and (name, field.html_name) not in BUTTONS
    }
    for forgotten in NOT_SHOWN.get(name, set()) & {"day"}:
        typed.pop(forgotten, None)
    sent = fields_of(form) | {"seed": "", "pollen": ""} | typed
    answer = owner_client.post(address, sent)
    assert answer.status_code == 422
    page = tree(answer)
    lost = [field for field, value in typed.items() if value not in shown(page, field)]
    assert lost == []
    assert typed or name == "password"


@pytest.mark.parametrize("name", FORMS)
def test_form__has_a_control_for_every_field(
    owner_client: Client, pages: dict[str, str], name: str
) -> None:
    answer = owner_client.get(pages[name])
    page, form = tree(answer), answer.context["form"]
    missing = {
        field.html_name
        for field in form.visible_fields()
        if not page.cssselect(f"main [name='{field.html_name}']")
    }
    assert missing - NOT_SHOWN.get(name, set()) == set()


HOSTILE = st.one_of(st.sampled_from(NONSENSE), st.text(max_size=60), st.integers().map(str))
# The door leads back to where somebody wanted to go; Django redirects to no longer address.
LONGEST_WAY_BACK = 1800
WORDS = (
    "q", "after", "kept", "seed", "pollen", "tag", "seed_text", "paper", "person", "name",
    "username", "password", "next", "token", "code", "key", "sort", "before", "chosen", "entry",
    "at", "day", "depth", "kind", "a", "a_text", "plants", "c", "x", "y", "season", "text", "bed",
    "least",
    "rubric", "position", "found", "backward",
    "wanted", "locus", "row", "worked", "testers", "type_yellow",
    "pair", "limit", "near", "page", "w_merit", "asked", "show",
)  # fmt: skip


def hostile_request(client: Client, cast: Cast, data: st.DataObject) -> tuple[str, Any]:
    """(route, answer) of one request that no page of ours would send."""
    name, params = data.draw(st.sampled_from(routes()))
    args = {each: data.draw(st.one_of(st.integers(0, 10**17), st.sampled_from(
        ["24-001", "x", "..", "seed", "cup", cast.free_tag]))) for each in params}  # fmt: skip
    try:
        address = reverse(name, kwargs=args)
    except Exception:  # noqa: BLE001 - an address that cannot be written cannot be asked for
        address = reverse("today")
    query = data.draw(st.dictionaries(st.sampled_from(WORDS), HOSTILE, max_size=4))
    send = data.draw(st.sampled_from([client.get, client.post]))
    answer = send(address, query)
    assert connection.is_usable()
    return name, answer


def routes() -> list[tuple[str, tuple[str, ...]]]:
    """Every named address with the names of its parts; leaving is not one to be tried."""
    known = get_resolver().reverse_dict
    names = {name for name in known if isinstance(name, str)} - {"sign-out"}
    return sorted((name, tuple(known[name][0][0][1])) for name in names)


@pytest.mark.once
@settings(max_examples=120, suppress_health_check=list(HealthCheck))
@given(data=st.data())
def test_hostile_request__of_a_stranger_gets_only_the_door(
    client: Client, cast: Cast, data: st.DataObject
) -> None:
    before = state()
    name, answer = hostile_request(client, cast, data)
    if name == "sign-in":
        assert answer.status_code in (200, 429)
    elif name == "hello":
        assert answer.status_code in (401, 405)
        assert answer.content in (b"{}", b"")
    elif name == "feed":
        assert answer.status_code in (404, 405)
    elif answer.status_code == 400:
        assert len(answer.request["QUERY_STRING"]) > LONGEST_WAY_BACK
        assert texts(answer, "h1") == ["This could not be read"]
    else:
        assert answer.status_code == 302
        assert answer["Location"].partition("?")[0] == reverse("sign-in")
    assert state() == before
