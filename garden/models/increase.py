"""Stock counted by place and year, what left it, guests in other gardens, introductions."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q

from garden.models.facts import Fact
from garden.models.photos import Photo
from garden.models.stock import Bed, Plant
from garden.names import fold

MOST_FANS = 100_000


def spot_of(bed: Bed | int | None, position: str = "", elsewhere: str = "") -> str:
    """The same word for the same place: '3|4', '|potted'; '' for no place at all.

    Positions and places are compared as names are: without regard to case, accents and signs.
    """
    key = getattr(bed, "pk", bed)
    if key is None:
        return f"|{fold(elsewhere)}" if fold(elsewhere) else ""
    return f"{key}|{fold(position)}"


class AtSpot(Fact):
    """Something of a plant at a place: a bed with a position, or words such as 'potted'."""

    plant = models.ForeignKey(Plant, models.PROTECT, related_name="%(class)ss")
    bed = models.ForeignKey(Bed, models.PROTECT, null=True, blank=True, related_name="%(class)ss")
    position = models.CharField(max_length=20, blank=True)
    elsewhere = models.CharField(max_length=40, blank=True)
    spot = models.CharField(max_length=100, editable=False, blank=True)
    day = models.DateField()
    number = models.PositiveIntegerField()
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        abstract = True

    @property
    def place(self) -> str:
        """The place in words. May query the bed."""
        return f"{self.bed} {self.position}".strip() if self.bed_id else self.elsewhere

    def save(self, *args: object, **kwargs: object) -> None:
        self.spot = spot_of(self.bed_id, self.position, self.elsewhere)
        if kwargs.get("update_fields") is not None:
            kwargs["update_fields"] = {*kwargs["update_fields"], "spot"}
        super().save(*args, **kwargs)


class StockCount(AtSpot):
    """So many fans of a plant stood in one place on one day."""

    class Meta:
        verbose_name = "count"
        ordering = ["day", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["plant", "spot", "day"],
                condition=Q(struck=False),
                name="stock_count_of_a_day_once",
            ),
            models.CheckConstraint(condition=~Q(spot=""), name="stock_count_has_place"),
            models.CheckConstraint(condition=Q(number__lte=MOST_FANS), name="stock_count_possible"),
        ]

    def __str__(self) -> str:
        return f"of {self.number} in {self.place} on {self.day}"


class StockTaken(AtSpot):
    """So many fans that left a place between two counts, and what became of them; of those sent to
    another garden `guest` tells more."""

    class Fate(models.TextChoices):
        LINED_OUT = "lined", "Lined out here"
        SOLD = "sold", "Sold"
        GIVEN = "given", "Given away"
        SENT = "sent", "Sent as a guest"
        LOST = "lost", "Lost"

    fate = models.CharField(max_length=5, choices=Fate.choices)
    # Gone before the count of the same day, which does not hold them any more.
    before_count = models.BooleanField(default=False)
    guest = models.ForeignKey(
        "GuestSent", models.PROTECT, null=True, blank=True, related_name="taken"
    )

    class Meta:
        verbose_name = "taking"
        ordering = ["day", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(number__range=(1, MOST_FANS)), name="stock_taken_possible"
            ),
            models.UniqueConstraint(
                fields=["guest"],
                condition=Q(struck=False, guest__isnull=False),
                name="stock_taken_for_guest_once",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_fate_display().lower()}: {self.number} on {self.day}"


class GuestSent(Fact):
    """Plants that went to another garden, and on what terms; `ended_on` when nothing is open."""

    class Terms(models.TextChoices):
        TEST = "test", "To be tested"
        TRADE = "trade", "Traded"
        SALE = "sale", "Sold"

    plant = models.ForeignKey(Plant, models.PROTECT, related_name="guests")
    garden_name = models.CharField(max_length=80)
    terms = models.CharField(max_length=5, choices=Terms.choices)
    number = models.PositiveIntegerField()
    sent_on = models.DateField()
    note = models.CharField(max_length=400, blank=True)
    ended_on = models.DateField(null=True, blank=True)

    class Meta:
        verbose_name = "guest"
        ordering = ["sent_on", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(number__range=(1, MOST_FANS)), name="guest_number_possible"
            ),
            models.CheckConstraint(condition=~Q(garden_name=""), name="guest_went_somewhere"),
            models.CheckConstraint(
                condition=Q(ended_on=None) | Q(ended_on__gte=F("sent_on")),
                name="guest_ends_after_sending",
            ),
        ]
        indexes = [
            models.Index(
                fields=["sent_on"], condition=Q(struck=False, ended_on=None), name="guest_open"
            )
        ]

    def __str__(self) -> str:
        return f"{self.plant} at {self.garden_name}"


class GuestNews(Fact):
    """What came back of a guest on a day: words, plants, or both."""

    guest = models.ForeignKey(GuestSent, models.PROTECT, related_name="news")
    day = models.DateField()
    report = models.CharField(max_length=1000, blank=True)
    returned = models.PositiveIntegerField(default=0)

    class Meta:
        verbose_name = "report"
        ordering = ["day", "id"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(report="") | Q(returned__gt=0), name="guest_news_tells_something"
            ),
            models.CheckConstraint(
                condition=Q(returned__lte=MOST_FANS), name="guest_returned_possible"
            ),
        ]

    def __str__(self) -> str:
        return f"of {self.day}"


class Introduction(Fact):
    """A plant offered in a year: price, number, description and picture, in the list's order."""

    plant = models.ForeignKey(Plant, models.PROTECT, related_name="introductions")
    year = models.PositiveSmallIntegerField()
    price = models.DecimalField(max_digits=8, decimal_places=2, null=True, blank=True)
    currency = models.CharField(max_length=12, blank=True)
    quantity = models.PositiveIntegerField(null=True, blank=True)
    # Empty: the plant's own description.
    description = models.CharField(max_length=1000, blank=True)
    # Without one the flower is drawn.
    photo = models.ForeignKey(
        Photo, models.PROTECT, null=True, blank=True, related_name="introductions"
    )
    place = models.PositiveSmallIntegerField(default=1)

    class Meta:
        ordering = ["-year", "place", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["plant", "year"], condition=Q(struck=False), name="introduction_once_a_year"
            ),
            models.CheckConstraint(
                condition=Q(year__range=(1900, 2100)), name="introduction_year_possible"
            ),
            models.CheckConstraint(
                condition=Q(price=None) | Q(price__gte=0) & ~Q(currency=""),
                name="introduction_price_has_currency",
            ),
            models.CheckConstraint(
                condition=Q(quantity=None) | Q(quantity__lte=MOST_FANS),
                name="introduction_quantity_possible",
            ),
        ]

    def __str__(self) -> str:
        return f"of {self.plant} in {self.year}"

    @property
    def words(self) -> str:
        """What is said of it in the list."""
        return self.description or self.plant.description

    @property
    def shown_photo(self) -> Photo | None:
        """The photo chosen, unless it was struck out since."""
        return self.photo if self.photo_id and not self.photo.struck else None
