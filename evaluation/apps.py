from __future__ import annotations

from django.apps import AppConfig


class EvaluationConfig(AppConfig):
    name = "evaluation"
