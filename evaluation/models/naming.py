"""On the way to a name: names proposed for a plant, and what was measured of it."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q

from garden.models import Fact, Plant, fold


class ProposedName(Fact):
    """A name that somebody proposes for a plant, and what became of it."""

    class State(models.TextChoices):
        OPEN = "open", "Proposed"
        DROPPED = "dropped", "Dropped"
        CHOSEN = "chosen", "Given"

    plant = models.ForeignKey(Plant, models.PROTECT, related_name="proposed_names")
    text = models.CharField(max_length=80)
    folded = models.CharField(max_length=160, editable=False)
    note = models.CharField(max_length=400, blank=True)
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="proposed_names"
    )
    day = models.DateField()
    state = models.CharField(max_length=7, choices=State.choices, default=State.OPEN)
    # When and why it was dropped or given.
    settled_on = models.DateField(null=True, blank=True)
    settled_why = models.CharField(max_length=400, blank=True)

    class Meta:
        verbose_name = "proposed name"
        ordering = ["plant", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["plant", "folded"],
                condition=Q(struck=False),
                name="proposed_name_once",
            ),
            models.UniqueConstraint(
                fields=["plant"],
                condition=Q(struck=False, state="chosen"),
                name="proposed_name_given_once",
            ),
            models.CheckConstraint(condition=~Q(folded=""), name="proposed_name_has_letters"),
            models.CheckConstraint(
                condition=Q(state="open", settled_on=None)
                | Q(state__in=("dropped", "chosen"), settled_on__isnull=False),
                name="proposed_name_settled_with_day",
            ),
        ]

    def __str__(self) -> str:
        return self.text

    def save(self, *args: object, **kwargs: object) -> None:
        self.folded = fold(self.text)
        if kwargs.get("update_fields") is not None:
            kwargs["update_fields"] = {*kwargs["update_fields"], "folded"}
        super().save(*args, **kwargs)


class Measuring(Fact):
    """What somebody measured of a plant on one day; the flower in mm, as it stands open."""

    plant = models.ForeignKey(Plant, models.PROTECT, related_name="measurings")
    person = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="measurings")
    day = models.DateField()
    height_cm = models.PositiveSmallIntegerField(null=True, blank=True)
    flower_height_mm = models.PositiveSmallIntegerField(null=True, blank=True)
    flower_width_mm = models.PositiveSmallIntegerField(null=True, blank=True)
    branches = models.PositiveSmallIntegerField(null=True, blank=True)
    buds = models.PositiveSmallIntegerField(null=True, blank=True)

    class Meta:
        verbose_name = "measuring"
        ordering = ["-day", "-id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(height_cm__isnull=False)
                | Q(flower_height_mm__isnull=False)
                | Q(flower_width_mm__isnull=False)
                | Q(branches__isnull=False)
                | Q(buds__isnull=False),
                name="measuring_of_something",
            ),
            models.CheckConstraint(
                condition=Q(height_cm=None) | Q(height_cm__range=(1, 250)),
                name="measuring_height_possible",
            ),
        ]

    def __str__(self) -> str:
        return f"of {self.plant} on {self.day}"
