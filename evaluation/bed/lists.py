"""The lists by name, and the mark by which a phone knows that its own is still the same."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from datetime import date

from evaluation.bed.bloom import bloom
from evaluation.bed.flowers import pods, tags
from evaluation.bed.pages import Asked, Page, plain
from evaluation.bed.plans import plan
from evaluation.bed.rows import rows
from evaluation.bed.rubrics import rubrics
from evaluation.bed.seedbed import cups, pots
from evaluation.bed.stock import beds, plants
from garden.models import JournalLine, Person
from garden.phone import version

# In the order in which a phone asks for them: what rests on longer sums comes last.
LISTS: dict[str, tuple[str, Callable[[Asked], Page]]] = {
    "plants": ("Plants", plants),
    "tags": ("Tags", tags),
    "pods": ("Pods", pods),
    "cups": ("Cups", cups),
    "pots": ("Pots", pots),
    "beds": ("Beds", beds),
    "rows": ("Rows to walk", rows),
    "plan": ("Today’s plan", plan),
    "bloom": ("Bloom", bloom),
    "rubrics": ("Score sheets", rubrics),
}
# Where several people write at once, a line may be seen after one that was numbered later.
LINES = 50


def record_mark(person: Person, today: date) -> str:
    """Another one whenever a list may have changed: by a journal line, the day, the person, the
    program. A query on an index."""
    lines = list(JournalLine.objects.order_by("-pk").values_list("pk", flat=True)[:LINES])
    return _digest([lines, today.isoformat(), person.pk, person.role, version()])


def content_mark(page: Page) -> str:
    """The same for the same rows, whatever else was written in the garden."""
    return _digest([page.rows, page.more])


def _digest(told: object) -> str:
    return hashlib.sha256(plain(told)).hexdigest()[:16]
