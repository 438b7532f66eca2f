"""That a verb refuses: its sentence, the field it belongs to, and that nothing was written."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from garden.models import JournalLine
from garden.verbs import Act, Kept, Refused


def refused(
    verb: Callable[..., Kept], doing: Act, sentence: str, field: str = "", **values: Any
) -> None:
    """The verb refuses these values with one sentence (a pattern) at one field ('' for none)."""
    lines = JournalLine.objects.count()
    with pytest.raises(Refused, match=sentence) as error:
        verb(doing, **values)
    assert list(error.value.messages) == [field]
    assert JournalLine.objects.count() == lines
