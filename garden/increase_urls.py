"""Addresses of increase, guests in other gardens and what is offered."""

from __future__ import annotations

from django.urls import path

from garden.views import guests, increase, introducing

urlpatterns = [
    path("increase/", increase.increase, name="increase"),
    path("increase/count/", increase.stock_walk, name="stock-walk"),
    path("increase/counts/<int:pk>/correct/", increase.correct_count, name="stock-count-correct"),
    path("increase/taken/<int:pk>/correct/", increase.correct_gone, name="taken-correct"),
    path("plants/<int:pk>/increase/", increase.plant_increase, name="plant-increase"),
    path("plants/<int:pk>/count/", increase.count, name="count-stock"),
    path("plants/<int:pk>/take-out/", increase.take, name="take-out"),
    path("guests/", guests.guests, name="guests"),
    path("guests/new/", guests.new, name="guest-new"),
    path("guests/<int:pk>/", guests.news, name="guest-news"),
    path("guests/<int:pk>/correct/", guests.correct, name="guest-correct"),
    path("introductions/new/", introducing.new, name="introduction-new"),
    path("introductions/<int:pk>/change/", introducing.change, name="introduction-change"),
    path("introductions/<int:pk>/withdraw/", introducing.withdraw, name="introduction-withdraw"),
]
