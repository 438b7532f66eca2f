"""What is seen in bloom: look-overs of a row, scores of a seedling, decisions."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q

from breeding.models import Cross, Row
from evaluation.models.rubrics import Criterion, Rubric
from garden.models import Bed, Fact, Plant, Recorded


class Candidate(Fact):
    """A plant that is judged: a seedling at one position of a row, or a plant of the stock.

    A seedling that was selected is both. `verdict` and the counts are derived from the decisions
    and scores, and kept by the verbs.
    """

    is_container = True

    class Verdict(models.TextChoices):
        KEEP = "keep", "Keep"
        WATCH = "watch", "Watch"
        PARENT = "parent", "Use as parent"
        DISCARD = "discard", "Discard"

    # Whoever is kept or bred from becomes a plant of the stock.
    STAYS = (Verdict.KEEP, Verdict.PARENT)

    row = models.ForeignKey(Row, models.PROTECT, null=True, blank=True, related_name="candidates")
    position = models.PositiveIntegerField(null=True, blank=True)
    plant = models.ForeignKey(
        Plant, models.PROTECT, null=True, blank=True, related_name="candidates"
    )
    noted_on = models.DateField()
    verdict = models.CharField(max_length=7, choices=Verdict.choices, blank=True)
    decided_on = models.DateField(null=True, blank=True)
    scores = models.PositiveIntegerField(default=0)
    # The last day on which somebody scored it or asked for another look.
    seen_on = models.DateField(null=True, blank=True)

    class Meta:
        verbose_name = "judged seedling"
        ordering = ["row", "position", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(row__isnull=False, position__isnull=False, position__gte=1)
                | Q(row__isnull=True, position__isnull=True, plant__isnull=False),
                name="candidate_stands_somewhere",
            ),
            models.UniqueConstraint(
                fields=["row", "position"],
                condition=Q(struck=False, row__isnull=False),
                name="candidate_position_once",
            ),
            models.UniqueConstraint(
                fields=["plant"],
                condition=Q(struck=False, plant__isnull=False),
                name="candidate_plant_once",
            ),
        ]
        indexes = [
            models.Index(
                fields=["-seen_on", "-id"], condition=Q(struck=False), name="candidate_seen"
            ),
            models.Index(
                fields=["verdict", "row", "position"],
                condition=Q(struck=False),
                name="candidate_by_verdict",
            ),
        ]

    def __str__(self) -> str:
        if self.plant_id:
            return str(self.plant)
        return f"{self.row.cross} at {self.row.bed} {self.row.row}/{self.position}"

    @property
    def cross(self) -> Cross | None:
        """The cross it came from, of a seedling of a row."""
        return self.row.cross if self.row_id else None

    def dependants(self) -> str:
        """Also another look asked for there, and the seedling selected there. Queries."""
        if (told := super().dependants()) or self.row_id is None:
            return told
        place = {"look_over__row": self.row_id, "position": self.position}
        if Glance.live.filter(found=Glance.Found.AGAIN, **place).exists():
            return "a call for another look hangs on it"
        selected = self.row.seedlings_selected.filter(struck=False, position=self.position)
        return f"seedling {selected.first()} hangs on it" if selected.exists() else ""

    def misfit(self) -> tuple[str, str] | None:
        """Who is kept or a parent is a plant with a letter. A query."""
        if self.row_id is None or self.plant_id is not None or self.struck:
            return None
        newest = Decision.live.filter(candidate=self).order_by("-day", "-id").first()
        if newest is None or newest.verdict not in self.STAYS:
            return None
        said = f"{newest.person} decided on {newest.day}: {newest.get_verdict_display().lower()}"
        return f"{said}. Undo that first: whoever stays has a letter.", ""

    def after_change(self) -> None:
        from evaluation.counting import recount

        recount(self)


class LookOver(Fact):
    """One person's walk along a row in bloom; `backward` when it began at the last position."""

    is_container = True

    row = models.ForeignKey(Row, models.PROTECT, related_name="look_overs")
    person = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="look_overs")
    season = models.PositiveSmallIntegerField()
    began_on = models.DateField()
    backward = models.BooleanField(default=False)

    class Meta:
        verbose_name = "look-over"
        ordering = ["row", "id"]
        indexes = [models.Index(fields=["person", "-id"], name="look_over_of_person")]

    def __str__(self) -> str:
        return f"of {self.row} on {self.began_on}"


