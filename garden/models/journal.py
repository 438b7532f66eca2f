"""The journal: who did what, when it happened, when it arrived, from which device."""

from __future__ import annotations

import uuid
from typing import TYPE_CHECKING

from django.conf import settings
from django.db import models

if TYPE_CHECKING:
    from garden.models.people import Person


class JournalLine(models.Model):
    """One thing that a person did, once. `entry` is the UUID that its form was rendered with."""

    entry = models.UUIDField(unique=True, default=uuid.uuid4)
    # What was meant, and what the form sent word for word: the same entry again is known by it.
    digest = models.CharField(max_length=64)
    sent = models.CharField(max_length=64, blank=True)
    verb = models.CharField(max_length=40)
    person = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="lines")
    device = models.CharField(max_length=60, blank=True)
    happened_at = models.DateTimeField()
    received_at = models.DateTimeField(db_index=True)
    subject_kind = models.CharField(max_length=40)
    subject_id = models.BigIntegerField()
    text = models.CharField(max_length=400)
    reason = models.CharField(max_length=400, blank=True)
    # [[kind, id], …] of what this line wrote, in order.
    made = models.JSONField(default=list)
    # [{"kind", "id", "before": {field: value}, "after": {…}}, …] of what it changed.
    changed = models.JSONField(default=list)
    undoes = models.OneToOneField(
        "self", models.PROTECT, null=True, blank=True, related_name="undone_by"
    )

    class Meta:
        ordering = ["-id"]
        indexes = [
            models.Index(fields=["person", "verb", "-id"], name="journal_person_verb"),
            models.Index(fields=["-happened_at", "-id"], name="journal_happened"),
            models.Index(fields=["person", "-happened_at", "-id"], name="journal_of_person"),
        ]

    def __str__(self) -> str:
        return self.text

    def may_be_undone_by(self, person: Person) -> bool:
        """Whether a page offers `person` to take this line back; the verb may still refuse.

        A query, unless the line was fetched together with `undone_by`.
        """
        mine = person.may_record and (person.is_owner or self.person_id == person.pk)
        # People are not struck out: they may only be kept from signing in.
        wrote = bool(self.made or self.changed)
        wrote = wrote and [kind for kind, _ in self.made] != ["garden.person"]
        return mine and wrote and self.undoes_id is None and not hasattr(self, "undone_by")


class JournalMention(models.Model):
    """That a line speaks of a thing, so that each page can show its own part of the journal."""

    line = models.ForeignKey(JournalLine, models.CASCADE, related_name="mentions")
    kind = models.CharField(max_length=40)
    thing_id = models.BigIntegerField()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["kind", "thing_id", "line"], name="journal_mention_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.thing_id}"
