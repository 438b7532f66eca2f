"""When plants bloom: their places in the season, this year's shift, who is open with whom.

Plain data in, plain data out; days are day numbers within the garden's season.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from breeding.flowering.fitting import fit
from breeding.flowering.letters import place_of_letters
from breeding.flowering.notes import Noted, Overlap, Place, Shift, Waiting

if TYPE_CHECKING:
    from breeding.flowering.flowering import Flowering

__all__ = [
    "Flowering",
    "Noted",
    "Overlap",
    "Place",
    "Shift",
    "Waiting",
    "fit",
    "place_of_letters",
]


def __getattr__(name: str) -> Any:
    """`Flowering` brings numpy along, and is loaded when it is asked for."""
    if name == "Flowering":
        from breeding.flowering.flowering import Flowering

        return Flowering
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
