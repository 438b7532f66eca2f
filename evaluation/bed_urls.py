"""Addresses of the page in the bed."""

from __future__ import annotations

from django.urls import path

from evaluation.views import bed

urlpatterns = [
    path("bed/", bed.bed, name="in-bed"),
    path("bed/lists/<str:name>/", bed.bed_list, name="bed-list"),
]
