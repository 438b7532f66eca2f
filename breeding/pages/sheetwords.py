"""Words and flowers of the record as sheets take them."""

from __future__ import annotations

from breeding.models import Cross
from garden.flower import Recipe
from garden.models import Plant

UNKNOWN_POLLEN = "unknown (bee pod)"


def recipe_of(plant: Plant | None) -> Recipe | None:
    """The flower of a plant whose colours are recorded."""
    if plant is None or not plant.has_colours:
        return None
    return Recipe.from_mapping(plant.recipe_fields())


def pollen_of(cross: Cross) -> str:
    """The pollen parent's name, or that nobody knows it."""
    return cross.pollen_parent.label if cross.pollen_parent else UNKNOWN_POLLEN


def parents_of(cross: Cross) -> str:
    """'Quillon Teapot × Marzipan Ledger'."""
    return f"{cross.seed_parent.label} × {pollen_of(cross)}"
