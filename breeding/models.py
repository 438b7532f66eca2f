"""The thread: Cross -> Pollination (tag) -> Pod -> SeedCup -> Pot -> Row."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q

from garden.models import Bed, Fact, Plant

MOST_SEEDS_IN_A_POD = 300
MOST_SEEDLINGS = 20_000


class Cross(Fact):
    """One combination in one season, numbered `26-014`; the number is never given again.

    The counts are sums over its flowers, cups, pots and rows, kept by the verbs.
    """

    is_container = True

    season = models.PositiveSmallIntegerField()
    number = models.PositiveIntegerField()
    code = models.CharField(max_length=12, unique=True)
    seed_parent = models.ForeignKey(Plant, models.PROTECT, related_name="crosses_as_seed")
    pollen_parent = models.ForeignKey(
        Plant, models.PROTECT, null=True, blank=True, related_name="crosses_as_pollen"
    )
    # A bee pod: that the pollen parent is unknown is something that somebody chose to write.
    pollen_unknown = models.BooleanField(default=False)
    note = models.CharField(max_length=1000, blank=True)
    flowers = models.PositiveIntegerField(default=0)
    pods = models.PositiveIntegerField(default=0)
    failed = models.PositiveIntegerField(default=0)
    seeds = models.PositiveIntegerField(default=0)
    sown = models.PositiveIntegerField(default=0)
    up = models.PositiveIntegerField(default=0)
    lined_out = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["season", "number"]
        constraints = [
            models.UniqueConstraint(fields=["season", "number"], name="cross_number_once"),
            models.UniqueConstraint(
                fields=["season", "seed_parent", "pollen_parent"],
                condition=Q(struck=False),
                name="cross_combination_once",
            ),
            models.UniqueConstraint(
                fields=["season", "seed_parent"],
                condition=Q(struck=False, pollen_unknown=True),
                name="cross_bee_pod_once",
            ),
            models.CheckConstraint(
                condition=Q(pollen_parent__isnull=True, pollen_unknown=True)
                | Q(pollen_parent__isnull=False, pollen_unknown=False),
                name="cross_pollen_parent_chosen",
            ),
            models.CheckConstraint(
                condition=Q(flowers__gte=F("pods") + F("failed")), name="cross_pods_within_flowers"
            ),
        ]

    def __str__(self) -> str:
        return self.code

    def misfit(self) -> tuple[str, str] | None:
        from breeding.invariants import first_violation

        return first_violation(self)

    def after_change(self) -> None:
        from breeding.counting import recount

        recount(self)


class TagBatch(Fact):
    """Tags printed together; until then their numbers are refused."""

    printed_on = models.DateField()
    count = models.PositiveSmallIntegerField()

    class Meta:
        verbose_name = "tag sheet"

    def __str__(self) -> str:
        return f"of {self.printed_on}, {self.count} tags"

    def dependants(self) -> str:
        used = Pollination.live.filter(tag__batch=self).select_related("tag").first()
        return f"tag {used.tag} hangs on a flower" if used else ""


class Tag(Fact):
    """A numbered tie tag, printed beforehand; its last digit is a check (ISO/IEC 7064)."""

    code = models.CharField(max_length=12, unique=True)
    batch = models.ForeignKey(TagBatch, models.PROTECT, related_name="tags")
    spoiled = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return self.code


class Pollination(Fact):
    """One flower worked on one day; its pod, if it sets one, is told here too."""

    class State(models.TextChoices):
        WORKED = "worked", "Worked"
        SET = "set", "Pod set"
        FAILED = "failed", "Failed"
        HARVESTED = "harvested", "Harvested"

    cross = models.ForeignKey(Cross, models.PROTECT, related_name="pollinations")
    tag = models.ForeignKey(Tag, models.PROTECT, related_name="pollinations")
    day = models.DateField()
    stigmas = models.PositiveSmallIntegerField(default=3)
    falls_removed = models.BooleanField(default=False)
    note = models.CharField(max_length=1000, blank=True)
    state = models.CharField(max_length=10, choices=State.choices, default=State.WORKED)
    looked_on = models.DateField(null=True, blank=True)
    fail_reason = models.CharField(max_length=200, blank=True)
    harvested_on = models.DateField(null=True, blank=True)
    seeds = models.PositiveSmallIntegerField(null=True, blank=True)
    cup = models.ForeignKey("SeedCup", models.PROTECT, null=True, blank=True, related_name="pods")

    class Meta:
        ordering = ["day", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["tag"], condition=Q(struck=False), name="pollination_tag_once"
            ),
            models.CheckConstraint(
                condition=Q(stigmas__range=(1, 3)), name="pollination_three_stigmas"
            ),
            models.CheckConstraint(
                condition=(Q(looked_on=None) | Q(looked_on__gte=F("day")))
                & (Q(harvested_on=None) | Q(harvested_on__gte=F("day"))),
                name="pollination_dates_in_order",
            ),
            models.CheckConstraint(
                condition=(
                    Q(
                        state="harvested",
                        harvested_on__isnull=False,
                        cup__isnull=False,
                        # Said by itself: a check that comes out as NULL lets everything pass.
                        seeds__isnull=False,
                        seeds__range=(1, MOST_SEEDS_IN_A_POD),
                    )
                    | (~Q(state="harvested") & Q(harvested_on=None, cup=None, seeds=None))
                ),
                name="pollination_harvest_whole",
            ),
            models.CheckConstraint(
                condition=Q(state="failed") & ~Q(fail_reason="")
                | ~Q(state="failed") & Q(fail_reason=""),
                name="pollination_failed_with_reason",
            ),
        ]
        indexes = [
            models.Index(
                fields=["day", "id"],
                condition=Q(state="worked", struck=False),
                name="pollination_unlooked",
            ),
            models.Index(
                fields=["day", "id"],
                condition=Q(state="set", struck=False),
                name="pollination_ripening",
            ),
        ]

    def __str__(self) -> str:
        return f"under tag {self.tag}"

    def dependants(self) -> str:
        return f"its seed is in cup {self.cup}" if self.cup_id else ""

    def lost_support(self) -> str:
        return super().lost_support() or (f"tag {self.tag}" if self.tag.batch.struck else "")

    def root(self) -> Cross:
        return self.cross


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
                fields=["sown_on", "id"],
                condition=Q(closed_on=None, struck=False),
                name="pot_standing",
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
    """Seedlings standing in a pot on one day, and how many had been lined out before."""

    pot = models.ForeignKey(Pot, models.PROTECT, related_name="counts")
    day = models.DateField()
    standing = models.PositiveIntegerField()
    lined_out_before = models.PositiveIntegerField(default=0)

    class Meta:
        verbose_name = "count"
        ordering = ["day", "id"]

    def __str__(self) -> str:
        return f"{self.standing} standing in pot {self.pot} on {self.day}"

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
                condition=Q(first__gte=1) & Q(last__gte=F("first")), name="row_positions_in_order"
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
            models.Index(fields=["bed", "row", "first"], name="row_by_place"),
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
