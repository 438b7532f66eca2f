"""Addresses of judging and of seedlings."""

from __future__ import annotations

from django.urls import include, path

from evaluation.views import seedlings

urlpatterns = [
    path("rows/<int:pk>/select/", seedlings.select, name="select-seedling"),
    path("seedlings/<str:code>/", seedlings.seedling, name="seedling"),
    path("seedlings/<str:code>/correct/", seedlings.correct, name="seedling-correct"),
    path("", include("evaluation.bed_urls")),
    path("", include("evaluation.walking_urls")),
    path("", include("evaluation.choosing_urls")),
    path("", include("evaluation.lists_urls")),
    path("", include("evaluation.rubrics_urls")),
    path("", include("evaluation.sheet_urls")),
    path("", include("evaluation.naming_urls")),
]
