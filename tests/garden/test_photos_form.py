"""The form of a photo: what is kept, what is refused, and what a refusal must not lose."""

from __future__ import annotations

import io
import uuid
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from PIL import Image

from garden.forms.photos import told_day
from garden.models import Photo
from garden.photos import clean
from garden.records import add_photo
from tests.cast import Stock
from tests.pages import texts, tree
from tests.photos import bomb, camera, drawn, encoded, file_of, heic, send, upload

pytestmark = pytest.mark.django_db


def wrong(answer: Any) -> list[str]:
    assert answer.status_code == 422
    assert Photo.objects.count() == 0
    return texts(answer, "#wrong_photo")


# --- keeping one


def test_it_keeps_a_photo_and_shows_it_with_the_plant(owner_client: Client, stock: Stock) -> None:
    answer = send(owner_client, stock, upload(), caption=" the third flower ")
    kept = Photo.live.get()
    assert answer.status_code == 303
    assert (kept.plant, kept.caption, kept.taken_on) == (
        stock.teapot, "the third flower", date(2024, 6, 3),
    )  # fmt: skip
    page = owner_client.get(answer.url)
    assert texts(page, ".kept p")[0].startswith("✓ Photo of Quillon Teapot: the third flower")
    assert texts(page, ".photos .photo") == ["the third flower 3 June 2024"]
    pictures = [img.get("src") for img in tree(page).cssselect("main img")]
    assert pictures == [file_of(kept), file_of(kept)]
    assert texts(page, ".journal li p")[0].startswith("Photo of Quillon Teapot")


def test_it_takes_heic_under_any_name(owner_client: Client, stock: Stock) -> None:
    sent = heic(drawn(), exif=camera().tobytes())
    assert send(owner_client, stock, upload(sent, "report.pdf")).status_code == 303
    assert Photo.live.get().taken_on == date(2024, 6, 3)


def test_it_serves_nothing_that_the_camera_wrote(owner_client: Client, stock: Stock) -> None:
    send(owner_client, stock, upload())
    for size in ("large", "middle", "small"):
        answer = owner_client.get(file_of(Photo.live.get(), size))
        assert dict(Image.open(io.BytesIO(answer.content)).getexif()) == {}
        assert b"Invented" not in answer.content
    lying = [path for path in settings.PHOTOS_DIR.rglob("*") if path.is_file()]
    assert len(lying) == 3 + 4
    assert not [path for path in lying if b"Invented" in path.read_bytes()]


@pytest.mark.parametrize(
    ("exif", "told", "typed", "day"),
    [
        (camera(), "2024-07-07", "2024-05-05", date(2024, 5, 5)),
        (camera(), "2024-07-07", "", date(2024, 6, 3)),
        (Image.Exif(), "2024-07-07", "", date(2024, 7, 7)),
        (Image.Exif(), "2999-01-01", "", None),
        (Image.Exif(), "0000-00-00", "", None),
        (Image.Exif(), "'; drop", "", None),
        (Image.Exif(), "", "", None),
    ],
)
def test_it_knows_the_day_it_was_taken(
    owner_client: Client, stock: Stock, exif: Any, told: str, typed: str, day: date | None
) -> None:
    sent = upload(encoded(drawn(), exif=exif))
    assert send(owner_client, stock, sent, photo_taken=told, day=typed).status_code == 303
    assert Photo.live.get().taken_on == day


def test_told_day__digits_alone() -> None:
    assert told_day("2024-06-03") == date(2024, 6, 3)
    assert told_day("٢٠٢٤-٠٦-٠٣") is None


# --- once is once


def test_it_counts_a_photo_sent_twice_once(owner_client: Client, stock: Stock) -> None:
    entry = str(uuid.uuid4())
    first, again = (send(owner_client, stock, upload(), entry=entry) for _ in range(2))
    assert (first.status_code, first.url) == (303, again.url)
    assert Photo.objects.count() == 1


def test_it_tells_two_photos_of_one_name_and_size_apart(owner_client: Client, stock: Stock) -> None:
    entry, sent = str(uuid.uuid4()), [encoded(drawn(), quality=q) for q in (90, 91)]
    longest = max(map(len, sent))
    one, other = (upload(each.ljust(longest, b"\0")) for each in sent)
    assert (one.name, one.size) == (other.name, other.size)
    assert send(owner_client, stock, one, entry=entry).status_code == 303
    answer = send(owner_client, stock, other, entry=entry)
    assert answer.status_code == 422
    assert texts(answer, ".errors li")[0].startswith("This form was already kept with other words")
    # It need not be chosen again to be sent as something new.
    assert tree(answer).cssselect("input[name=photo_kept]")
    assert Photo.objects.count() == 1


def test_it_refuses_the_same_picture_of_the_same_plant(
    owner_client: Client, stock: Stock, photo: Photo
) -> None:
    answer = send(owner_client, stock, upload())
    assert answer.status_code == 422
    assert texts(answer, "#wrong_photo") == ["This photo of Quillon Teapot is kept already."]
    assert Photo.objects.count() == 1


