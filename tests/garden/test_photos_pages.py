"""Who sees photos and where; correcting them and striking them out."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from garden.models import JournalLine, Photo
from garden.models.photos import the_shelf
from garden.photos import clean
from garden.records import add_photo, correct_photo, strike_photo, undo
from tests.cast import IN_BLOOM, Stock
from tests.pages import texts, tree
from tests.photos import GREEN, camera, drawn, encoded, file_of, send, upload
from tests.refusals import refused

pytestmark = pytest.mark.django_db


def test_file__for_people_who_are_in(
    owner_client: Client, visitor_client: Client, photo: Photo
) -> None:
    for client in (owner_client, visitor_client):
        answer = client.get(file_of(photo), headers={"Accept-Encoding": "gzip"})
        assert answer.status_code == 200
        assert answer.content == the_shelf().find(photo.digest, "small").read_bytes()
        assert answer["Content-Type"] == "image/jpeg"
        assert answer["X-Content-Type-Options"] == "nosniff"
        assert answer["Cache-Control"] == "private, max-age=31536000, immutable"
        assert answer["Content-Disposition"].startswith("inline; filename=")
        assert not answer.has_header("Content-Encoding")


def test_file__a_stranger_gets_the_door_whether_it_is_there_or_not(photo: Photo) -> None:
    nobody = reverse("photo-file", args=["0" * 64, "small"])
    for address in (file_of(photo), file_of(photo, "large"), nobody):
        answer = Client().get(address)
        assert answer.status_code == 302
        assert answer["Location"].startswith(reverse("sign-in"))
    assert b"\xff\xd8" not in Client().get(file_of(photo)).content


@pytest.mark.parametrize(
    "path",
    [
        "/photos/{digest}/huge.jpg",
        "/photos/{digest}/small.png",
        "/photos/{digest}/small.jpg/",
        "/photos/{digest}/../{digest}/small.jpg",
        "/photos/{digest}%0a/small.jpg",
        "/photos/{upper}/small.jpg",
        "/photos/../secret-key",
        "/photos/..%2f..%2fsecret-key/small.jpg",
        "/photos/" + "0" * 64 + "/small.jpg",
        "/photos/waiting/small.jpg",
    ],
)
def test_file__nothing_under_other_addresses(owner_client: Client, photo: Photo, path: str) -> None:
    asked = path.format(digest=photo.digest, upper=photo.digest.upper())
    assert owner_client.get(asked).status_code == 404


def test_file__waiting_is_not_for_visitors(
    owner_client: Client, visitor_client: Client, stock: Stock
) -> None:
    held = tree(send(owner_client, stock, upload(), caption="x" * 300)).cssselect(".photo-held img")
    assert visitor_client.get(held[0].get("src")).status_code == 404


def test_file__of_a_photo_on_the_shelf_that_no_record_knows(owner_client: Client) -> None:
    picture = clean(encoded(drawn(fall=GREEN)))
    the_shelf().keep(picture)
    assert owner_client.get(file_of(picture)).status_code == 404


def test_visitor__looks_and_adds_nothing(
    visitor_client: Client, stock: Stock, photo: Photo
) -> None:
    plant = visitor_client.get(reverse("plant", args=[stock.teapot.pk]))
    assert texts(plant, ".photos .photo") == ["the third flower 3 June 2024"]
    assert "Add a photo" not in texts(plant, "a")
    page = visitor_client.get(reverse("photo", args=[photo.pk]))
    assert page.status_code == 200
    assert texts(page, ".corrections a") == []
    assert send(visitor_client, stock, upload()).status_code == 403
    assert Photo.objects.count() == 1


# --- the page, correcting, striking out


def test_page__tells_what_is_known(owner_client: Client, stock: Stock, photo: Photo) -> None:
    page = owner_client.get(reverse("photo", args=[photo.pk]))
    [picture] = tree(page).cssselect("figure img")
    assert file_of(photo, "large") in picture.get("srcset")
    assert (picture.get("width"), picture.get("alt")) == ("400", "the third flower")
    assert texts(page, ".over") == ["Photo · 3 June 2024"]
    assert texts(page, "h1") == ["Quillon Teapot"]
    assert texts(page, ".corrections a") == ["Correct this", "Strike out"]


def test_page__of_a_photo_without_a_plant(owner_client: Client, photo: Photo) -> None:
    Photo.objects.filter(pk=photo.pk).update(plant=None)
    for name in ("photo", "photo-correct", "photo-strike"):
        assert owner_client.get(reverse(name, args=[photo.pk])).status_code == 200
    answer = owner_client.post(reverse("photo-strike", args=[photo.pk]), {"reason": "blurred"})
    assert answer.status_code == 303
    assert answer.url.startswith("/?kept=")


def test_plant_page__as_many_queries_for_many_photos(
    owner_client: Client, stock: Stock, act: Any, django_assert_max_num_queries: Any
) -> None:
    address = reverse("plant", args=[stock.teapot.pk])
    with django_assert_max_num_queries(200) as one:
        owner_client.get(address)
    for shade in range(0, 250, 50):
        picture = clean(encoded(drawn(fall=(shade, 0, 0))))
        add_photo(act(), plant=stock.teapot, photo=picture)
    with django_assert_max_num_queries(len(one)):
        assert len(texts(owner_client.get(address), ".photos .photo")) == 5


def test_it_corrects_what_is_said_of_a_photo(owner_client: Client, photo: Photo) -> None:
    fields = {"caption": "the fourth flower", "taken_on": "2024-06-04", "reason": "miscounted"}
    answer = owner_client.post(reverse("photo-correct", args=[photo.pk]), fields)
    assert answer.status_code == 303
    photo.refresh_from_db()
    assert (photo.caption, photo.taken_on) == ("the fourth flower", date(2024, 6, 4))
    line = JournalLine.objects.latest("pk")
    assert line.text == (
        "Corrected the photo of Quillon Teapot: the third flower (3 June 2024) → "
        "the fourth flower (4 June 2024)"
    )


def test_correct_photo__first_words_need_no_reason(stock: Stock, act: Any) -> None:
    bare = add_photo(act(), plant=stock.teapot, photo=clean(encoded(drawn()))).thing
    correct_photo(act(), photo=bare, caption="beard", taken_on=None)
    bare.refresh_from_db()
    assert bare.caption == "beard"
    refused(correct_photo, act(), "Write why", "reason", photo=bare, caption="", taken_on=None)
    ahead = {"caption": "beard", "taken_on": date(2027, 1, 1), "reason": "so"}
    refused(correct_photo, act(), "has not come yet", "taken_on", photo=bare, **ahead)
    same = {"caption": "beard", "taken_on": None, "reason": "so"}
    refused(correct_photo, act(), "Nothing was changed", photo=bare, **same)


def test_it_strikes_a_photo_out_and_keeps_its_file(
    owner_client: Client, stock: Stock, photo: Photo, act: Any
) -> None:
    answer = owner_client.post(reverse("photo-strike", args=[photo.pk]), {"reason": "blurred"})
    assert answer.url.startswith(reverse("plant", args=[stock.teapot.pk]))
    for address in (file_of(photo), reverse("photo", args=[photo.pk])):
        assert owner_client.get(address).status_code == 404
    assert the_shelf().find(photo.digest, "large").is_file()
    undo(act(), line=JournalLine.objects.latest("pk"))
    assert owner_client.get(file_of(photo)).status_code == 200


def test_strike_photo__refusals(photo: Photo, act: Any) -> None:
    refused(strike_photo, act(), "Write why", "reason", photo=photo, reason=" ")
    strike_photo(act(), photo=photo, reason="blurred")
    refused(strike_photo, act(), "was struck out", photo=photo, reason="again")
    words = {"caption": "", "taken_on": None, "reason": "so"}
    refused(correct_photo, act(), "was struck out", photo=photo, **words)


def test_undo__of_adding_strikes_it_and_it_may_come_again(
    stock: Stock, photo: Photo, act: Any
) -> None:
    undo(act(), line=JournalLine.objects.latest("pk"))
    assert Photo.live.count() == 0
    add_photo(act(), plant=stock.teapot, photo=clean(encoded(drawn(), exif=camera())))
    assert Photo.live.count() == 1


def test_add_photo__refusals(stock: Stock, act: Any) -> None:
    values = {"plant": stock.teapot, "photo": clean(encoded(drawn()))}
    refused(add_photo, act(), "has not come yet", "day", **values, day=date(2027, 1, 1))
    refused(add_photo, act(), "200", "caption", **values, caption="x" * 201)
    stock.guest.struck = True
    stock.guest.save()
    refused(add_photo, act(), "struck out", plant=stock.guest, photo=values["photo"])


def test_add_photo__a_camera_that_runs_ahead_is_not_believed(stock: Stock, act: Any) -> None:
    ahead = clean(encoded(drawn(), exif=camera(taken="2024:06:03 01:00:00")))
    added = add_photo(act(day=date(2024, 6, 1)), plant=stock.teapot, photo=ahead).thing
    assert added.taken_on is None
    assert date(2024, 6, 3) < IN_BLOOM
