"""When plants bloom, and pollen that is kept for later."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q

from garden.models import Fact, Plant


class Bloom(Fact):
    """First, peak and last bloom of a plant in one season, each as far as somebody noted it."""

    class Stage(models.TextChoices):
        FIRST = "first", "First flower open"
        PEAK = "peak", "At its peak"
        LAST = "last", "Over"

    plant = models.ForeignKey(Plant, models.PROTECT, related_name="blooms")
    season = models.PositiveSmallIntegerField()
    first_on = models.DateField(null=True, blank=True)
    peak_on = models.DateField(null=True, blank=True)
    last_on = models.DateField(null=True, blank=True)

    class Meta:
        verbose_name = "bloom"
        ordering = ["-season", "plant"]
        constraints = [
            models.UniqueConstraint(
                fields=["plant", "season"], condition=Q(struck=False), name="bloom_season_once"
            ),
            models.CheckConstraint(
                condition=(Q(peak_on=None) | Q(first_on=None) | Q(peak_on__gte=F("first_on")))
                & (Q(last_on=None) | Q(first_on=None) | Q(last_on__gte=F("first_on")))
                & (Q(last_on=None) | Q(peak_on=None) | Q(last_on__gte=F("peak_on"))),
                name="bloom_stages_in_order",
            ),
            models.CheckConstraint(
                condition=Q(first_on__isnull=False)
                | Q(peak_on__isnull=False)
                | Q(last_on__isnull=False),
                name="bloom_noted",
            ),
        ]
        indexes = [models.Index(fields=["season", "plant"], name="bloom_of_season")]

    def __str__(self) -> str:
        return f"of {self.plant} in {self.season}"

    @property
    def next_stage(self) -> str:
        """What one tap notes next; '' when it is over."""
        if self.last_on:
            return ""
        if self.peak_on:
            return self.Stage.LAST
        return self.Stage.PEAK if self.first_on else self.Stage.FIRST

    def dependants(self) -> str:
        """The note that began it stays while another stage was noted after it."""
        noted = [day for day in (self.first_on, self.peak_on, self.last_on) if day]
        return "another day of its bloom is noted" if len(noted) > 1 else super().dependants()

    def after_change(self) -> None:
        from breeding.counting import version_moved

        version_moved("bloom")


class Pollen(Fact):
    """Pollen of one plant in store: since when, where, until when it is thought good."""

    plant = models.ForeignKey(Plant, models.PROTECT, related_name="pollen")
    taken_on = models.DateField()
    place = models.CharField(max_length=80)
    use_by = models.DateField(null=True, blank=True)
    note = models.CharField(max_length=400, blank=True)
    ended_on = models.DateField(null=True, blank=True)
    ended_reason = models.CharField(max_length=200, blank=True)

    class Meta:
        verbose_name = "pollen"
        verbose_name_plural = "pollen"
        ordering = ["plant", "taken_on"]
        constraints = [
            models.CheckConstraint(
                condition=(Q(use_by=None) | Q(use_by__gte=F("taken_on")))
                & (Q(ended_on=None) | Q(ended_on__gte=F("taken_on"))),
                name="pollen_dates_in_order",
            ),
            models.CheckConstraint(
                condition=Q(ended_on=None, ended_reason="")
                | Q(ended_on__isnull=False) & ~Q(ended_reason=""),
                name="pollen_ended_with_reason",
            ),
        ]
        indexes = [
            models.Index(
                fields=["plant", "taken_on"],
                condition=Q(struck=False, ended_on=None),
                name="pollen_in_store",
            )
        ]

    def __str__(self) -> str:
        return f"of {self.plant}, taken {self.taken_on}"
