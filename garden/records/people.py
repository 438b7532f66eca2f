"""Verbs about people: the owner lets them in and says what they may do."""

from __future__ import annotations

import unicodedata

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError

from garden.models import Person, fold, tidy
from garden.verbs import Act, Refused, verb


def owner_only(act: Act) -> None:
    """Refuse anybody but the owner."""
    if not act.person.is_owner:
        raise Refused("Only the owner can do this.")


def check_password(password: str, person: Person | None = None) -> None:
    """Refuse a password that is too easy to guess."""
    try:
        validate_password(password, person)
    except ValidationError as error:
        raise Refused(" ".join(error.messages), "password") from None


def free_name(name: str, but: Person | None = None) -> str:
    """The name as it will stand; refused when it is empty or somebody else's."""
    # As the door compares it: Django's sign-in reads names in this form.
    name = unicodedata.normalize("NFKC", tidy(name))
    if not fold(name):
        raise Refused("Write a name.", "name")
    others = Person.objects.exclude(pk=but.pk if but else None)
    if fold(name) in {fold(other) for other in others.values_list("name", flat=True)}:
        raise Refused(f"There is already somebody called {name}.", "name")
    return name


@verb
def add_person(act: Act, *, name: str, role: str, password: str) -> tuple[Person, str]:
    """Let somebody in; the password itself is kept nowhere but as its hash."""
    owner_only(act)
    name = free_name(name)
    check_password(password)
    person = Person(name=name, role=role)
    person.set_password(password)
    act.make(person)
    return person, f"Let {person} in as {person.get_role_display()}"


@verb
def change_person(
    act: Act, *, person: Person, name: str, role: str, is_active: bool, password: str = ""
) -> tuple[Person, str]:
    """Change what somebody may do, or give them a new password."""
    owner_only(act)
    person = Person.objects.get(pk=person.pk)
    act.change(person, name=free_name(name, person), role=role, is_active=is_active)
    if password:
        check_password(password, person)
        person.set_password(password)
        person.save(update_fields=["password"])
    act.mention(person)
    return person, f"Changed {person}: {person.get_role_display()}"
