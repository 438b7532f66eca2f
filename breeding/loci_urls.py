"""Addresses of loci, and of what plants carry at them."""

from __future__ import annotations

from django.urls import path

from breeding.views import copies, loci

urlpatterns = [
    path("loci/", loci.loci, name="loci"),
    path("new-locus/", loci.new, name="locus-new"),
    path("new-locus/type/", loci.one_more_type, name="locus-type"),
    path("new-locus/looks/", loci.looks, name="locus-looks"),
    path("loci/<str:symbol>/", loci.locus, name="locus"),
    path("loci/<str:symbol>/change/", loci.change, name="locus-change"),
    path("loci/<str:symbol>/use/", loci.use, name="locus-use"),
    path("plants/<int:pk>/copies/", copies.plant_copies, name="plant-copies"),
    path("plants/<int:pk>/copies-line/", copies.line, name="copies-line"),
    path("plants/<int:pk>/copies/<str:symbol>/", copies.note, name="note-type"),
]
