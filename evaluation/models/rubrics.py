"""Rubrics: the weighted points that somebody scores with, versioned, never changed under scores."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q

from garden.models import Fact


class Rubric(Fact):
    """One version of a rubric. Other weights make another version; this one stays with its scores.

    `source` names where the weights come from; '' for the garden's own.
    """

    class Purpose(models.TextChoices):
        FIRST_WALK = "walk", "For the first walk"
        FULL = "full", "For a full score"

    name = models.CharField(max_length=60)
    version = models.PositiveSmallIntegerField(default=1)
    purpose = models.CharField(max_length=4, choices=Purpose.choices)
    source = models.CharField(max_length=300, blank=True)
    reason = models.CharField(max_length=400, blank=True)
    # A later version of the same rubric; scores are given under the newest one.
    replaced_by = models.OneToOneField(
        "self", models.PROTECT, null=True, blank=True, related_name="replaces"
    )

    class Meta:
        ordering = ["purpose", "name", "-version"]
        constraints = [
            models.UniqueConstraint(
                fields=["name", "version"],
                condition=Q(struck=False),
                name="rubric_version_once",
            ),
            models.CheckConstraint(condition=Q(version__gte=1), name="rubric_version_from_one"),
        ]

    def __str__(self) -> str:
        return f"{self.name}, version {self.version}" if self.version > 1 else self.name

    def dependants(self) -> str:
        if self.replaced_by_id and not self.replaced_by.struck:
            return f"rubric {self.replaced_by} hangs on it"
        return super().dependants()

    def after_change(self) -> None:
        from evaluation.counting import judging_moved

        judging_moved()


class Criterion(Fact):
    """One thing that is looked at, with its scale, its weight in points, and full marks in words.

    `key` stays the same through the versions of a rubric and across rubrics, so that marks of the
    same thing can be laid side by side.
    """

    class Group(models.TextChoices):
        PLANT = "plant", "Plant"
        STALK = "stalk", "Stalk"
        FLOWER = "flower", "Flower"
        DISTINCT = "distinct", "Distinctiveness"

    class Scale(models.TextChoices):
        POINTS = "points", "Points"
        COUNT = "count", "Count"
        MEASURE = "measure", "Measure"
        YES_NO = "yes_no", "Yes or no"
        CHOICE = "choice", "Choice"

    class Counted(models.TextChoices):
        """What of the drawn stalk the mark is counted from."""

        BUDS = "buds", "Buds"
        BRANCHES = "branches", "Branches and spurs"
        PLACES = "places", "Bud places"

    rubric = models.ForeignKey(Rubric, models.PROTECT, related_name="criteria")
    order = models.PositiveSmallIntegerField()
    key = models.SlugField(max_length=30)
    title = models.CharField(max_length=60)
    group = models.CharField(max_length=8, choices=Group.choices)
    scale = models.CharField(max_length=7, choices=Scale.choices)
    weight = models.FloatField()
    # The value that earns nothing and the one that earns full marks; least > full: less is better.
    least = models.FloatField(default=0)
    full = models.FloatField(default=5)
    unit = models.CharField(max_length=12, blank=True)
    # [[word, share of the weight from 0 to 1], …] of a choice.
    choices = models.JSONField(default=list, blank=True)
    counted = models.CharField(max_length=8, choices=Counted.choices, blank=True)
    full_words = models.CharField(max_length=300)

    class Meta:
        verbose_name_plural = "criteria"
        ordering = ["rubric", "order"]
        constraints = [
            models.UniqueConstraint(fields=["rubric", "key"], name="criterion_once"),
            models.CheckConstraint(condition=Q(weight__gte=0), name="criterion_weight_possible"),
            models.CheckConstraint(
                condition=~Q(least=F("full")), name="criterion_full_differs_from_least"
            ),
            models.CheckConstraint(
                condition=Q(counted="") | Q(scale="count"), name="criterion_counted_is_a_count"
            ),
        ]

    def __str__(self) -> str:
        return self.title

    def root(self) -> Rubric:
        return self.rubric
