"""Photos of every kind that is taken in: nothing of what was written into the file stays."""

from __future__ import annotations

import io

import pytest
from PIL import Image, ImageCms, PngImagePlugin

from garden.photos import clean
from tests.photos import camera, drawn, heic

SECRET = b"<x:xmpmeta>mill race, 51.034 N</x:xmpmeta>"
REMAINS = (b"Exif", b"mill", b"ICC_PROFILE", b"http", b"GPS", b"xmp", b"Invented", b"ftyp")
HARMLESS = {"jfif", "jfif_version", "jfif_unit", "jfif_density", "progressive", "progression"}


def telling(kind: str) -> bytes:
    """A photo whose file tells its place, its camera, a comment and a profile."""
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    picture, file = drawn((400, 300)), io.BytesIO()
    told = {"exif": camera(), "icc_profile": profile}
    if kind == "PNG":
        words = PngImagePlugin.PngInfo()
        words.add_itxt("XML:com.adobe.xmp", SECRET.decode())
        words.add_text("Comment", "mill race", zip=False)
        picture.save(file, "PNG", pnginfo=words, **told)
    elif kind == "HEIC":
        return heic(picture, exif=camera().tobytes(), xmp=SECRET, icc_profile=profile)
    elif kind == "MPO":
        picture.save(file, "MPO", save_all=True, append_images=[picture], xmp=SECRET, **told)
    else:
        picture.save(file, kind, xmp=SECRET, **told)
    return file.getvalue()


@pytest.mark.parametrize("kind", ["JPEG", "MPO", "PNG", "WEBP", "HEIC"])
def test_clean__leaves_nothing_of_what_a_file_tells(kind: str) -> None:
    sent = telling(kind)
    assert SECRET in sent or kind == "MPO"
    assert b"Invented Camera Works" in sent
    for size, content in clean(sent).files.items():
        assert [word for word in REMAINS if word in content] == [], size
        with Image.open(io.BytesIO(content)) as kept:
            assert set(kept.info) <= HARMLESS
            assert dict(kept.getexif()) == {}
