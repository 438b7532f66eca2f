"""Photos of candidates: kept with the seedling, and with the plant once it is one."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from evaluation.models import Candidate, CandidatePhoto
from garden.records.photos import keep_photo
from garden.verbs import Act

if TYPE_CHECKING:
    from garden.photos import CleanPhoto


def attach(act: Act, candidate: Candidate, photo: CleanPhoto, day: date) -> CandidatePhoto:
    """Keep a cleaned photo as one of this candidate, within another verb."""
    kept = keep_photo(act, photo, plant=candidate.plant, day=None if photo.taken_on else day)
    return act.make(CandidatePhoto(candidate=candidate, photo=kept))
