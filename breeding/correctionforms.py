"""The form that corrects one thing of the thread, made of the fields that may be corrected."""

from __future__ import annotations

from typing import Any

from django import forms
from django.db.models import Q, QuerySet

from breeding.forms import (
    BedField,
    CupField,
    FallsField,
    NoteField,
    ReasonField,
    StigmasField,
    TagField,
)
from breeding.models import Cross, Pollination, Pot, PotCount, Row, SeedCup
from breeding.records.correcting import CORRECTABLE
from garden.forms.base import Day, RecordForm, WholeNumber

CLOSING = ("closed_on", "closed_reason")
SPECIAL = {
    "tag": TagField,
    "stigmas": StigmasField,
    "falls_removed": FallsField,
    "note": NoteField,
    "bed": BedField,
    "fail_reason": lambda: ReasonField("How it failed"),
    "closed_reason": lambda: ReasonField("Why it was put away"),
}
LABELS = {"closed_on": "Put away on"}
WHY = "Why it is corrected"


class CorrectForm(RecordForm):
    """What may be corrected of one thing, filled with what stands there now."""

    day = None

    def __init__(
        self,
        *args: Any,
        thing: Cross | Pollination | SeedCup | Pot | PotCount | Row,
        note_only: bool = False,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        names = ("note",) if note_only else CORRECTABLE[type(thing)]
        for name in names:
            if not _skipped(thing, name):
                self.fields[name] = _field(thing, name)
                self.fields[name].initial = getattr(thing, name)
        if "tag" in self.fields:
            self.fields["tag"].initial = thing.tag.code
        note = getattr(thing, "note", None)
        only = [name for name in names if name in self.fields] == ["note"]
        # Nothing is corrected by the first note: nobody has to say why.
        self.first_note = only and note == ""
        if not self.first_note:
            self.fields["reason"] = ReasonField(WHY, required=note != "")
            if note == "":
                self.fields["reason"].help_text = "Not needed where you only add a note."


def _skipped(thing: Any, name: str) -> bool:
    """Whether a field means nothing in the state that the thing is in."""
    if name in CLOSING:
        return thing.closed_on is None
    if not isinstance(thing, Pollination):
        return False
    return {
        "looked_on": thing.looked_on is None,
        "fail_reason": thing.state != Pollination.State.FAILED,
        "harvested_on": thing.harvested_on is None,
        "seeds": thing.seeds is None,
        "cup": thing.cup_id is None or len(_cups(thing)) < 2,
    }.get(name, False)


def _cups(pod: Pollination) -> QuerySet:
    """The cups that a pod may have been put into: its own, and the open ones of its cross."""
    return SeedCup.live.filter(Q(pk=pod.cup_id) | Q(closed_on=None), cross=pod.cross_id)


def _field(thing: Any, name: str) -> forms.Field:
    """The form field that a correctable field is written in."""
    if name in SPECIAL:
        return SPECIAL[name]()
    if name == "cup":
        return CupField(_cups(thing))
    field = thing._meta.get_field(name)
    label = LABELS.get(name, str(field.verbose_name).capitalize())
    if name == "closed_on":
        hint = "Empty this and the reason below, and it is open again."
        return Day(label=label, required=False, help_text=hint)
    # What has not happened is left out; what has cannot be emptied.
    if field.get_internal_type() == "DateField":
        return Day(label=label, error_messages={"required": "Write the day."})
    return WholeNumber(label=label)
