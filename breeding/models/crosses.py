"""The thread in bloom: Cross -> Pollination (tag) -> Pod."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q

from garden.models import Fact, Plant

MOST_SEEDS_IN_A_POD = 300


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
        indexes = [
            models.Index(fields=["seed_parent", "-season", "number"], name="cross_of_seed_parent"),
            models.Index(
                fields=["pollen_parent", "-season", "number"], name="cross_of_pollen_parent"
            ),
        ]

    def __str__(self) -> str:
        return self.code

    def save(self, *args: object, **kwargs: object) -> None:
        super().save(*args, **kwargs)
        if {"seed_parent", "pollen_parent", "struck"} & set(kwargs.get("update_fields") or ()):
            # Its counted seedlings speak of other plants now, or of none.
            from breeding.counting import version_moved

            version_moved("copies")

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
        verbose_name = "flower"
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
        lost = self.tag.batch.struck or self.tag.spoiled
        return super().lost_support() or (f"tag {self.tag}" if lost else "")

    def root(self) -> Cross:
        return self.cross
