"""The garden itself: its name, its calendar, its counters. One row."""

from __future__ import annotations

import zoneinfo
from datetime import date, datetime

from django.core.exceptions import ValidationError
from django.db import models
from django.utils import timezone

from garden.calendar import GardenCalendar, MonthDay
from garden.models.facts import Recorded

YEARLY = ("sow_on", "count_from", "bloom_from")
# The most that double reduction can be in theory.
MOST_DOUBLE_REDUCTION = 1 / 6
SPANS = ("pod_check_days", "pod_ripe_days", "recount_days", "line_out_days", "bloom_days")


def check_month_day(text: str) -> None:
    """Raise ValidationError unless `text` is 'MM-DD'."""
    try:
        MonthDay.parse(text)
    except ValueError:
        raise ValidationError("Write the day as month-day, for example 11-25.") from None


class Garden(Recorded):
    """The one garden of this notebook."""

    name = models.CharField(max_length=60, default="My garden")
    hemisphere = models.CharField(
        max_length=1, choices=[("N", "Northern"), ("S", "Southern")], default="N"
    )
    time_zone = models.CharField(max_length=60, default="UTC")
    inches = models.BooleanField("Show heights in inches", default=False)
    pod_check_days = models.PositiveSmallIntegerField(default=18)
    pod_ripe_days = models.PositiveSmallIntegerField(default=56)
    recount_days = models.PositiveSmallIntegerField(default=14)
    line_out_days = models.PositiveSmallIntegerField(default=35)
    bloom_days = models.PositiveSmallIntegerField(default=40)
    sow_on = models.CharField(max_length=5, default="11-25", validators=[check_month_day])
    count_from = models.CharField(max_length=5, default="03-25", validators=[check_month_day])
    bloom_from = models.CharField(max_length=5, default="05-10", validators=[check_month_day])
    # Chance that both copies in a gamete of a tetraploid descend from one copy of the plant.
    double_reduction = models.FloatField(default=0.0)
    is_demo = models.BooleanField(default=False)
    next_tag = models.PositiveIntegerField(default=1000)
    # Moves with every change of the stock, so that lists kept in memory know that they are old.
    stock_version = models.PositiveIntegerField(default=1)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=models.Q(pk=1), name="garden_only_one"),
            models.CheckConstraint(
                condition=models.Q(pod_ripe_days__gt=models.F("pod_check_days")),
                name="garden_pods_ripen_after_check",
            ),
            models.CheckConstraint(
                condition=models.Q(double_reduction__range=(0, MOST_DOUBLE_REDUCTION)),
                name="garden_double_reduction_possible",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @classmethod
    def get(cls) -> Garden:
        """The garden's row; made with its defaults when missing. One query."""
        garden = cls.objects.filter(pk=1).first()
        return garden or cls.objects.get_or_create(pk=1)[0]

    @property
    def zone(self) -> zoneinfo.ZoneInfo:
        return zoneinfo.ZoneInfo(self.time_zone)

    @classmethod
    def stock_moved(cls) -> None:
        """Let every list of the stock that is kept in memory know that it is old."""
        cls.objects.filter(pk=1).update(stock_version=models.F("stock_version") + 1)

    def today(self) -> date:
        """The day that it is in the garden."""
        return timezone.now().astimezone(self.zone).date()

    def day_of(self, moment: datetime) -> date:
        """The garden's day at `moment` (aware)."""
        return moment.astimezone(self.zone).date()

    @property
    def calendar(self) -> GardenCalendar:
        return GardenCalendar(
            hemisphere=self.hemisphere,
            **{name: getattr(self, name) for name in SPANS},
            **{name: MonthDay.parse(getattr(self, name)) for name in YEARLY},
        )
