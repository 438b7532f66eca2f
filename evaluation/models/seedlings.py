"""Seedlings: plants at one position of a row, known by a letter once somebody selects them."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from breeding.models import Cross, Row
from garden.models import Fact, Plant


class Seedling(Fact):
    """A seedling selected at one position of a row, `26-014C`, with the plant it became."""

    cross = models.ForeignKey(Cross, models.PROTECT, related_name="seedlings")
    row = models.ForeignKey(Row, models.PROTECT, related_name="seedlings_selected")
    position = models.PositiveIntegerField()
    letter = models.CharField(max_length=4)
    code = models.CharField(max_length=16, unique=True)
    selected_on = models.DateField()
    reason = models.CharField(max_length=400, blank=True)
    plant = models.ForeignKey(Plant, models.PROTECT, related_name="seedlings")

    class Meta:
        ordering = ["cross", "id"]
        constraints = [
            models.UniqueConstraint(fields=["cross", "letter"], name="seedling_letter_once"),
            models.UniqueConstraint(
                fields=["row", "position"],
                condition=Q(struck=False),
                name="seedling_position_once",
            ),
            models.UniqueConstraint(
                fields=["plant"], condition=Q(struck=False), name="seedling_plant_once"
            ),
        ]

    def __str__(self) -> str:
        return self.code
