from __future__ import annotations

import io
import subprocess
import sys
import time
import zlib
from contextlib import suppress
from datetime import date
from typing import Any

import pytest
from PIL import Image, ImageCms

from garden.photos import CleanPhoto, PhotoRefused, clean
from tests.photos import GREEN, VIOLET, bomb, camera, drawn, encoded, heic

DAMAGED = "damaged or not complete"
NO_PHOTO = "no photo that can be read here"


def opened(photo: CleanPhoto, size: str = "large") -> Image.Image:
    return Image.open(io.BytesIO(photo.files[size]))


def near(seen: Any, meant: tuple[int, int, int], by: int = 12) -> bool:
    return all(abs(one - other) <= by for one, other in zip(seen, meant, strict=True))


def quarters(photo: CleanPhoto) -> list[str]:
    """Which quarters of the picture are violet, as 'upper left' and so on."""
    picture = opened(photo)
    places = {
        f"{up} {side}": (picture.width * x // 4, picture.height * y // 4)
        for up, y in (("upper", 1), ("lower", 3))
        for side, x in (("left", 1), ("right", 3))
    }
    return [name for name, place in places.items() if near(picture.getpixel(place), VIOLET)]


def test_clean__three_sizes() -> None:
    photo = clean(encoded(drawn((4000, 3000))))
    sizes = {size: opened(photo, size).size for size in photo.files}
    assert sizes == {"large": (1600, 1200), "middle": (960, 720), "small": (320, 320)}
    assert (photo.width, photo.height) == (1600, 1200)
    assert {opened(photo, size).format for size in photo.files} == {"JPEG"}


def test_clean__a_small_picture_is_not_blown_up() -> None:
    photo = clean(encoded(drawn((300, 200))))
    assert {size: opened(photo, size).size for size in photo.files} == {
        "large": (300, 200), "middle": (300, 200), "small": (200, 200),
    }  # fmt: skip


def test_clean__nothing_but_the_picture_stays() -> None:
    secret = b"<x:xmpmeta>mill race</x:xmpmeta>"
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    sent = encoded(
        drawn(), exif=camera(), comment=b"mill race", xmp=secret, icc_profile=profile, dpi=(72, 72)
    )
    assert all(word in sent for word in (b"mill race", b"Invented Camera Works", b"ICC_PROFILE"))
    photo = clean(sent)
    for size, content in photo.files.items():
        kept = opened(photo, size)
        assert dict(kept.getexif()) == {}
        assert set(kept.info) <= {
            "jfif", "jfif_version", "jfif_unit", "jfif_density", "progressive", "progression",
        }  # fmt: skip
        assert not [word for word in (b"Exif", b"mill", b"Invented", b"ICC", b"http") if
                    word in content]  # fmt: skip


@pytest.mark.parametrize(
    ("turn", "quarter"),
    [
        (1, "upper left"), (2, "upper right"), (3, "lower right"), (4, "lower left"),
        (5, "upper left"), (6, "upper right"), (7, "lower right"), (8, "lower left"),
    ],
)  # fmt: skip
def test_clean__upright_by_its_orientation(turn: int, quarter: str) -> None:
    photo = clean(encoded(drawn((2400, 1200)), exif=camera(turn)))
    assert quarters(photo) == [quarter]
    assert (photo.width, photo.height) == ((1600, 800) if turn < 5 else (800, 1600))


def test_clean__heic_upright_and_without_its_place() -> None:
    photo = clean(heic(drawn((400, 200)), quality=90, exif=camera(6).tobytes()))
    assert (photo.width, photo.height, quarters(photo)) == (200, 400, ["upper right"])
    assert photo.taken_on == date(2024, 6, 3)
    assert dict(opened(photo).getexif()) == {}


@pytest.mark.parametrize(
    ("taken", "day"),
    [
        ("2024:06:03 07:12:09", date(2024, 6, 3)),
        ("", None),
        ("0000:00:00 00:00:00", None),
        ("1970:01:01 00:00:00", None),
        ("2999:01:01 00:00:00", None),
        ("2024:02:30 00:00:00", None),
        ("yesterday", None),
    ],
)
def test_clean__tells_the_day_it_was_taken(taken: str, day: date | None) -> None:
    assert clean(encoded(drawn(), exif=camera(taken=taken))).taken_on == day


MODES = {
    "JPEG": ("L", "RGB", "CMYK"),
    "PNG": ("1", "L", "LA", "P", "RGB", "RGBA"),
    "WEBP": ("RGB", "RGBA"),
}


@pytest.mark.parametrize(
    ("kind", "mode"), [(kind, mode) for kind, modes in MODES.items() for mode in modes]
)
def test_clean__every_mode_of_every_kind(kind: str, mode: str) -> None:
    picture = drawn(mode=mode, fall="black" if mode == "1" else VIOLET)
    seen, meant = opened(clean(encoded(picture, kind))), picture.convert("RGB")
    assert seen.mode == "RGB"
    places = [(50, 50)] if mode == "1" else [(50, 50), (300, 250)]
    assert all(near(seen.getpixel(at), meant.getpixel(at), 14) for at in places)


def test_clean__sixteen_bits_of_grey() -> None:
    grey = drawn(mode="L")
    deep = grey.convert("I").point(lambda value: value * 257).convert("I;16")
    seen, meant = opened(clean(encoded(deep, "PNG"))), grey.convert("RGB")
    assert all(near(seen.getpixel(at), meant.getpixel(at), 4) for at in ((50, 50), (300, 250)))


def test_clean__what_is_clear_becomes_white_paper() -> None:
    picture = drawn(mode="RGBA")
    picture.putalpha(Image.new("L", picture.size, 0))
    assert near(opened(clean(encoded(picture, "PNG"))).getpixel((50, 50)), (255, 255, 255), 2)


def test_clean__palette_with_a_clear_colour() -> None:
    picture = drawn(mode="P")
    clear = picture.getpixel((350, 250))
    seen = opened(clean(encoded(picture, "PNG", transparency=clear)))
    assert near(seen.getpixel((350, 250)), (255, 255, 255), 4)
    assert near(seen.getpixel((50, 50)), VIOLET)


def test_clean__colours_by_the_picture_s_own_profile() -> None:
    lab = ImageCms.ImageCmsProfile(ImageCms.createProfile("LAB")).tobytes()
    srgb = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    assert near(opened(clean(encoded(drawn(), icc_profile=srgb))).getpixel((50, 50)), VIOLET, 4)
    # A profile of other colours, and no profile at all: the picture as it is.
    for wrong in (lab, b"no profile"):
        assert near(opened(clean(encoded(drawn(), icc_profile=wrong))).getpixel((50, 50)), VIOLET)


@pytest.mark.parametrize("kind", ["PNG", "WEBP"])
def test_clean__first_frame_of_several(kind: str) -> None:
    others = [drawn(fall=GREEN), drawn(fall=GREEN)]
    photo = clean(encoded(drawn(), kind, save_all=True, append_images=others, duration=100))
    assert quarters(photo) == ["upper left"]


def test_clean__first_picture_of_a_stereo_pair() -> None:
    both = encoded(drawn(), "MPO", save_all=True, append_images=[drawn(fall=GREEN)])
    assert quarters(clean(both)) == ["upper left"]


def test_clean__same_bytes_same_photo() -> None:
    sent = encoded(drawn(), exif=camera())
    assert (
        clean(sent).digest
        == clean(io.BytesIO(sent)).digest
        != clean(encoded(drawn(fall=GREEN))).digest
    )


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"", "empty"),
        (b"just words", NO_PHOTO),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", NO_PHOTO),
        (b"<!doctype html><script>alert(1)</script>", NO_PHOTO),
        (b"GIF89a" + bytes(100), NO_PHOTO),
        (b"%PDF-1.7", NO_PHOTO),
        (b"PK\x03\x04" + bytes(100), NO_PHOTO),
        (b"\0\0\0\x1cftypavif\0\0\0\0avifmif1" + bytes(100), NO_PHOTO),
        (b"\0\0\0\x18ftypheic" + b"x" * 3000, DAMAGED),
        (b"\xff\xd8\xff" + b"x" * 3000, DAMAGED),
        (b"\x89PNG\r\n\x1a\n" + b"x" * 3000, DAMAGED),
        (b"RIFF\0\0\0\0WEBPVP8X" + bytes(3000), "too small"),
        (b"RIFF\0\0\0\0WEBPxxxx" + bytes(3000), DAMAGED),
        (b"\xff\xd8\xff" + bytes(20_000_000), "larger than 15 MB"),
    ],
    ids=lambda value: repr(value[:12]) if isinstance(value, bytes) else "",
)
def test_clean__refuses_what_is_no_photo(content: bytes, sentence: str) -> None:
    with pytest.raises(PhotoRefused, match=sentence):
        clean(content)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "HEIC"])
