"""The form that counts seedlings in bloom by type."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from breeding.forms import NoteField
from breeding.inheritance.loci import Locus
from breeding.models import MOST_SEEDLINGS
from garden.forms.base import RecordForm, WholeNumber
from garden.verbs import Refused


def field_of(key: str) -> str:
    """The name of the field that counts a type."""
    return f"type_{key}"


class CountTypesForm(RecordForm):
    """One number for each type of a locus, as many as were seen so far."""

    note = NoteField()

    def __init__(self, *args: Any, locus: Locus, seen: Mapping[str, int], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        # By key: the types may change places before the form comes back.
        self.keys = {field_of(type_.key): type_.key for type_ in locus.types}
        for (name, key), type_ in zip(self.keys.items(), locus.types, strict=True):
            number = WholeNumber(
                label=type_.name[:1].upper() + type_.name[1:],
                min_value=0,
                max_value=MOST_SEEDLINGS,
                required=False,
                initial=seen.get(key) or None,
            )
            number.widget.attrs |= {"class": "inp inp--num"}
            self.fields[name] = number
        self.order_fields([*self.keys, "note", "day", "entry", "at"])

    @property
    def numbers(self) -> list[Any]:
        """The fields of the types, in the order of the locus."""
        return [self[name] for name in self.keys]

    def values(self) -> dict[str, Any]:
        values = super().values()
        counts = {key: values.pop(name) or 0 for name, key in self.keys.items()}
        return values | {"counts": counts}

    def refuse(self, refused: Refused) -> None:
        """What is wrong with the counts together stands at the first of them."""
        for name, sentence in refused.messages.items():
            at = next(iter(self.keys)) if name == "counts" else name
            self.add_error(at if at in self.fields else None, sentence)
