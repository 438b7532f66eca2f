"""The thread from the harvest on: SeedCup -> Pot -> Row."""

from __future__ import annotations

from collections.abc import Iterable

from django.db import models
from django.db.models import F, Q

from breeding.models.crosses import Cross
from garden.models import Bed, Fact

MOST_SEEDLINGS = 20_000


class SeedCup(Fact):
    """The harvested seed of one or more pods of one cross, kept dry until sowing."""

    is_container = True

    cross = models.ForeignKey(Cross, models.PROTECT, related_name="cups")
    number = models.PositiveSmallIntegerField()
    code = models.CharField(max_length=20, unique=True)
    filled_on = models.DateField()
    seeds = models.PositiveIntegerField(default=0)
    sown = models.PositiveIntegerField(default=0)
    sown_reason = models.CharField(max_length=200, blank=True)
    note = models.CharField(max_length=1000, blank=True)
    closed_on = models.DateField(null=True, blank=True)
    closed_reason = models.CharField(max_length=200, blank=True)

    class Meta:
        verbose_name = "cup"
        ordering = ["cross", "number"]
        constraints = [
            models.UniqueConstraint(fields=["cross", "number"], name="cup_number_once"),
            models.CheckConstraint(
                condition=Q(sown__lte=F("seeds")) | ~Q(sown_reason=""),
                name="cup_not_more_sown_than_held",
            ),
        ]
        indexes = [
            models.Index(
                fields=["filled_on", "id"],
                condition=Q(closed_on=None, struck=False, sown__lt=F("seeds")),
                name="cup_unsown",
            )
        ]

    def __str__(self) -> str:
        return self.code

    @property
    def left(self) -> int:
        """Seeds still in the cup."""
        return max(0, self.seeds - self.sown)

    def root(self) -> Cross:
        return self.cross


class Pot(Fact):
    """A sowing from one cup; counts of seedlings up follow with their dates.

    `up` is the most seedlings that had come up by any count, those already lined out included.
    """

    cup = models.ForeignKey(SeedCup, models.PROTECT, related_name="pots")
    number = models.PositiveSmallIntegerField()
    code = models.CharField(max_length=24, unique=True)
    sown_on = models.DateField()
    seeds = models.PositiveIntegerField()
    up = models.PositiveIntegerField(default=0)
    up_reason = models.CharField(max_length=200, blank=True)
    lined_out = models.PositiveIntegerField(default=0)
    lined_out_reason = models.CharField(max_length=200, blank=True)
    first_up_on = models.DateField(null=True, blank=True)
    counted_on = models.DateField(null=True, blank=True)
    note = models.CharField(max_length=1000, blank=True)
    closed_on = models.DateField(null=True, blank=True)
    closed_reason = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["cup", "number"]
        constraints = [
            models.UniqueConstraint(fields=["cup", "number"], name="pot_number_once"),
            models.CheckConstraint(condition=Q(seeds__gte=1), name="pot_holds_seed"),
            models.CheckConstraint(
                condition=Q(up__lte=F("seeds")) | ~Q(up_reason=""), name="pot_not_more_up_than_sown"
            ),
            models.CheckConstraint(
                condition=Q(lined_out__lte=F("up")) | ~Q(lined_out_reason=""),
                name="pot_not_more_out_than_up",
            ),
            models.CheckConstraint(
                condition=(Q(counted_on=None) | Q(counted_on__gte=F("sown_on")))
                & (Q(first_up_on=None) | Q(first_up_on__gte=F("sown_on")))
                & (Q(closed_on=None) | Q(closed_on__gte=F("sown_on"))),
                name="pot_dates_in_order",
            ),
        ]
        indexes = [
            models.Index(
                fields=["sown_on", "id", "counted_on"],
                condition=Q(closed_on=None, struck=False, up__lt=F("seeds")),
                name="pot_to_count",
            ),
            models.Index(
                fields=["first_up_on", "id"],
                condition=Q(closed_on=None, struck=False, up__gt=F("lined_out")),
                name="pot_to_line_out",
            ),
        ]

    def __str__(self) -> str:
        return self.code

    @property
    def cross(self) -> Cross:
        return self.cup.cross

    @property
    def standing(self) -> int:
        """Seedlings that came up and are not lined out."""
        return max(0, self.up - self.lined_out)

    def root(self) -> Cross:
        return self.cross


