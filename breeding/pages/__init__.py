"""What the pages of bloom, copies, expectations and plans show, from the record and the sums."""

from __future__ import annotations