def test_one_picture__may_show_two_plants(stock: Stock, photo: Photo, act: Any) -> None:
    picture = clean(encoded(drawn(), exif=camera()))
    other = add_photo(act(), plant=stock.ledger, photo=picture).thing
    assert (other.digest, other.pk) == (photo.digest, photo.pk + 1)


# --- what is refused, and what a refusal keeps


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"", "This file is empty."),
        (b"<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>", "This is no photo"),
        (b"<!doctype html><script>alert(1)</script>", "This is no photo"),
        (encoded(drawn())[:900], "This photo is damaged"),
        (b"\xff\xd8\xff" + bytes(20_000_000), "This file is larger than 15 MB."),
        (bomb(), "This photo has more than 60 megapixels."),
    ],
    ids=["empty", "svg", "html", "half", "20 MB", "bomb"],
)
def test_it_refuses_with_a_sentence_and_keeps_the_rest(
    owner_client: Client, stock: Stock, content: bytes, sentence: str
) -> None:
    answer = send(
        owner_client, stock, upload(content), caption="the third <flower>", day="2024-05-05"
    )
    [told] = wrong(answer)
    assert told.startswith(sentence)
    page = tree(answer)
    assert page.cssselect("[name=caption]")[0].get("value") == "the third <flower>"
    assert page.cssselect("[name=day]")[0].get("value") == "2024-05-05"
    assert page.cssselect("form.form")[0].get("enctype") == "multipart/form-data"
    assert not page.cssselect("[name=photo_kept]")


def test_it_wants_a_photo_and_no_word_in_its_place(owner_client: Client, stock: Stock) -> None:
    assert wrong(send(owner_client, stock)) == ["Take a photo, or choose one."]
    assert wrong(send(owner_client, stock, "image.jpg")) == ["Take a photo, or choose one."]


def test_it_takes_one_photo_at_a_time(owner_client: Client, stock: Stock) -> None:
    assert wrong(send(owner_client, stock, [upload(), upload()])) == ["One photo at a time."]
    assert send(owner_client, stock, [upload() for _ in range(30)]).status_code == 400
    assert Photo.objects.count() == 0


def test_it_keeps_a_photo_over_a_refusal_elsewhere(owner_client: Client, stock: Stock) -> None:
    answer = send(owner_client, stock, upload(), caption="x" * 300)
    assert wrong(answer) == []
    assert texts(answer, "#wrong_caption") == ["At most 200 letters; these are 300."]
    [held] = tree(answer).cssselect(".photo-held img")
    assert texts(answer, ".photo-held p")[0].startswith("Kept: this photo, taken 3 June 2024.")
    assert owner_client.get(held.get("src")).status_code == 200
    [mark] = tree(answer).cssselect("input[name=photo_kept]")
    again = send(owner_client, stock, photo_kept=mark.get("value"), caption="short")
    assert again.status_code == 303
    kept = Photo.live.get()
    assert (kept.digest, kept.caption) == (mark.get("value"), "short")
    assert kept.taken_on == date(2024, 6, 3)
    assert owner_client.get(file_of(kept)).status_code == 200


def test_it_keeps_the_earlier_photo_when_another_one_is_damaged(
    owner_client: Client, stock: Stock
) -> None:
    first = tree(send(owner_client, stock, upload(), caption="x" * 300))
    mark = first.cssselect("input[name=photo_kept]")[0].get("value")
    answer = send(owner_client, stock, upload(b"no photo"), photo_kept=mark)
    assert wrong(answer)[0].startswith("This is no photo")
    assert tree(answer).cssselect("input[name=photo_kept]")[0].get("value") == mark


@pytest.mark.parametrize("mark", ["0" * 64, "../../secret-key", "x", "\x00", "A" * 64])
def test_it_believes_no_mark_of_a_photo_that_does_not_wait(
    owner_client: Client, stock: Stock, mark: str
) -> None:
    answer = send(owner_client, stock, photo_kept=mark)
    assert wrong(answer) == ["This photo waited too long; choose it once more."]
    assert not tree(answer).cssselect("input[name=photo_kept]")


# --- how much may be sent


@pytest.mark.parametrize(("inside", "size"), [(True, 65_000_000), (False, 200_000)])
def test_too_large_a_request__is_refused_before_it_is_read(
    owner_client: Client, stock: Stock, settings: Any, inside: bool, size: int
) -> None:
    client = owner_client if inside else Client()
    address = reverse("photo-new", args=[stock.teapot.pk]) if inside else reverse("sign-in")
    before = list(Path(settings.FILE_UPLOAD_TEMP_DIR).iterdir())
    file = SimpleUploadedFile("image.jpg", bytes(size))
    answer = client.post(address, {"photo": file})
    assert answer.status_code == 413
    assert texts(answer, "h1") == ["This is too large"]
    assert list(Path(settings.FILE_UPLOAD_TEMP_DIR).iterdir()) == before


def test_what_is_being_sent__lies_in_the_garden_s_folder(settings: Any) -> None:
    folder = Path(settings.FILE_UPLOAD_TEMP_DIR)
    assert folder.parent == settings.DATA_DIR
    assert folder.stat().st_mode & 0o777 == 0o700
