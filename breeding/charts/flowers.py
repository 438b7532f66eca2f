"""The small drawn flower taken apart, so that a chart can share its petals among all flowers."""

from __future__ import annotations

from garden.flower.petals import GROUP, petals

__all__ = ["GROUP", "petals"]
