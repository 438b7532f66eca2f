from __future__ import annotations

from django.apps import AppConfig
from django.db.backends.signals import connection_created


class GardenConfig(AppConfig):
    name = "garden"

    def ready(self) -> None:
        from garden.reaching import look_at

        connection_created.connect(look_at)
