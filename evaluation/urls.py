"""Addresses of seedlings."""

from __future__ import annotations

from django.urls import path

from evaluation import views

urlpatterns = [
    path("rows/<int:pk>/select/", views.select, name="select-seedling"),
    path("seedlings/<str:code>/", views.seedling, name="seedling"),
    path("seedlings/<str:code>/correct/", views.correct, name="seedling-correct"),
]
