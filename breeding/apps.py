from __future__ import annotations

from django.apps import AppConfig
from django.db.models.signals import post_migrate


class BreedingConfig(AppConfig):
    name = "breeding"

    def ready(self) -> None:
        from breeding import labelled
        from breeding.ready import lay_out_loci

        labelled.hand_over()
        post_migrate.connect(lay_out_loci, sender=self)
