"""What somebody breeds for, and the crosses that are planned for it."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from garden.models import Fact, Plant


class Goal(Fact):
    """An aim in words, with the types and traits wanted and how pairs are weighed for it.

    `wanted` is [[symbol of the locus, key of the type], …], `traits` [[key of the criterion,
    weight], …], `weights` {column: weight}; a column that is left out has its usual weight.
    """

    is_container = True

    name = models.CharField(max_length=60)
    words = models.CharField(max_length=1000, blank=True)
    wanted = models.JSONField(default=list, blank=True)
    traits = models.JSONField(default=list, blank=True)
    weights = models.JSONField(default=dict, blank=True)
    # The highest kinship that the two parents of one cross may have, and all crosses together.
    pair_limit = models.FloatField(default=0.125)
    # Without one a middle point of what kinship costs is chosen; 1 lets all through.
    set_limit = models.FloatField(null=True, blank=True)
    # A cross whose chance of the wanted types is lower is not chosen.
    least_chance = models.FloatField(default=0.005)
    crosses = models.PositiveSmallIntegerField(default=12)
    # '' plans with every class.
    iris_class = models.CharField(max_length=8, blank=True)
    closed_on = models.DateField(null=True, blank=True)
    closed_reason = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["closed_on", "name"]
        constraints = [
            models.UniqueConstraint(
                fields=["name"], condition=Q(struck=False), name="goal_name_once"
            ),
            models.CheckConstraint(condition=~Q(name=""), name="goal_has_name"),
            models.CheckConstraint(
                condition=Q(pair_limit__range=(0, 1))
                & (Q(set_limit=None) | Q(set_limit__range=(0, 1))),
                name="goal_limits_possible",
            ),
            models.CheckConstraint(
                condition=Q(crosses__range=(1, 200)), name="goal_crosses_possible"
            ),
            models.CheckConstraint(
                condition=Q(least_chance__range=(0, 1)), name="goal_least_chance_possible"
            ),
        ]

    def __str__(self) -> str:
        return self.name


class PlannedCross(Fact):
    """A cross to be made in one season, with the number of flowers to work; may be dropped."""

    goal = models.ForeignKey(
        Goal, models.PROTECT, null=True, blank=True, related_name="planned_crosses"
    )
    season = models.PositiveSmallIntegerField()
    seed_parent = models.ForeignKey(Plant, models.PROTECT, related_name="planned_as_seed")
    pollen_parent = models.ForeignKey(Plant, models.PROTECT, related_name="planned_as_pollen")
    flowers = models.PositiveSmallIntegerField(default=3)
    note = models.CharField(max_length=400, blank=True)
    dropped_on = models.DateField(null=True, blank=True)
    dropped_reason = models.CharField(max_length=200, blank=True)

    class Meta:
        verbose_name = "planned cross"
        verbose_name_plural = "planned crosses"
        ordering = ["season", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["season", "seed_parent", "pollen_parent"],
                condition=Q(struck=False, dropped_on=None),
                name="planned_cross_once",
            ),
            models.CheckConstraint(
                condition=Q(flowers__range=(1, 500)), name="planned_flowers_possible"
            ),
            models.CheckConstraint(
                condition=Q(dropped_on=None, dropped_reason="")
                | Q(dropped_on__isnull=False) & ~Q(dropped_reason=""),
                name="planned_dropped_with_reason",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.seed_parent} × {self.pollen_parent}, {self.season}"