class PotCount(Fact):
    """Seedlings standing in a pot on one day; those lined out before it are added to them."""

    pot = models.ForeignKey(Pot, models.PROTECT, related_name="counts")
    day = models.DateField()
    standing = models.PositiveIntegerField()
    # Key of the newest row there was: rows written later that day hold seedlings counted here.
    newest_row = models.PositiveBigIntegerField(default=0)

    class Meta:
        verbose_name = "count"
        ordering = ["day", "id"]

    def __str__(self) -> str:
        return f"{self.standing} standing in pot {self.pot} on {self.day}"

    def lined_out_before(self, rows: Iterable[Row]) -> int:
        """How many of the pot's seedlings stood in `rows` when it was counted.

        Of the rows of the same day, those that had been written down by then.
        """
        return sum(
            row.seedlings
            for row in rows
            if row.lined_out_on < self.day
            or (row.lined_out_on == self.day and row.pk <= self.newest_row)
        )

    def came_up(self, rows: Iterable[Row]) -> int:
        """All seedlings that had come up by then."""
        return self.standing + self.lined_out_before(rows)

    def root(self) -> Cross:
        return self.pot.cross


class Row(Fact):
    """Seedlings of one pot lined out singly: bed, row, first and last position."""

    pot = models.ForeignKey(Pot, models.PROTECT, related_name="rows")
    cross = models.ForeignKey(Cross, models.PROTECT, related_name="rows")
    bed = models.ForeignKey(Bed, models.PROTECT, related_name="seedling_rows")
    row = models.PositiveSmallIntegerField()
    first = models.PositiveIntegerField()
    last = models.PositiveIntegerField()
    lined_out_on = models.DateField()
    note = models.CharField(max_length=1000, blank=True)
    closed_on = models.DateField(null=True, blank=True)
    closed_reason = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["bed", "row", "first"]
        constraints = [
            models.CheckConstraint(
                condition=Q(row__gte=1) & Q(first__gte=1) & Q(last__gte=F("first")),
                name="row_positions_in_order",
            ),
            models.CheckConstraint(
                condition=Q(last__lt=F("first") + MOST_SEEDLINGS), name="row_length_possible"
            ),
            models.CheckConstraint(
                condition=Q(closed_on=None) | Q(closed_on__gte=F("lined_out_on")),
                name="row_dates_in_order",
            ),
        ]
        indexes = [
            models.Index(
                fields=["lined_out_on", "id"],
                condition=Q(closed_on=None, struck=False),
                name="row_standing",
            ),
            models.Index(
                fields=["-lined_out_on", "bed", "row", "first"],
                condition=Q(closed_on=None, struck=False),
                name="row_to_bloom",
            ),
            models.Index(fields=["bed", "row", "first"], name="row_by_place"),
            models.Index(
                fields=["bed", "row", "first"],
                condition=Q(closed_on=None, struck=False),
                name="row_standing_in_bed",
            ),
            models.Index(
                fields=["bed", "-closed_on", "row", "first"],
                condition=Q(closed_on__isnull=False, struck=False),
                name="row_dug_over",
            ),
        ]

    def __str__(self) -> str:
        span = f"{self.first}–{self.last}" if self.last > self.first else f"{self.first}"
        return f"{self.bed}, row {self.row}, {span}"

    @property
    def seedlings(self) -> int:
        """How many were lined out."""
        return self.last - self.first + 1

    def holds(self, position: int) -> bool:
        return self.first <= position <= self.last

    def overlapping(self) -> models.QuerySet:
        """Rows standing on the same positions at the same time. A query."""
        rows = Row.live.filter(bed=self.bed, row=self.row, first__lte=self.last)
        rows = rows.filter(last__gte=self.first).exclude(pk=self.pk)
        rows = rows.filter(Q(closed_on=None) | Q(closed_on__gt=self.lined_out_on))
        return rows.filter(lined_out_on__lt=self.closed_on) if self.closed_on else rows

    def root(self) -> Cross:
        return self.cross
