"""Labels: sheets of the garden's own, where a sheet is shifted, what was printed on what."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.conf import settings
from django.db import models
from django.db.models import Q

from garden.models.facts import Fact

if TYPE_CHECKING:
    from garden.labels import Sheet

MEASURES = (
    "page_width", "page_height", "label_width", "label_height", "left", "top", "gap_x", "gap_y",
)  # fmt: skip
MOST_SHIFT = 10.0
MOST_COPIES = 50
OWN = "own-"


class LabelSheet(Fact):
    """A size of sheet or roll that this garden has besides the ready-made ones. Lengths in mm."""

    title = models.CharField(max_length=60)
    roll = models.BooleanField(default=False)
    page_width = models.FloatField()
    page_height = models.FloatField()
    columns = models.PositiveSmallIntegerField(default=1)
    rows = models.PositiveSmallIntegerField(default=1)
    label_width = models.FloatField()
    label_height = models.FloatField()
    left = models.FloatField(default=0)
    top = models.FloatField(default=0)
    gap_x = models.FloatField(default=0)
    gap_y = models.FloatField(default=0)

    class Meta:
        verbose_name = "size of labels"
        ordering = ["title"]
        constraints = [
            models.UniqueConstraint(
                fields=["title"], condition=Q(struck=False), name="label_sheet_title_once"
            ),
            models.CheckConstraint(condition=~Q(title=""), name="label_sheet_has_title"),
            models.CheckConstraint(
                condition=Q(columns__gte=1, rows__gte=1, label_width__gt=0, label_height__gt=0),
                name="label_sheet_possible",
            ),
        ]

    def __str__(self) -> str:
        return self.title

    @property
    def key(self) -> str:
        """How a run and a shift name it."""
        return f"{OWN}{self.pk}"

    @property
    def sheet(self) -> Sheet:
        """It as the labels are laid out on it."""
        from garden.labels import Sheet

        measures = {name: getattr(self, name) for name in MEASURES}
        return Sheet(
            title=self.title, columns=self.columns, rows=self.rows, roll=self.roll, **measures
        )


class LabelShift(Fact):
    """How far this garden's printer misses a sheet: everything moves right and down by so much."""

    sheet = models.CharField(max_length=40)
    right = models.FloatField(default=0)
    down = models.FloatField(default=0)

    class Meta:
        verbose_name = "shift of a sheet"
        constraints = [
            models.UniqueConstraint(
                fields=["sheet"], condition=Q(struck=False), name="label_shift_once"
            ),
            models.CheckConstraint(
                condition=Q(right__range=(-MOST_SHIFT, MOST_SHIFT))
                & Q(down__range=(-MOST_SHIFT, MOST_SHIFT)),
                name="label_shift_possible",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.sheet}: {self.right:+g} mm, {self.down:+g} mm"


class LabelAddress(Fact):
    """The address that QR codes carry, where the garden fixed one; '' follows how it is opened."""

    address = models.CharField(max_length=80, blank=True)

    class Meta:
        verbose_name = "address on labels"

    def __str__(self) -> str:
        return self.address or "as the garden is opened"


class LabelRun(Fact):
    """Labels printed together: on what, from which place of the sheet on, how many of each."""

    person = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="label_runs")
    day = models.DateField()
    sheet = models.CharField(max_length=40)
    start = models.PositiveIntegerField(default=1)
    copies = models.PositiveSmallIntegerField(default=1)
    count = models.PositiveIntegerField()
    flowers = models.BooleanField(default=True)
    # What stood before /T/ in the codes; '' for labels without squares.
    address = models.CharField(max_length=80, blank=True)

    class Meta:
        verbose_name = "printing of labels"
        ordering = ["-id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(start__gte=1, count__gte=1, copies__range=(1, MOST_COPIES)),
                name="label_run_possible",
            )
        ]
        indexes = [
            models.Index(fields=["sheet", "-id"], condition=Q(struck=False), name="label_run_last")
        ]

    def __str__(self) -> str:
        return f"of {self.count} labels on {self.day}"

    @property
    def printed(self) -> int:
        """Labels on paper, copies counted."""
        return self.count * self.copies


class Labelled(Fact):
    """That a thing was on a run; without a run, that it needs no label."""

    run = models.ForeignKey(
        LabelRun, models.PROTECT, null=True, blank=True, related_name="labelled"
    )
    kind = models.CharField(max_length=20)
    thing = models.PositiveBigIntegerField()

    class Meta:
        verbose_name = "label"
        ordering = ["id"]
        indexes = [
            models.Index(
                fields=["kind", "thing"], condition=Q(struck=False), name="labelled_thing"
            ),
            models.Index(fields=["run", "id"], name="labelled_of_run"),
        ]

    def __str__(self) -> str:
        return f"of {self.kind} {self.thing}"