class Glance(Fact):
    """What a look-over found at one position."""

    class Found(models.TextChoices):
        NOTHING = "nothing", "Nothing"
        AGAIN = "again", "Look again"
        GAP = "gap", "Gap"
        DEAD = "dead", "Dead"

    # Where nothing stands.
    ABSENT = (Found.GAP, Found.DEAD)

    look_over = models.ForeignKey(LookOver, models.PROTECT, related_name="glances")
    position = models.PositiveIntegerField()
    found = models.CharField(max_length=7, choices=Found.choices)
    day = models.DateField()
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        verbose_name = "look"
        ordering = ["look_over", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["look_over", "position"],
                condition=Q(struck=False),
                name="glance_position_once",
            )
        ]

    def __str__(self) -> str:
        return f"{self.get_found_display()} at position {self.position} of {self.look_over.row}"

    def root(self) -> Recorded:
        """The candidate at that position, which knows when it was last called; else itself."""
        row = self.look_over.row_id
        return Candidate.live.filter(row=row, position=self.position).first() or self


class Scoring(Fact):
    """One person's score of one candidate on one day, under one rubric. Never averaged away.

    `stalk` is written as `evaluation.stalk` writes it. Bed and row say where it stood that day.
    """

    candidate = models.ForeignKey(Candidate, models.PROTECT, related_name="scorings")
    rubric = models.ForeignKey(Rubric, models.PROTECT, related_name="scorings")
    person = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="scorings")
    day = models.DateField()
    season = models.PositiveSmallIntegerField()
    bed = models.ForeignKey(Bed, models.PROTECT, null=True, blank=True, related_name="scorings")
    bed_row = models.PositiveSmallIntegerField(null=True, blank=True)
    stalk = models.CharField(max_length=60, blank=True)
    note = models.CharField(max_length=1000, blank=True)

    class Meta:
        verbose_name = "score"
        ordering = ["day", "id"]
        indexes = [
            models.Index(fields=["season", "id"], condition=Q(struck=False), name="scoring_season"),
            models.Index(fields=["person", "-id"], name="scoring_of_person"),
        ]

    def __str__(self) -> str:
        return f"of {self.candidate} by {self.person} on {self.day}"

    def root(self) -> Candidate:
        return self.candidate


class Mark(Fact):
    """What one score says of one criterion, on that criterion's own scale."""

    scoring = models.ForeignKey(Scoring, models.PROTECT, related_name="marks")
    criterion = models.ForeignKey(Criterion, models.PROTECT, related_name="marks")
    value = models.FloatField()

    class Meta:
        ordering = ["scoring", "criterion"]
        constraints = [
            models.UniqueConstraint(
                fields=["scoring", "criterion"],
                condition=Q(struck=False),
                name="mark_criterion_once",
            )
        ]

    def __str__(self) -> str:
        return f"{self.criterion}: {self.value:g}"

    def root(self) -> Candidate:
        return self.scoring.candidate


class Decision(Fact):
    """What is to become of a candidate, from a day on, and why. The newest one counts."""

    candidate = models.ForeignKey(Candidate, models.PROTECT, related_name="decisions")
    person = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="decisions")
    day = models.DateField()
    verdict = models.CharField(max_length=7, choices=Candidate.Verdict.choices)
    reason = models.CharField(max_length=400, blank=True)

    class Meta:
        ordering = ["day", "id"]

    def __str__(self) -> str:
        return f"{self.get_verdict_display()} on {self.day}"

    def root(self) -> Candidate:
        return self.candidate


class ClearOut(Fact):
    """Positions of a row that were dug out and thrown away on one day."""

    row = models.ForeignKey(Row, models.PROTECT, related_name="clear_outs")
    day = models.DateField()
    # [[first, last], …], in order and apart from each other.
    positions = models.JSONField()
    reason = models.CharField(max_length=200, blank=True)

    class Meta:
        verbose_name = "clear-out"
        ordering = ["row", "day", "id"]

    def __str__(self) -> str:
        return f"of {self.row} on {self.day}"


class JudgingVersion(Recorded):
    """Moves with every score and rubric, so that sums kept in memory know that they are old."""

    version = models.PositiveBigIntegerField(default=1)

    class Meta:
        constraints = [models.CheckConstraint(condition=Q(pk=1), name="judging_version_only_one")]

    def __str__(self) -> str:
        return str(self.version)

    @classmethod
    def now(cls) -> int:
        """The version of what was judged; 0 before anything was. One query."""
        return cls.objects.filter(pk=1).values_list("version", flat=True).first() or 0
