"""How readily plants set pods, how many seeds are in them, how many of these come up.

Plain data in, plain data out; counts are partly pooled over the garden, so that one failure is not
a verdict.
"""

from __future__ import annotations

from breeding.fertility.counts import Amount, Attempt, Rate, Sowing, Yield
from breeding.fertility.pods import PodSet, fit_pods
from breeding.fertility.yields import Germination, Seeds, fit_germination, fit_seeds

__all__ = [
    "Amount",
    "Attempt",
    "Germination",
    "PodSet",
    "Rate",
    "Seeds",
    "Sowing",
    "Yield",
    "fit_germination",
    "fit_pods",
    "fit_seeds",
]
