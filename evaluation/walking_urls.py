"""Addresses of the walk along the rows, and of scoring."""

from __future__ import annotations

from django.urls import path

from evaluation.views import scoring, walking

urlpatterns = [
    path("judging/", walking.judging, name="judging"),
    path("rows/<int:pk>/walk/", walking.walk_row, name="walk-row"),
    path("rows/<int:pk>/<int:position>/", walking.row_at, name="row-at"),
    path("rows/<int:pk>/<int:position>/score/", scoring.score_seedling, name="score-seedling"),
    path("plants/<int:pk>/score/", scoring.score_plant, name="score-plant"),
    path("scores/<int:pk>/correct/", scoring.correct, name="score-correct"),
]
