"""The form into which a parentage is pasted."""

from __future__ import annotations

from breeding.parentage import LONGEST
from garden.forms.base import RecordForm
from garden.forms.words import LongWords


class ParentageForm(RecordForm):
    """A parentage as breeders write it, or in Purdy's notation."""

    day = None
    text = LongWords(label="Parentage", rows=5, strip=False, required=True, max_length=LONGEST)
    text.error_messages["required"] = "Paste the parentage, or write it."
