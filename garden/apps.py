from __future__ import annotations

from django.apps import AppConfig


class GardenConfig(AppConfig):
    name = "garden"
