from __future__ import annotations

from django.apps import AppConfig


class BreedingConfig(AppConfig):
    name = "breeding"
