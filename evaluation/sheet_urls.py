"""Addresses of the page of sheets, and of the sheets to walk with."""

from __future__ import annotations

from django.urls import path

from evaluation.views import sheets

urlpatterns = [
    path("sheets/", sheets.sheets, name="sheets"),
    path("rows/<int:pk>/walk.pdf", sheets.row_walk, name="row-walk-pdf"),
    path("beds/<int:pk>/row/<int:number>/walk.pdf", sheets.bed_row_walk, name="bed-row-walk-pdf"),
]
