"""The journal, and taking back a line of it."""

from __future__ import annotations
