"""Addresses of the list of introductions, its catalogue and its table."""

from __future__ import annotations

from django.urls import path

from breeding.views import introductions

urlpatterns = [
    path("introductions/", introductions.introductions, name="introductions"),
    path("introductions/<int:year>/", introductions.catalogue, name="catalogue"),
    path("introductions/<int:year>/catalogue.pdf", introductions.sheet, name="catalogue-pdf"),
    path("introductions/<int:year>/introductions.csv", introductions.rows, name="catalogue-csv"),
]
