"""What is supposed of inheritance, and what was seen: loci, readings, counts of types."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q

from breeding.models.crosses import Cross
from breeding.models.seedbed import Row
from garden.models import Fact, Plant, Recorded


class Locus(Fact):
    """A supposed major gene: its alleles, the types that can be seen, and on what it rests.

    A working hypothesis, with its source. `alleles` and `types` are written as
    `breeding.inheritance.loci` takes them.
    """

    class Confidence(models.TextChoices):
        SUPPOSED = "supposed", "Supposed"
        SUPPORTED = "supported", "Supported by crosses"
        ESTABLISHED = "well supported", "Well supported"

    symbol = models.CharField(max_length=12)
    name = models.CharField(max_length=80)
    # Place among the loci: a flower is painted in this order.
    order = models.PositiveSmallIntegerField(default=100)
    alleles = models.JSONField()
    counted = models.CharField(max_length=12)
    types = models.JSONField()
    source = models.CharField(max_length=600)
    confidence = models.CharField(
        max_length=16, choices=Confidence.choices, default=Confidence.SUPPOSED
    )
    note = models.CharField(max_length=1000, blank=True)
    # Whether the garden works with it: others are kept and left out of the sums.
    used = models.BooleanField(default=True)

    class Meta:
        verbose_name_plural = "loci"
        ordering = ["order", "symbol"]
        constraints = [
            models.UniqueConstraint(
                fields=["symbol"], condition=Q(struck=False), name="locus_symbol_once"
            ),
            models.CheckConstraint(condition=~Q(symbol=""), name="locus_has_symbol"),
            models.CheckConstraint(condition=~Q(source=""), name="locus_names_its_source"),
        ]

    def __str__(self) -> str:
        return self.symbol

    def type_name(self, key: str) -> str:
        """What the type is called; the key itself where the locus has it no more."""
        return next((told["name"] for told in self.types if told["key"] == key), key)

    def misfit(self) -> tuple[str, str] | None:
        """A type that was seen stays among the types. Two queries."""
        keys = {told["key"] for told in self.types}
        seen = Reading.live.filter(locus=self).exclude(type__in=keys).first()
        counted = TypeCount.live.filter(tally__locus=self, tally__struck=False)
        counted = counted.exclude(type__in=keys).first()
        if seen or counted:
            return f"Flowers were recorded as ‘{(seen or counted).type}’: keep that type.", "types"
        return None

    def after_change(self) -> None:
        copies_moved()


class Reading(Fact):
    """The type of a plant's own flower at a locus, as somebody saw it; before its colour words."""

    plant = models.ForeignKey(Plant, models.PROTECT, related_name="readings")
    locus = models.ForeignKey(Locus, models.PROTECT, related_name="readings")
    type = models.CharField(max_length=30)
    day = models.DateField()

    class Meta:
        verbose_name = "reading"
        ordering = ["plant", "locus"]
        constraints = [
            models.UniqueConstraint(
                fields=["plant", "locus"], condition=Q(struck=False), name="reading_once"
            )
        ]

    def __str__(self) -> str:
        return f"of {self.plant} at {self.locus}"

    def after_change(self) -> None:
        copies_moved()


class Tally(Fact):
    """How many seedlings of each type were seen so far in a row, or in the whole cross.

    The newest tally of a row at a locus counts; those before it stay in the book.
    """

    cross = models.ForeignKey(Cross, models.PROTECT, related_name="tallies")
    row = models.ForeignKey(Row, models.PROTECT, null=True, blank=True, related_name="tallies")
    locus = models.ForeignKey(Locus, models.PROTECT, related_name="tallies")
    person = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="tallies")
    day = models.DateField()
    note = models.CharField(max_length=1000, blank=True)

    class Meta:
        verbose_name_plural = "tallies"
        ordering = ["cross", "locus", "row", "day", "id"]

    def __str__(self) -> str:
        return f"of {self.row or self.cross} at {self.locus} on {self.day}"

    def misfit(self) -> tuple[str, str] | None:
        """No more were seen than were lined out. A query."""
        from breeding.invariants import tally_violation

        return None if self.struck else tally_violation(self)

    def after_change(self) -> None:
        copies_moved()


class TypeCount(Fact):
    """Seedlings of one type in a tally."""

    tally = models.ForeignKey(Tally, models.PROTECT, related_name="counts")
    type = models.CharField(max_length=30)
    count = models.PositiveIntegerField()

    class Meta:
        verbose_name = "count of a type"
        ordering = ["tally", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["tally", "type"], condition=Q(struck=False), name="type_counted_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.count} {self.type}"

    def root(self) -> Recorded:
        return self.tally


class BreedingVersion(Recorded):
    """Moves with what was seen of types and of bloom, so that sums in memory know they are old."""

    copies = models.PositiveBigIntegerField(default=1)
    bloom = models.PositiveBigIntegerField(default=1)

    class Meta:
        constraints = [models.CheckConstraint(condition=Q(pk=1), name="breeding_version_only_one")]

    def __str__(self) -> str:
        return f"{self.copies}, {self.bloom}"

    @classmethod
    def now(cls) -> tuple[int, int]:
        """(version of the types seen, version of the bloom noted). One query."""
        return cls.objects.filter(pk=1).values_list("copies", "bloom").first() or (0, 0)


def copies_moved() -> None:
    """Let sums about copies know that they are old."""
    from breeding.counting import version_moved

    version_moved("copies")
