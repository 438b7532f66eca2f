"""What the spade does in the rows, as plain data, drawn strips and printed sheets.

Free of Django; the sheets load reportlab, so they are imported where one is asked for.
"""

from __future__ import annotations

from evaluation.spadework.rows import Chunk, Fate, SpadeBed, SpadeRow, Spot, Stray
from evaluation.spadework.strip import draw_key, draw_strip

__all__ = ["Chunk", "Fate", "SpadeBed", "SpadeRow", "Spot", "Stray", "draw_key", "draw_strip"]
