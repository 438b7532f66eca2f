"""Addresses of rubrics, of what scores say about scorers and seasons, and of parents."""

from __future__ import annotations

from django.urls import path

from evaluation.views import effects, rubrics

urlpatterns = [
    path("rubrics/", rubrics.rubrics, name="rubrics"),
    path("rubrics/new/", rubrics.new, name="rubric-new"),
    path("rubrics/criterion/", rubrics.criterion, name="rubric-criterion"),
    path("rubrics/<int:pk>/", rubrics.rubric, name="rubric"),
    path("rubrics/<int:pk>/change/", rubrics.change, name="rubric-change"),
    path("rubrics/<int:pk>/preview/", rubrics.preview_change, name="rubric-preview"),
    path("judging/scorers/", effects.scorers, name="scorers"),
    path("judging/parents/", effects.worths, name="worths"),
]
