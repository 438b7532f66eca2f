"""Who came in by which door: devices that are in, codes that let a phone in, wrong tries."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.conf import settings
from django.contrib.sessions.models import Session
from django.db import models
from django.db.models import Exists, F, OuterRef, Q
from django.utils import timezone

from garden.models.facts import Recorded

GOOD_FOR = timedelta(minutes=5)


class DeviceQuerySet(models.QuerySet):
    def inside(self) -> DeviceQuerySet:
        """Those that are in: not sent away, and with a session that still holds."""
        sessions = Session.objects.filter(
            session_key=OuterRef("session_key"), expire_date__gt=timezone.now()
        )
        return self.filter(Exists(sessions), ended_at=None)


class Device(Recorded):
    """A phone or computer on which somebody is, or was, signed in."""

    class Way(models.TextChoices):
        PAIRED = "paired", "by code"
        PASSWORD = "password", "by password"

    class End(models.TextChoices):
        LEFT = "left", "signed out on it"
        SENT = "sent", "signed out from elsewhere"
        PASSWORD = "password", "new password"

    person = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="devices")
    name = models.CharField(max_length=60)
    way = models.CharField(max_length=10, choices=Way.choices)
    # That of its session; empty once it is out.
    session_key = models.CharField(max_length=40, blank=True, db_index=True)
    came_in_at = models.DateTimeField()
    seen_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)
    ended_how = models.CharField(max_length=10, choices=End.choices, blank=True)
    ended_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )

    objects = DeviceQuerySet.as_manager()

    class Meta:
        ordering = ["-id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(ended_at=None) | Q(session_key=""), name="device_out_has_no_session"
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Pairing(Recorded):
    """A door held open for one phone of one person, for five minutes."""

    person = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="pairings")
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    name = models.CharField(max_length=60)
    token_digest = models.CharField(max_length=64, unique=True)
    code_digest = models.CharField(max_length=64, db_index=True)
    made_at = models.DateTimeField()
    good_until = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)
    device = models.OneToOneField(
        Device, models.PROTECT, null=True, blank=True, related_name="pairing"
    )

    class Meta:
        ordering = ["-id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(good_until__gte=F("made_at")), name="pairing_ends_after_it_began"
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def is_good(self, now: datetime) -> bool:
        """Whether a phone may still come in by it."""
        return self.used_at is None and self.good_until > now


class Knock(models.Model):
    """A wrong try at the door. What was typed is kept nowhere: it may be a password."""

    class Way(models.TextChoices):
        PASSWORD = "password", "Password"
        CODE = "code", "Typed code"
        TOKEN = "token", "Scanned code"

    at = models.DateTimeField()
    # The last time that somebody tried on although the door was shut.
    last_at = models.DateTimeField()
    address = models.CharField(max_length=45, blank=True)
    way = models.CharField(max_length=10, choices=Way.choices)
    # Whose name was given; nobody when it is nobody's.
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.CASCADE, null=True, blank=True, related_name="knocks"
    )
    # What tells one name from another for the count; says nothing after the next start.
    mark = models.CharField(max_length=64, blank=True)
    # Whether it still counts towards shutting the door; until when it shut it.
    counts = models.BooleanField(default=True)
    shut_until = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-id"]
        indexes = [
            models.Index(fields=["address", "at"], name="knock_address"),
            models.Index(fields=["mark", "at"], name="knock_mark"),
        ]

    def __str__(self) -> str:
        return f"{self.get_way_display()} from {self.address or 'nowhere'}"
