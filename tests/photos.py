"""Pictures that the tests draw themselves: sizes, colours and what a camera writes into a file."""

from __future__ import annotations

import io
import struct
import uuid
import zlib
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from PIL import ExifTags, Image, ImageDraw

from tests.cast import Stock

VIOLET, GREEN = (96, 40, 130), (60, 120, 60)
TAKEN = "2024:06:03 07:12:09"


def drawn(size: tuple[int, int] = (400, 300), mode: str = "RGB", fall: Any = VIOLET) -> Image.Image:
    """A green ground with the upper left quarter in the colour of a fall."""
    picture = Image.new("RGB", size, GREEN)
    ImageDraw.Draw(picture).rectangle((0, 0, size[0] // 2, size[1] // 2), fill=fall)
    return picture.convert(mode, palette=Image.Palette.ADAPTIVE)


def camera(turn: int = 1, taken: str = TAKEN) -> Image.Exif:
    """What a phone writes: its maker, the orientation, the day, and where it was."""
    exif = Image.Exif()
    exif[ExifTags.Base.Make] = "Invented Camera Works"
    exif[ExifTags.Base.Orientation] = turn
    if taken:
        exif.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.DateTimeOriginal] = taken
    place = exif.get_ifd(ExifTags.IFD.GPSInfo)
    place[ExifTags.GPS.GPSLatitudeRef], place[ExifTags.GPS.GPSLatitude] = "N", (51.0, 2.0, 3.0)
    return exif


def encoded(picture: Image.Image, kind: str = "JPEG", **options: Any) -> bytes:
    written = io.BytesIO()
    picture.save(written, kind, **options)
    return written.getvalue()


def heic(picture: Image.Image, **options: Any) -> bytes:
    import pillow_heif

    written = io.BytesIO()
    pillow_heif.from_pillow(picture).save(written, **options)
    return written.getvalue()


def bomb(width: int = 20_000, height: int = 20_000) -> bytes:
    """A small PNG that is an enormous black square once it is decoded."""

    def chunk(name: bytes, data: bytes) -> bytes:
        check = struct.pack(">I", zlib.crc32(name + data))
        return struct.pack(">I", len(data)) + name + data + check

    packer, row = zlib.compressobj(9), bytes(-(-width // 8) + 1)
    packed = b"".join(packer.compress(row) for _ in range(height)) + packer.flush()
    head = struct.pack(">IIBBBBB", width, height, 1, 0, 0, 0, 0)
    parts = ((b"IHDR", head), (b"IDAT", packed), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(chunk(*part) for part in parts)


def upload(content: bytes | None = None, name: str = "image.jpg") -> SimpleUploadedFile:
    """A file as a phone sends it: every photo has the same name."""
    sent = encoded(drawn(), exif=camera()) if content is None else content
    return SimpleUploadedFile(name, sent, content_type="image/jpeg")


def file_of(photo: Any, size: str = "small") -> str:
    return reverse("photo-file", args=[photo.digest, size])


def send(client: Client, stock: Stock, file: Any = None, **fields: Any) -> Any:
    """Send the form of a photo of the teapot."""
    sent = {"entry": str(uuid.uuid4()), "caption": "", "day": "", **fields}
    if file is not None:
        sent["photo"] = file
    return client.post(reverse("photo-new", args=[stock.teapot.pk]), sent)
