"""Addresses of the thread's sheets to print."""

from __future__ import annotations

from django.urls import path

from breeding.views import sheets

urlpatterns = [
    path("beds/<int:pk>/map.pdf", sheets.bed_map, name="bed-map-pdf"),
    path("to-cross.pdf", sheets.to_cross, name="to-cross-pdf"),
    path("seasons/<int:year>/season.pdf", sheets.season, name="season-pdf"),
]
