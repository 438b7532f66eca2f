"""Photos: what is known of a picture whose files lie on the shelf of the data folder."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from garden.models.facts import Fact
from garden.models.stock import Plant
from garden.photos import Shelf


def the_shelf() -> Shelf:
    """Where this garden's photos lie."""
    return Shelf(settings.PHOTOS_DIR)


class Photo(Fact):
    """A picture of a plant, or of something else that refers to it; its files are never erased.

    The same picture may show two things: then it is two photos with one digest and one file.
    """

    # SHA-256 of the cleaned picture: the name of its files.
    digest = models.CharField(max_length=64, db_index=True)
    # Pixels of the large size.
    width = models.PositiveSmallIntegerField()
    height = models.PositiveSmallIntegerField()
    taken_on = models.DateField(null=True, blank=True)
    caption = models.CharField(max_length=200, blank=True)
    plant = models.ForeignKey(Plant, models.PROTECT, null=True, blank=True, related_name="photos")

    class Meta:
        ordering = [F("taken_on").desc(nulls_last=True), "-id"]
        constraints = [
            models.UniqueConstraint(
                fields=["plant", "digest"], condition=Q(struck=False), name="photo_of_plant_once"
            ),
            models.CheckConstraint(
                condition=Q(width__gt=0) & Q(height__gt=0), name="photo_has_a_size"
            ),
            models.CheckConstraint(condition=~Q(digest=""), name="photo_has_files"),
        ]

    def __str__(self) -> str:
        if self.caption:
            return f"“{self.caption}”"
        day = self.taken_on
        return f"of {day.day} {day:%B %Y}" if day else "without a day"

    def dependants(self) -> str:
        """Nothing: what shows a photo stands without it as well."""
        return ""
