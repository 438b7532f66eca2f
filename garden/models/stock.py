"""The stock: plants, beds and where the plants stand."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q

from garden.models.facts import Fact
from garden.names import fold

UNKNOWN = "unknown"
COLOUR_PARTS = ("standards", "falls", "styles", "beard", "haft", "rim")


class IrisClass(models.TextChoices):
    """Horticultural classes of bearded irises, with the groups that stand beside them."""

    MDB = "MDB", "Miniature dwarf bearded"
    SDB = "SDB", "Standard dwarf bearded"
    IB = "IB", "Intermediate bearded"
    MTB = "MTB", "Miniature tall bearded"
    BB = "BB", "Border bearded"
    TB = "TB", "Tall bearded"
    AB = "AB", "Arilbred"
    SPECIES = "SPECIES", "Species"


class Plant(Fact):
    """Anything with an identity of its own: cultivar, species, selected seedling, guest."""

    moves_stock = True

    class Kind(models.TextChoices):
        CULTIVAR = "cultivar", "Cultivar"
        SPECIES = "species", "Species"
        SEEDLING = "seedling", "Own selected seedling"
        GUEST = "guest", "Guest under number"

    class Status(models.TextChoices):
        GROWING = "growing", "Growing here"
        WANTED = "wanted", "Wanted"
        GIVEN = "given", "Gone to another garden"
        LOST = "lost", "Lost"
        ABSENT = "absent", "Known from pedigrees only"

    class BloomSeason(models.TextChoices):
        """Season of bloom within the class, as written in descriptions."""

        VERY_EARLY = "VE", "Very early"
        EARLY = "E", "Early"
        EARLY_MID = "EM", "Early to midseason"
        MID = "M", "Midseason"
        MID_LATE = "ML", "Midseason to late"
        LATE = "L", "Late"
        VERY_LATE = "VL", "Very late"

    class Transmission(models.TextChoices):
        """How its sets pair, and so how it passes on its copies; '' goes by class."""

        TETRASOMIC = "tetrasomic", "Tetrasomic: four sets that pair with each other"
        DISOMIC = "disomic", "Disomic: sets pair in twos"
        UNEVEN = "uneven", "Uneven: odd or unlike sets"

    kind = models.CharField(max_length=10, choices=Kind.choices, default=Kind.CULTIVAR)
    name = models.CharField(max_length=80, blank=True)
    number = models.CharField(max_length=40, blank=True)
    folded = models.CharField(max_length=160, editable=False)
    iris_class = models.CharField(max_length=8, choices=IrisClass.choices, blank=True)
    ploidy = models.PositiveSmallIntegerField(null=True, blank=True)
    chromosomes = models.PositiveSmallIntegerField(null=True, blank=True)
    transmission = models.CharField(max_length=10, choices=Transmission.choices, blank=True)
    breeder = models.CharField(max_length=80, blank=True)
    year = models.PositiveSmallIntegerField(null=True, blank=True)
    height_cm = models.PositiveSmallIntegerField(null=True, blank=True)
    season = models.CharField(max_length=2, choices=BloomSeason.choices, blank=True)
    rebloom = models.BooleanField(default=False)
    seed_parent = models.ForeignKey(
        "self", models.PROTECT, null=True, blank=True, related_name="as_seed_parent"
    )
    pollen_parent = models.ForeignKey(
        "self", models.PROTECT, null=True, blank=True, related_name="as_pollen_parent"
    )
    # A parent's name that no plant here answers to yet, or 'unknown' where that is what is known.
    seed_parent_text = models.CharField(max_length=200, blank=True)
    pollen_parent_text = models.CharField(max_length=200, blank=True)
    pattern = models.CharField(max_length=20, blank=True)
    standards = models.CharField(max_length=20, blank=True)
    falls = models.CharField(max_length=20, blank=True)
    styles = models.CharField(max_length=20, blank=True)
    beard = models.CharField(max_length=20, blank=True)
    haft = models.CharField(max_length=20, blank=True)
    rim = models.CharField(max_length=20, blank=True)
    # Written from the colours unless somebody wrote their own.
    description = models.CharField(max_length=600, blank=True)
    description_own = models.BooleanField(default=False)
    status = models.CharField(max_length=10, choices=Status.choices, default=Status.GROWING)
    notes = models.TextField(max_length=4000, blank=True)

    class Meta:
        ordering = ["folded"]
        constraints = [
            models.UniqueConstraint(
                fields=["folded"], condition=Q(struck=False), name="plant_name_once"
            ),
            models.CheckConstraint(condition=~Q(folded=""), name="plant_has_name_or_number"),
            models.CheckConstraint(
                condition=(
                    (Q(seed_parent=None) | ~Q(seed_parent=F("id")))
                    & (Q(pollen_parent=None) | ~Q(pollen_parent=F("id")))
                ),
                name="plant_not_its_own_parent",
            ),
            models.CheckConstraint(
                condition=(
                    (Q(seed_parent=None) | Q(seed_parent_text=""))
                    & (Q(pollen_parent=None) | Q(pollen_parent_text=""))
                ),
                name="plant_parent_linked_or_text",
            ),
            models.CheckConstraint(
                condition=Q(ploidy=None) | Q(ploidy__range=(1, 8)), name="plant_ploidy_possible"
            ),
            models.CheckConstraint(
                condition=Q(height_cm=None) | Q(height_cm__range=(1, 250)),
                name="plant_height_possible",
            ),
            models.CheckConstraint(
                condition=Q(transmission__in=("", "tetrasomic", "disomic", "uneven")),
                name="plant_transmission_known",
            ),
        ]

    def __str__(self) -> str:
        return self.label

    @property
    def label(self) -> str:
        """The name, or the number while there is no name."""
        return self.name or self.number

    def save(self, *args: object, **kwargs: object) -> None:
        self.folded = fold(self.label)
        if kwargs.get("update_fields") is not None:
            kwargs["update_fields"] = {*kwargs["update_fields"], "folded"}
        super().save(*args, **kwargs)

    def recipe_fields(self) -> dict[str, str]:
        """The recorded colours, as the drawn flower takes them."""
        return {name: getattr(self, name) for name in ("pattern", *COLOUR_PARTS)}

    @property
    def has_colours(self) -> bool:
        return bool(self.standards or self.falls)

    def parent(self, side: str) -> Plant | str:
        """The plant on `side` ('seed' or 'pollen'), else the text written for it."""
        return getattr(self, f"{side}_parent") or getattr(self, f"{side}_parent_text")

    @property
    def has_parents(self) -> bool:
        return bool(
            self.seed_parent_id
            or self.pollen_parent_id
            or self.seed_parent_text
            or self.pollen_parent_text
        )

    def misfit(self) -> tuple[str, str] | None:
        """No plant stands among its own ancestors. One query a generation."""
        if self.struck:
            return None
        for side in ("seed_parent", "pollen_parent"):
            parent_id = getattr(self, f"{side}_id")
            if parent_id and self.pk in ancestors(parent_id):
                parent = getattr(self, side)
                return f"{parent} descends from {self}, so it cannot be its parent.", side
        return None


def ancestors(pk: int) -> set[int]:
    """Keys of the plant itself and of all its ancestors. One query a generation."""
    seen: set[int] = set()
    generation = {pk}
    while generation:
        seen |= generation
        pairs = Plant.objects.filter(pk__in=generation).values_list(
            "seed_parent_id", "pollen_parent_id"
        )
        generation = {pk for pair in pairs for pk in pair if pk} - seen
    return seen


class Bed(Fact):
    """A named piece of ground with numbered rows."""

    name = models.CharField(max_length=40)
    folded = models.CharField(max_length=80, editable=False)
    rows = models.PositiveSmallIntegerField(default=1)
    positions = models.PositiveSmallIntegerField(default=40)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["folded"]
        constraints = [
            models.UniqueConstraint(
                fields=["folded"], condition=Q(struck=False), name="bed_name_once"
            ),
            models.CheckConstraint(condition=~Q(folded=""), name="bed_has_name"),
            models.CheckConstraint(
                condition=Q(rows__range=(1, 500)) & Q(positions__range=(1, 5000)),
                name="bed_size_possible",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def save(self, *args: object, **kwargs: object) -> None:
        self.folded = fold(self.name)
        if kwargs.get("update_fields") is not None:
            kwargs["update_fields"] = {*kwargs["update_fields"], "folded"}
        super().save(*args, **kwargs)

    def misfit(self) -> tuple[str, str] | None:
        """Seedlings standing in it find their place. Two queries."""
        standing = self.seedling_rows.filter(struck=False, closed_on=None)
        last = standing.order_by("-row").first()
        if last and last.row > self.rows:
            return f"Seedlings stand in row {last.row}.", "rows"
        last = standing.order_by("-last").first()
        if last and last.last > self.positions:
            return f"Seedlings stand at position {last.last}.", "positions"
        return None


class Placing(Fact):
    """Where a plant stands, with how many increases (fans), from a day on."""

    plant = models.ForeignKey(Plant, models.PROTECT, related_name="placings")
    bed = models.ForeignKey(Bed, models.PROTECT, related_name="placings")
    position = models.CharField(max_length=20, blank=True)
    increases = models.PositiveSmallIntegerField(null=True, blank=True)
    since = models.DateField()
    until = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["-since", "-id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(until=None) | Q(until__gte=F("since")), name="placing_ends_after_start"
            )
        ]

    def __str__(self) -> str:
        return f"{self.bed} {self.position}".strip()
