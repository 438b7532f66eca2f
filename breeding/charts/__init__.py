"""Pedigree charts: ancestors, descendants and the web of one cross. Free of Django."""

from __future__ import annotations

from breeding.charts.model import Chart, Edge, Mark, Place, Plantlet
from breeding.charts.trees import ancestors_chart, descendants_chart
from breeding.charts.webs import web_chart

__all__ = [
    "Chart",
    "Edge",
    "Mark",
    "Place",
    "Plantlet",
    "ancestors_chart",
    "descendants_chart",
    "web_chart",
]
