"""The parentage of a plant as it stands in a registration."""

from __future__ import annotations

from breeding.pedigrees import behind, parentage_in_words
from garden.models import Plant

# Generations that are written at most; named plants end their branch long before.
DEPTH = 6


def parentage_of(plant: Plant) -> str:
    """'14-031C: (A × B) × C', without the plant's own label; '' when nothing is recorded.

    At most one query a generation.
    """
    return parentage_in_words(behind([plant.pk], DEPTH), plant.pk, DEPTH)
