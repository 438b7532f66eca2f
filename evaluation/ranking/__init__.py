"""Sums of judging: points, agreement, indices, merit. Plain data in, plain data out."""

from __future__ import annotations
