"""Photos of judged seedlings."""

from __future__ import annotations

from django.db import models

from evaluation.models.judging import Candidate
from garden.models import Fact, Photo


class CandidatePhoto(Fact):
    """That a photo shows a judged seedling; once it is a plant, the photo is the plant's too."""

    candidate = models.ForeignKey(Candidate, models.PROTECT, related_name="photos")
    photo = models.ForeignKey(Photo, models.PROTECT, related_name="candidates")

    class Meta:
        verbose_name = "photo"
        ordering = ["-id"]
        constraints = [models.UniqueConstraint(fields=["photo"], name="candidate_photo_shows_one")]

    def __str__(self) -> str:
        return f"of {self.candidate}"
