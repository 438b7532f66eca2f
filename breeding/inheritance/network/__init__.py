"""Inference in networks of discrete variables: exact where it can be, else approximate and said so.

Nothing here knows of plants. Loads numpy: import it where it is used.
"""

from __future__ import annotations

from breeding.inheritance.network.approximate import approximate
from breeding.inheritance.network.beliefs import Beliefs
from breeding.inheritance.network.exact import exact
from breeding.inheritance.network.factors import Factor, Impossible, Network
from breeding.inheritance.network.ordering import TooWide
from breeding.inheritance.network.simplifying import Simplified, simplify
from breeding.inheritance.network.solving import solve

__all__ = [
    "Beliefs",
    "Factor",
    "Impossible",
    "Network",
    "Simplified",
    "TooWide",
    "approximate",
    "exact",
    "simplify",
    "solve",
]
