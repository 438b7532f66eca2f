"""The small flower on paper: its outlines as vectors, one form for each recipe."""

from __future__ import annotations

from garden.flower.onpaper import flower_forms

__all__ = ["flower_forms"]
