"""A bloom stalk: its buds by socket, how long it blooms, and its picture. Free of Django."""

from __future__ import annotations

from evaluation.stalk.stalk import Stalk, StalkError, format_stalk, parse_stalk

__all__ = ["Stalk", "StalkError", "format_stalk", "parse_stalk"]
