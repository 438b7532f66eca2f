"""Addresses on the way to a name: proposed names, measures, the registration dossier."""

from __future__ import annotations

from django.urls import path

from evaluation.views import dossier, names

urlpatterns = [
    path("names/", names.names, name="names"),
    path("names/told/", names.told, name="name-told"),
    path("names/<int:pk>/drop/", names.drop, name="name-drop"),
    path("names/<int:pk>/give/", names.give, name="name-give"),
    path("plants/<int:pk>/names/", names.plant_names, name="plant-names"),
    path("plants/<int:pk>/names/propose/", names.propose, name="name-propose"),
    path("plants/<int:pk>/measure/", names.measured, name="measure"),
    path("plants/<int:pk>/dossier/", dossier.dossier, name="dossier"),
    path("plants/<int:pk>/dossier.pdf", dossier.dossier_sheet, name="dossier-pdf"),
]
