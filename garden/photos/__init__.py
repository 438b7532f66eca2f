"""Photos: cleaned when they come in, kept as files under their own digest. Free of Django.

What decodes pictures is loaded with the first photo, so that the garden opens quickly.
"""

from __future__ import annotations

from typing import BinaryIO

from garden.photos.plain import (
    MOST_BYTES,
    MOST_PIXELS,
    SIZES,
    CleanPhoto,
    PhotoRefused,
    plausible_day,
)
from garden.photos.shelf import Shelf

__all__ = [
    "MOST_BYTES",
    "MOST_PIXELS",
    "SIZES",
    "CleanPhoto",
    "PhotoRefused",
    "Shelf",
    "clean",
    "plausible_day",
]


def clean(source: bytes | BinaryIO) -> CleanPhoto:
    """A photo as it may be kept; see `garden.photos.cleaning.cleaned`, which does it."""
    from garden.photos.cleaning import cleaned

    return cleaned(source)