def test_clean__refuses_every_half_of_a_photo(kind: str) -> None:
    picture = Image.effect_noise((600, 400), 90).convert("RGB")
    whole = heic(picture, quality=80) if kind == "HEIC" else encoded(picture, kind)
    assert clean(whole)
    for share in (0.02, 0.3, 0.6, 0.9):
        with pytest.raises(PhotoRefused):
            clean(whole[: int(len(whole) * share)])


def test_clean__bytes_knocked_over_raise_nothing_else() -> None:
    for kind in ("JPEG", "PNG", "WEBP", "HEIC"):
        whole = heic(drawn()) if kind == "HEIC" else encoded(drawn(), kind, exif=camera())
        for at in range(0, len(whole), max(1, len(whole) // 60)):
            broken = whole[:at] + bytes([whole[at] ^ 0x5A]) + whole[at + 1 :]
            with suppress(PhotoRefused):
                assert clean(broken).files


def test_clean__a_page_behind_a_photo_is_gone() -> None:
    both = encoded(drawn()) + b"<script>alert(1)</script>PK\x03\x04"
    assert not [size for size in clean(both).files.values() if b"script" in size]


def test_clean__a_bomb_is_refused_by_its_header() -> None:
    small = bomb()
    assert len(small) < 50_000
    clean(encoded(drawn()))
    began = time.perf_counter()
    with pytest.raises(PhotoRefused, match="more than 60 megapixels"):
        clean(small)
    assert time.perf_counter() - began < 0.05


@pytest.mark.parametrize("side", [9_000, 11_000])
def test_clean__just_too_many_pixels(side: int) -> None:
    with pytest.raises(PhotoRefused, match="more than 60 megapixels"):
        clean(bomb(side, side))


def test_clean__a_large_webp_is_refused_before_room_is_made_for_it() -> None:
    size = (16_383 - 1).to_bytes(3, "little")
    huge = b"RIFF\0\0\0\0WEBPVP8X\x0a\0\0\0\0\0\0\0" + size + size + bytes(40)
    with pytest.raises(PhotoRefused, match="more than 60 megapixels"):
        clean(huge)


@pytest.mark.parametrize("options", [{"lossless": True}, {"quality": 70}, {"exif": camera()}])
def test_webp_size__as_its_decoder_tells(options: dict[str, Any]) -> None:
    from garden.photos.kinds import webp_size

    assert webp_size(encoded(drawn((123, 45)), "WEBP", **options)) == (123, 45)


def test_clean__words_packed_into_a_picture_do_not_burst() -> None:
    packed = b"note\0\0" + zlib.compress(bytes(200_000_000), 9)
    chunk = len(packed).to_bytes(4, "big") + b"zTXt" + packed
    chunk += zlib.crc32(b"zTXt" + packed).to_bytes(4, "big")
    whole = encoded(drawn(), "PNG")
    with pytest.raises(PhotoRefused):
        clean(whole[:33] + chunk + whole[33:])


# How hard the file is worked at when it is made; what is read from it is as large as ever.
FASTER = {"enc_params": {"preset": "ultrafast"}}


@pytest.mark.speed
@pytest.mark.parametrize("kind", ["JPEG", "HEIC"])
def test_clean__twelve_megapixels_within_a_second(kind: str) -> None:
    noisy = Image.effect_noise((800, 600), 60).convert("RGB")
    picture = noisy.resize((4000, 3000), Image.Resampling.BICUBIC)
    sent = heic(picture, quality=50, **FASTER) if kind == "HEIC" else encoded(picture, quality=92)
    clean(encoded(drawn()))
    assert min(worked_at(sent) for _ in range(2)) < 1.0


def worked_at(sent: bytes) -> float:
    """Seconds of the processor that cleaning takes, in all threads; other tests run meanwhile."""
    began = time.process_time()
    clean(sent)
    return time.process_time() - began


def test_photos__load_no_decoder_before_the_first_photo() -> None:
    code = (
        "import sys; sys.path.insert(0, '.'); import garden.photos; "
        "print(sorted({m.split('.')[0] for m in sys.modules} & {'PIL', 'pillow_heif', 'django'}))"
    )
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert told.stdout.strip() == "[]"
