"""Addresses of what can be carried away."""

from __future__ import annotations

from django.urls import path

from breeding.views import outgoing

urlpatterns = [
    path("out/", outgoing.everything, name="everything-out"),
    path("out/haftbook.zip", outgoing.whole_folder, name="out-folder"),
    path("out/haftbook.json", outgoing.whole_onefile, name="out-onefile"),
    path("out/passport.csv", outgoing.passport, name="out-passport"),
    path("out/pedigree.csv", outgoing.pedigree_table, name="out-pedigree"),
    path("out/pedigree.graphml", outgoing.pedigree_graph, name="out-graph"),
]
