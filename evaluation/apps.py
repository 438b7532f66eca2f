from __future__ import annotations

from django.apps import AppConfig
from django.db.models.signals import post_migrate


class EvaluationConfig(AppConfig):
    name = "evaluation"

    def ready(self) -> None:
        from breeding.worths import judged_by
        from evaluation import labelled
        from evaluation.ready import lay_out_rubrics
        from evaluation.worthiness import JUDGE

        judged_by(JUDGE)
        labelled.hand_over()
        post_migrate.connect(lay_out_rubrics, sender=self)
