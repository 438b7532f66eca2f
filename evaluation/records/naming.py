"""How a candidate and the plant that it became are kept together."""

from __future__ import annotations

from evaluation.models import Candidate, CandidatePhoto, Seedling
from garden.models import Photo, Plant
from garden.verbs import Act


def name_candidate(act: Act, candidate: Candidate, plant: Plant | None) -> None:
    """The candidate is that plant from now on; its photos are the plant's as well."""
    act.change(candidate, plant=plant)
    shown = CandidatePhoto.live.filter(candidate=candidate).values("photo")
    for photo in Photo.live.filter(pk__in=shown):
        act.change(photo, plant=plant)


def follow(act: Act, seedling: Seedling) -> None:
    """A selected seedling stands at another position than was written: its scores go along.

    What was noted at the right position under no letter stays there, and counts for the plant.
    """
    named = Candidate.live.filter(plant=seedling.plant_id).first()
    there = Candidate.live.filter(row=seedling.row_id, position=seedling.position).first()
    if there is None and named is not None:
        act.change(named, position=seedling.position)
    elif there is not None and there != named:
        if named is not None:
            name_candidate(act, named, None)
        name_candidate(act, there, seedling.plant)
