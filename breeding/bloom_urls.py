"""Addresses of bloom, pollen and fertility."""

from __future__ import annotations

from django.urls import path

from breeding.views import blooming, pollen

urlpatterns = [
    path("bloom/", blooming.bloom_walk, name="bloom-walk"),
    path("bloom/<int:year>/", blooming.bloom_season, name="bloom-season"),
    path("plants/<int:pk>/bloom/", blooming.plant_bloom, name="plant-bloom"),
    path("plants/<int:pk>/bloom/note/", blooming.bloom_note, name="bloom-note"),
    path("blooms/<int:pk>/correct/", blooming.bloom_correct, name="bloom-correct"),
    path("pollen/", pollen.pollen, name="pollen"),
    path("pollen/new/", pollen.pollen_new, name="pollen-new"),
    path("pollen/<int:pk>/finish/", pollen.pollen_finish, name="pollen-finish"),
    path("fertility/", pollen.fertility, name="fertility"),
]
