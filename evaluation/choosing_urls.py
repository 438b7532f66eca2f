"""Addresses of choosing: the table of candidates, one of them, some side by side, a plot."""

from __future__ import annotations

from django.urls import path

from evaluation.views import candidates, choosing

urlpatterns = [
    path("candidates/", choosing.candidates, name="candidates"),
    path("candidates/compare/", choosing.compare, name="compare"),
    path("candidates/decide/", choosing.decide_many, name="decide-many"),
    path("candidates/plot/", choosing.plot, name="merit-plot"),
    path("candidates/plot.svg", choosing.plot_image, name="merit-plot-image"),
    path("candidates/<int:pk>/", candidates.candidate, name="candidate"),
    path("candidates/<int:pk>/decide/", candidates.decide_one, name="decide"),
]
