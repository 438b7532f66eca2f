"""The verb that takes a journal line back: what it made is struck out, what it changed returns."""

from __future__ import annotations

from typing import Any

from django.apps import apps

from garden.models import Fact, JournalLine, Recorded
from garden.records.people import owner_only
from garden.verbs import Act, Refused, find, settle, verb

# From so many facts on, a line is taken back as a list.
MANY = 50


@verb
def undo(act: Act, *, line: JournalLine) -> tuple[Recorded, str]:
    """Undo one line, one's own or as the owner; refused while later records hang on it."""
    line = JournalLine.objects.get(pk=line.pk)
    if JournalLine.objects.filter(undoes=line).exists():
        raise Refused("This was already undone.")
    if line.person_id != act.person.pk and not act.person.is_owner:
        raise Refused(f"{line.person} recorded this; they or the owner can undo it.")
    act.undoes = line
    subject = find(line.subject_kind, line.subject_id)
    # A line that changed things as well is taken back one by one: what it changed returns.
    if len(line.made) > MANY and not line.changed:
        return _strike_list(act, line, subject)
    # What nothing hangs on goes first, so that the sums allow the rest to return.
    for kind, pk in reversed(line.made):
        _strike(act, find(kind, pk), only_free=True)
    for change in reversed(line.changed):
        _restore(act, change)
    for kind, pk in reversed(line.made):
        _strike(act, find(kind, pk))
    if not act.changed:
        raise Refused("Nothing is left here that could be undone.")
    return subject, f"Undone: {line.text}"


def _strike_list(act: Act, line: JournalLine, subject: Recorded) -> tuple[Recorded, str]:
    """Strike out what a whole list brought, asking once for each kind what hangs on it."""
    keys: dict[str, set[int]] = {}
    for kind, pk in line.made:
        keys.setdefault(kind, set()).add(pk)
    for kind, pks in keys.items():
        if hanging := _hanging_outside(apps.get_model(kind), pks, keys):
            raise Refused(f"This cannot be undone while {hanging}. Undo that first.")
    for kind, pks in reversed(keys.items()):
        for thing in apps.get_model(kind).live.filter(pk__gte=min(pks), pk__lte=max(pks)):
            if thing.pk in pks:
                act.change(thing, struck=True)
    if not act.changed:
        raise Refused("Nothing is left here that could be undone.")
    return subject, f"Undone: {line.text}"


def _hanging_outside(model: type[Fact], pks: set[int], made: dict[str, set[int]]) -> str:
    """What hangs on these facts beside what the same line made. One query a relation."""
    for relation in model._meta.related_objects:
        child_model = relation.related_model
        if issubclass(child_model, Fact):
            own = made.get(child_model._meta.label_lower, set())
            name = relation.field.name
            span = {f"{name}__gte": min(pks), f"{name}__lte": max(pks)}
            for child in child_model.live.filter(**span).iterator():
                if getattr(child, relation.field.attname) in pks and child.pk not in own:
                    return f"{child._meta.verbose_name} {child} hangs on it"
    return ""


def _restore(act: Act, change: dict[str, Any]) -> None:
    thing = find(change["kind"], change["id"])
    if thing.values(list(change["after"])) != change["after"]:
        raise Refused(f"{thing} was changed again since; correct it instead.")
    if not isinstance(thing, Fact):
        owner_only(act)
    elif change["before"].get("struck"):
        _strike(act, thing)
        return
    act.change(thing, **change["before"])
    if isinstance(thing, Fact) and not thing.struck and (lost := thing.lost_support()):
        raise Refused(f"This cannot be undone: {lost} was struck out.")


def _strike(act: Act, thing: Recorded, only_free: bool = False) -> None:
    if not isinstance(thing, Fact):
        raise Refused(f"{thing} cannot be struck out.")
    if thing.struck:
        return
    hanging = thing.dependants()
    if hanging and (only_free or thing.is_container):
        return
    if hanging:
        raise Refused(f"This cannot be undone while {hanging}. Undo that first.")
    act.change(thing, struck=True)
    if thing.root() is not thing:
        settle(thing.root())
