from __future__ import annotations

import json
import uuid

import pytest
from django.contrib.auth import authenticate
from django.core import serializers

from garden.models import Garden, JournalLine, Person
from garden.models.people import new_feed_key
from garden.records import add_person, change_garden, change_person, undo
from garden.verbs import Refused
from tests.cast import PASSWORD

GOOD = "four fans and a rake"


def changed(person: Person, **values: object) -> dict:
    return {
        "person": person, "name": person.name, "role": person.role, "is_active": True, **values,
    }  # fmt: skip


def test_roles__who_may_what(owner, helper_person, visitor) -> None:
    assert [p.may_record for p in (owner, helper_person, visitor)] == [True, True, False]
    assert [p.is_owner for p in (owner, helper_person, visitor)] == [True, False, False]


def test_feed_keys__unguessable_and_different(owner, helper_person) -> None:
    assert owner.feed_key != helper_person.feed_key
    assert len({new_feed_key() for _ in range(50)}) == 50
    assert len(new_feed_key()) >= 22


def test_sign_in__name_in_any_case(owner) -> None:
    assert authenticate(username=" wanda ", password=PASSWORD) == owner
    assert authenticate(username="Wanda", password="wrong") is None


def test_add_person__lets_somebody_in(act, owner) -> None:
    kept = add_person(act(), name="  Ida   Brook ", role="helper", password=GOOD)
    assert (kept.thing.name, kept.thing.role) == ("Ida Brook", "helper")
    assert kept.line.text == "Let Ida Brook in as Helper (records)"
    assert authenticate(username="Ida Brook", password=GOOD) == kept.thing


def test_add_person__password_stands_nowhere(act, owner) -> None:
    add_person(act(), name="Ida", role="helper", password=GOOD)
    everything = serializers.serialize("json", [*Person.objects.all(), *JournalLine.objects.all()])
    assert GOOD not in everything
    assert "password" not in json.dumps(JournalLine.objects.get().made)


@pytest.mark.parametrize(
    ("values", "field", "sentence"),
    [
        ({"name": "  "}, "name", "Write a name"),
        ({"name": "wanda"}, "name", "already somebody called wanda"),
        ({"name": "x" * 61}, "name", "at most 60"),
        ({"role": "king"}, "role", "not a valid choice"),
        ({"password": "short"}, "password", "too short"),
        ({"password": "password1"}, "password", "too common"),
    ],
)
def test_add_person__refused(act, owner, values: dict, field: str, sentence: str) -> None:
    with pytest.raises(Refused, match=sentence) as refused:
        add_person(act(), **{"name": "Ida", "role": "helper", "password": GOOD} | values)
    assert list(refused.value.messages) == [field]
    assert Person.objects.count() == 1


def test_add_person__owner_only(act, helper_person) -> None:
    with pytest.raises(Refused, match="Only the owner"):
        add_person(act(helper_person), name="Ida", role="owner", password=GOOD)


def test_add_person__same_entry_again(act, owner) -> None:
    values = {"name": "Ida", "role": "helper", "password": GOOD}
    first = add_person(act(entry=(entry := uuid.uuid4())), **values)
    assert add_person(act(entry=entry), **values).thing == first.thing
    assert Person.objects.count() == 2


def test_change_person__role_and_name(act, helper_person) -> None:
    line = change_person(act(), **changed(helper_person, name="Emil Brook", role="visitor")).line
    helper_person.refresh_from_db()
    assert (helper_person.name, helper_person.role) == ("Emil Brook", "visitor")
    assert line.changed[0]["before"] == {"name": "Emil", "role": "helper"}


def test_change_person__new_password(act, helper_person) -> None:
    change_person(act(), **changed(helper_person), password=GOOD)
    assert authenticate(username="Emil", password=GOOD) == helper_person
    with pytest.raises(Refused, match="too short"):
        change_person(act(), **changed(helper_person), password="x")


def test_change_person__shut_out(act, helper_person) -> None:
    change_person(act(), **changed(helper_person, is_active=False))
    assert authenticate(username="Emil", password=PASSWORD) is None


@pytest.mark.parametrize("values", [{"role": "helper"}, {"is_active": False}])
def test_change_person__the_last_owner_stays(act, owner, values: dict) -> None:
    with pytest.raises(Refused, match="needs an owner who can sign in") as refused:
        change_person(act(), **changed(owner, **values))
    assert list(refused.value.messages) == ["role"]
    owner.refresh_from_db()
    assert owner.is_owner
    assert owner.is_active


def test_change_person__one_owner_of_two_may_go(act, owner, helper_person) -> None:
    change_person(act(), **changed(helper_person, role="owner"))
    assert change_person(act(), **changed(owner, role="visitor")).thing.role == "visitor"


def test_change_person__owner_only(act, helper_person) -> None:
    with pytest.raises(Refused, match="Only the owner"):
        change_person(act(helper_person), **changed(helper_person, role="owner"))


def test_change_person__name_of_another(act, owner, helper_person) -> None:
    with pytest.raises(Refused, match="already somebody called WANDA"):
        change_person(act(), **changed(helper_person, name="WANDA"))


def test_undo__a_persons_change(act, helper_person) -> None:
    line = change_person(act(), **changed(helper_person, role="visitor")).line
    undo(act(), line=line)
    helper_person.refresh_from_db()
    assert helper_person.role == "helper"


def test_undo__cannot_take_the_last_owner_away(act, owner, helper_person) -> None:
    raised = change_person(act(), **changed(helper_person, role="owner")).line
    helper_person.refresh_from_db()
    change_person(act(helper_person), **changed(owner, role="visitor"))
    with pytest.raises(Refused, match="needs an owner"):
        undo(act(helper_person), line=raised)


def test_undo__letting_somebody_in_stays(act, owner) -> None:
    line = add_person(act(), name="Ida", role="helper", password=GOOD).line
    with pytest.raises(Refused, match="Ida cannot be struck out"):
        undo(act(), line=line)


def test_undo__who_is_owner_no_more_undoes_no_owners_work(act, owner, helper_person) -> None:
    line = change_garden(act(), name="Garden of Wanda").line
    change_person(act(), **changed(helper_person, role="owner"))
    helper_person.refresh_from_db()
    change_person(act(helper_person), **changed(owner, role="helper"))
    owner.refresh_from_db()
    with pytest.raises(Refused, match="Only the owner"):
        undo(act(owner), line=line)
    assert Garden.objects.get().name == "Garden of Wanda"
