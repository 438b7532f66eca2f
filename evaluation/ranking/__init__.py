"""Sums of judging: points, agreement, merit. Free of Django."""

from __future__ import annotations
