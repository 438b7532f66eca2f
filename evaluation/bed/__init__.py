"""What the page 'In the bed' takes along on the phone: lists of the garden, in short rows."""

from __future__ import annotations
