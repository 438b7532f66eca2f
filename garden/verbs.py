"""How a verb works: one thing that a person does, in one transaction, with one journal line.

A verb is a function decorated with `@verb`. It takes an `Act` (who, when, from where, which entry)
and plain values, writes through the act (`make`, `change`) so that the journal knows what was
written, and returns the thing it is about and a sentence. It raises `Refused` and nothing else.
The same entry twice gives the same answer and changes nothing.
"""

from __future__ import annotations

import functools
import hashlib
import json
import uuid
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from typing import Any

from django.apps import apps
from django.core.exceptions import ValidationError
from django.db import DataError, IntegrityError, models
from django.utils import timezone

from garden.models import Garden, JournalLine, JournalMention, Person, Recorded
from garden.turns import broken_rule, writing

EARLIEST_DAY = date(1900, 1, 1)
OTHER_WORDS = "This form was already kept with other words. Look whether you meant to add more."


class Refused(Exception):
    """A verb's only error: a sentence for the gardener, by field where it belongs to one."""

    def __init__(self, message: str = "", field: str = "", **by_field: str) -> None:
        self.messages: dict[str, str] = {**({field: message} if message else {}), **by_field}
        super().__init__(" ".join(self.messages.values()))


@dataclass
class Act:
    """Who does something, when it happened (aware), from which device, under which entry."""

    person: Person
    happened_at: datetime = field(default_factory=timezone.now)
    device: str = ""
    entry: uuid.UUID = field(default_factory=uuid.uuid4)
    received_at: datetime | None = None
    garden: Garden = field(default_factory=Garden.get)
    sent: str = ""
    reason: str = ""
    undoes: JournalLine | None = None
    made: list[Recorded] = field(default_factory=list)
    changed: list[dict[str, Any]] = field(default_factory=list)
    written: list[Recorded] = field(default_factory=list)
    mentioned: list[Recorded] = field(default_factory=list)

    @property
    def today(self) -> date:
        """The garden's day on which it happened."""
        return self.garden.day_of(self.happened_at)

    def day(self, chosen: date | None, name: str = "day") -> date:
        """The day that the person meant; refused when it lies ahead or before all notebooks."""
        day = chosen or self.today
        arrived = self.garden.day_of(self.received_at or timezone.now())
        if day > min(self.today, arrived) + timedelta(days=1):
            raise Refused(f"{written(day)} has not come yet.", name)
        if day < EARLIEST_DAY:
            raise Refused(f"{written(day)} is too long ago to be meant.", name)
        return day

    def make(self, fact: Recorded) -> Any:
        """Write a new fact."""
        _clean(fact, exclude=[])
        fact.save()
        self.made.append(fact)
        self.written.append(fact)
        return fact

    def change(self, fact: Recorded, **values: Any) -> bool:
        """Change a fact, keeping what stood there; False when nothing differs."""
        before = fact.values(list(values))
        # The sums of the thing that it leaves change as much as those of the one it comes to.
        left = fact.root()
        for name, value in values.items():
            fact.put(name, value)
        after = fact.values(list(values))
        differing = [name for name in values if before[name] != after[name]]
        if not differing:
            return False
        _clean(fact, exclude=[f.name for f in fact._meta.fields if f.name not in differing])
        fact.save(update_fields=differing)
        self.changed.append(
            {
                "kind": fact.record_kind,
                "id": fact.pk,
                "before": {name: before[name] for name in differing},
                "after": {name: after[name] for name in differing},
            }
        )
        self.written += [left, fact]
        return True

    def mention(self, *facts: Recorded | None) -> None:
        """Note that this line speaks of `facts` too, so that their pages show it."""
        self.mentioned.extend(fact for fact in facts if fact is not None)


@dataclass(frozen=True)
class Kept:
    """A verb's answer: the thing, the journal line, and whether it had been kept before."""

    thing: Any
    line: JournalLine
    again: bool = False


def _clean(fact: Recorded, exclude: list[str]) -> None:
    """Refuse what a column cannot hold: too long, out of range, not among the choices."""
    related = [f.name for f in fact._meta.fields if f.is_relation]
    try:
        fact.clean_fields(exclude={*exclude, *related})
    except ValidationError as error:
        raise Refused(**{name: said[0] for name, said in error.message_dict.items()}) from None


def written(day: date) -> str:
    """'3 June 2026'."""
    return f"{day.day} {day:%B %Y}"


