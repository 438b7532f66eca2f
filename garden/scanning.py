"""Codes read out of a photo, in any place and turn of it. Free of Django.

ISO/IEC 18004 is read by zxing-cpp, which is loaded with the first photo.
"""

from __future__ import annotations

import io
from typing import Any, BinaryIO

from garden.photos import MOST_BYTES, PhotoRefused, clean

# Longest side at which a photo is looked at a second time: a small code from further away.
FINE = 3_600
MOST_CODES = 12


def codes_in(source: bytes | BinaryIO) -> list[str]:
    """The texts of the codes that a photo shows, from the upper left on, each once.

    Raises
    ------
    PhotoRefused
        Too large, damaged, or no photo, by the same limits as any photo of the garden.
    """
    content = source if isinstance(source, bytes) else source.read(MOST_BYTES + 1)
    # Checked and made smaller first: most codes are found in that, and only a sound photo goes on.
    small = clean(content).files["large"]
    return _read(small) or _read(content)


def _read(content: bytes) -> list[str]:
    import zxingcpp
    from PIL import Image, ImageOps

    from garden.photos.cleaning import AT_ONCE, BROKEN

    try:
        with AT_ONCE, _opened(content) as image:
            image.draft("L", (FINE, FINE))
            image.thumbnail((FINE, FINE), Image.Resampling.BILINEAR)
            grey = ImageOps.autocontrast(image.convert("L"), cutoff=1)
            wanted = zxingcpp.BarcodeFormats([zxingcpp.BarcodeFormat.QRCode])
            found = zxingcpp.read_barcodes(grey, formats=wanted)
    except BROKEN as error:
        raise PhotoRefused("This photo cannot be read: take another one.") from error
    found = sorted(found, key=lambda one: (one.position.top_left.y, one.position.top_left.x))
    return list(dict.fromkeys(one.text for one in found if one.text))[:MOST_CODES]


def _opened(content: bytes) -> Any:
    """A photo that was found to be sound, to be decoded: Pillow's Image."""
    from PIL import Image

    from garden.photos.kinds import kind_of

    kind = kind_of(content)
    if kind == "HEIC":
        from pillow_heif import HeifImageFile

        return HeifImageFile(io.BytesIO(content))  # type: ignore[no-untyped-call]
    return Image.open(io.BytesIO(content), formats=[kind])
