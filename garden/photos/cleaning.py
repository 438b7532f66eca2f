"""Cleaning a photo: checked by its header, decoded once, turned upright, only its pixels kept."""

from __future__ import annotations

import io
import struct
import warnings
import zlib
from datetime import date
from threading import BoundedSemaphore
from typing import BinaryIO

from PIL import ExifTags, Image, ImageCms, ImageOps, UnidentifiedImageError

from garden.photos.kinds import UNREADABLE, kind_of, webp_size
from garden.photos.plain import (
    MOST_BYTES,
    MOST_PIXELS,
    SIZES,
    CleanPhoto,
    PhotoRefused,
    plausible_day,
)

warnings.simplefilter("error", Image.DecompressionBombWarning)
# A decoded photo is large: so many at a time, however many are sent.
AT_ONCE = BoundedSemaphore(2)
LEAST_SIDE = 16
QUALITY = {"large": 85, "middle": 80, "small": 80}
DAMAGED = "This photo is damaged or not complete; choose it again, or another one."
TOO_LARGE = f"This file is larger than {MOST_BYTES // 1_000_000} MB. Send a smaller photo."
# What decoders raise at bytes that are not what they seem.
BROKEN = (
    OSError, SyntaxError, ValueError, EOFError, RuntimeError, LookupError, TypeError,
    AttributeError, AssertionError, OverflowError, MemoryError, Warning, struct.error,
    zlib.error,
)  # fmt: skip
UPRIGHT = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}


def cleaned(source: bytes | BinaryIO) -> CleanPhoto:
    """A photo of at most 15 MB and 60 megapixels, without anything in it but what it shows.

    Upright, in sRGB, as JPEG in three sizes; of several frames the first. Everything written into
    the file is gone: place, camera, comments, colour profile. The same bytes give the same photo.

    Raises
    ------
    PhotoRefused
        Empty, too large, no JPEG, PNG, WebP or HEIC by its content, or damaged.
    """
    content = source if isinstance(source, bytes) else source.read(MOST_BYTES + 1)
    if not content:
        raise PhotoRefused("This file is empty.")
    if len(content) > MOST_BYTES:
        raise PhotoRefused(TOO_LARGE)
    kind = kind_of(content)
    try:
        with _opened(content, kind) as image:
            _check_size(image.size)
            taken_on, turn = _told(image)
            with AT_ONCE:
                return _kept(_shrunk(image, turn), taken_on)
    except PhotoRefused:
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise _too_many() from None
    except BROKEN as error:
        raise PhotoRefused(DAMAGED) from error


def _opened(content: bytes, kind: str) -> Image.Image:
    """The picture, its header read and nothing decoded."""
    if kind == "WEBP":
        _check_size(webp_size(content))
    if kind == "HEIC":
        from pillow_heif import HeifImageFile

        return HeifImageFile(io.BytesIO(content))  # type: ignore[no-untyped-call]
    try:
        return Image.open(io.BytesIO(content), formats=[kind])
    except UnidentifiedImageError:
        raise PhotoRefused(DAMAGED if len(content) > 64 else UNREADABLE) from None


def _too_many() -> PhotoRefused:
    most = MOST_PIXELS // 1_000_000
    return PhotoRefused(f"This photo has more than {most} megapixels. Send a smaller one.")


def _check_size(size: tuple[int, int]) -> None:
    if size[0] * size[1] > MOST_PIXELS:
        raise _too_many()
    if 0 < min(size) < LEAST_SIDE:
        raise PhotoRefused("This picture is too small to show anything.")


def _told(image: Image.Image) -> tuple[date | None, int]:
    """The day it was taken and its orientation, as the camera wrote them; None and 1 if not."""
    turn = 1
    try:
        exif = image.getexif()
        turn = exif.get(ExifTags.Base.Orientation, 1)
        written = exif.get_ifd(ExifTags.IFD.Exif).get(ExifTags.Base.DateTimeOriginal, "")
        year, month, day = (int(part) for part in str(written)[:10].split(":"))
    except BROKEN:
        return None, turn
    return plausible_day(year, month, day, date.today()), turn


def _shrunk(image: Image.Image, turn: int) -> Image.Image:
    """The large size: decoded, in three colours of sRGB on white, upright."""
    most = SIZES["large"]
    profile = image.info.get("icc_profile")
    factor = min(1.0, most / max(image.size))
    target = (max(1, round(image.width * factor)), max(1, round(image.height * factor)))
    # A JPEG decodes to a half, a quarter or an eighth much quicker than in full.
    image.draft(None, target)
    image.load()
    _check_size(image.size)
    plain = _resizable(image)
    if plain.size != target:
        plain = plain.resize(target, Image.Resampling.LANCZOS, reducing_gap=3.0)
    plain = _in_srgb(plain, profile)
    return plain.transpose(UPRIGHT[turn]) if turn in UPRIGHT else plain


def _resizable(image: Image.Image) -> Image.Image:
    """The same picture in a mode whose neighbouring values may be mixed."""
    if image.mode in ("P", "PA"):
        return image.convert("RGBA" if "transparency" in image.info else "RGB")
    if image.mode in ("LA", "La", "RGBa"):
        return image.convert("RGBA")
    if image.mode.startswith("I;16"):
        return image.convert("I").point(lambda value: value / 256).convert("L")
    if image.mode in ("I", "F"):
        return image.point(lambda value: value / 256).convert("L")
    if image.mode in ("1", "HSV", "YCbCr"):
        return image.convert("RGB")
    return image


def _in_srgb(image: Image.Image, profile: bytes | None) -> Image.Image:
    """New pixels on white paper, in sRGB; by the picture's own profile where that can be read."""
    alpha = None
    if image.mode == "RGBA":
        alpha = image.getchannel("A")
        image = image.convert("RGB")
    if profile:
        try:
            own = ImageCms.ImageCmsProfile(io.BytesIO(profile))
            srgb = ImageCms.createProfile("sRGB")
            turned = ImageCms.profileToProfile(image, own, srgb, outputMode="RGB")
        except (ImageCms.PyCMSError, *BROKEN):
            turned = None
        image = turned or image
    paper = Image.new("RGB", image.size, "white")
    paper.paste(image.convert("RGB"), mask=alpha)
    return paper


def _kept(large: Image.Image, taken_on: date | None) -> CleanPhoto:
    side = min(SIZES["small"], *large.size)
    middle = large.copy()
    middle.thumbnail((SIZES["middle"], SIZES["middle"]), Image.Resampling.LANCZOS)
    small = ImageOps.fit(large, (side, side), Image.Resampling.LANCZOS)
    pictures = {"large": large, "middle": middle, "small": small}
    files = {size: _jpeg(picture, QUALITY[size]) for size, picture in pictures.items()}
    return CleanPhoto(files, *large.size, taken_on)


def _jpeg(picture: Image.Image, quality: int) -> bytes:
    written = io.BytesIO()
    picture.save(written, "JPEG", quality=quality, optimize=True, progressive=True)
    return written.getvalue()