def plural(count: int, one: str, many: str = "") -> str:
    """'1 pod', '3 pods'."""
    return f"{count} {one if count == 1 else many or one + 's'}"


def _plain(value: Any) -> Any:
    if isinstance(value, models.Model):
        return [value._meta.label_lower, value.pk]
    if isinstance(value, dict):
        return {str(key): _plain(part) for key, part in value.items()}
    if isinstance(value, list | tuple | set):
        return [_plain(part) for part in value]
    return value if isinstance(value, str | int | float | bool | None) else str(value)


def digest(name: str, values: dict[str, Any]) -> str:
    """SHA-256 of what was meant, so that one entry cannot stand for two different things.

    A password is left out: a quick hash of it beside the slow one would be easy to guess from.
    """
    meant = {key: value for key, value in values.items() if key != "password"}
    text = json.dumps([name, _plain(meant)], sort_keys=True, ensure_ascii=False)
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


def find(kind: str, pk: int) -> Any:
    """The fact of that kind and key, struck out or not."""
    return apps.get_model(kind)._default_manager.get(pk=pk)


def _write_line(act: Act, name: str, mark: str, thing: Recorded, text: str) -> JournalLine:
    line = JournalLine.objects.create(
        entry=act.entry,
        digest=mark,
        sent=act.sent,
        verb=name,
        person=act.person,
        device=act.device[:60],
        happened_at=act.happened_at,
        received_at=act.received_at or timezone.now(),
        subject_kind=thing.record_kind,
        subject_id=thing.pk,
        text=text[:400],
        reason=act.reason[:400],
        undoes=act.undoes,
        made=[[fact.record_kind, fact.pk] for fact in act.made],
        changed=act.changed,
    )
    spoken_of = {(fact.record_kind, fact.pk) for fact in [thing, *act.written, *act.mentioned]}
    JournalMention.objects.bulk_create(
        JournalMention(line=line, kind=kind, thing_id=pk) for kind, pk in sorted(spoken_of)
    )
    return line


def unique_facts(facts: list[Recorded]) -> list[Recorded]:
    """`facts` without repeats, the last version of each, in order of first appearance."""
    return list({(fact.record_kind, fact.pk): fact for fact in facts}.values())


def check_text(values: dict[str, Any]) -> None:
    """Refuse what no database column can hold, wherever it came from."""
    for name, value in values.items():
        if isinstance(value, str) and ("\x00" in value or not _encodable(value)):
            raise Refused("This text holds signs that cannot be written down.", name)


def _encodable(text: str) -> bool:
    try:
        text.encode()
    except UnicodeEncodeError:
        return False
    return True


def verb(function: Callable[..., tuple[Recorded, str]]) -> Callable[..., Kept]:
    """Make a function that writes into a verb; see the module's own words."""
    name = function.__name__

    @functools.wraps(function)
    def kept(act: Act, **values: Any) -> Kept:
        check_text(values)
        mark = digest(name, values)
        try:
            with writing():
                if JournalLine.objects.filter(entry=act.entry).exists():
                    return _same_again(act, name, mark)
                return _once(act, name, mark, functools.partial(function, act, **values))
        except (IntegrityError, DataError) as error:
            # The verbs look first; this is the net below them.
            raise Refused(broken_rule(error)) from error

    return kept


def _once(act: Act, name: str, mark: str, function: Callable[[], tuple[Recorded, str]]) -> Kept:
    if not act.person.may_record:
        raise Refused("Visitors read; ask the owner to be made a helper.")
    thing, text = function()
    for root in unique_facts([fact.root() for fact in act.written]):
        settle(root, check=bool(act.changed))
    if any(fact.moves_stock for fact in act.written):
        Garden.stock_moved()
    thing.refresh_from_db()
    return Kept(thing, _write_line(act, name, mark, thing, text))


def settle(root: Recorded, check: bool = True) -> None:
    """Refuse what does not fit along a thread; bring its sums up to date."""
    if check and (broken := root.misfit()):
        raise Refused(*broken)
    root.after_change()


def _same_again(act: Act, name: str, mark: str) -> Kept:
    line = JournalLine.objects.get(entry=act.entry)
    if (line.verb, line.digest, line.person_id) != (name, mark, act.person.pk):
        raise Refused(OTHER_WORDS)
    return kept_before(line)


def kept_before(line: JournalLine) -> Kept:
    """The answer that a line's entry was given, for the same entry sent again."""
    return Kept(find(line.subject_kind, line.subject_id), line, again=True)
