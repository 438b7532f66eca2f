"""Scanning back in: /t/CODE for every kind and state, codes typed, codes photographed."""

from __future__ import annotations

import io
from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
import segno
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image, ImageFilter

from breeding.models import Tag
from breeding.records import count_up, harvest, note_pod, put_away, sow, spoil_tag
from evaluation.records import select_seedling
from garden.labels.codes import keyed, payload
from garden.photos import PhotoRefused
from garden.records import place_plant
from garden.scanning import codes_in
from garden.verbs import Act
from tests.cast import IN_BLOOM, Cast, noon
from tests.pages import links, texts

pytestmark = pytest.mark.django_db
BASE = "http://millrace.local:8000"


def drawn_code(text: str, scale: int = 8) -> Image.Image:
    """A QR code as segno draws it, with its quiet zone."""
    out = io.BytesIO()
    segno.make(text, error="m", micro=False).save(out, kind="png", scale=scale, border=4)
    return Image.open(io.BytesIO(out.getvalue())).convert("L")


def as_file(picture: Image.Image, kind: str = "PNG") -> bytes:
    out = io.BytesIO()
    picture.save(out, kind, quality=70)
    return out.getvalue()


def photographed(text: str, turn: float = 17.0, seed: int = 5) -> bytes:
    """A phone's photo of a label: smaller, turned, tilted, blurred, noisy, half in the shade."""
    code = drawn_code(text, 10).rotate(turn, Image.Resampling.BICUBIC, expand=True, fillcolor=255)
    scene = Image.new("L", (1400, 1000), 205)
    scene.paste(code, (430, 300))
    tilted = (1.0, 0.10, -60, 0.05, 1.0, -40, 0.00006, 0.00004)
    scene = scene.transform(scene.size, Image.Transform.PERSPECTIVE, tilted,
                            Image.Resampling.BICUBIC, fillcolor=205)  # fmt: skip
    shade = Image.linear_gradient("L").rotate(90).resize(scene.size).point(lambda v: 110 + v * 0.5)
    scene = Image.composite(scene, scene.point(lambda v: v * 0.55), shade.point(lambda v: v))
    scene = scene.filter(ImageFilter.GaussianBlur(1.6))
    noise = Image.effect_noise(scene.size, 30 + seed)
    return as_file(Image.blend(scene, noise, 0.18), "JPEG")


def to(client: Client, code: str, **query: Any) -> str:
    answer = client.get(f"/T/{code}", query)
    assert answer.status_code == 302, code
    return answer["Location"]


# What a photo holds.


@settings(max_examples=12)
@given(key=st.integers(1, 10**6), turn=st.sampled_from([0, 90, 180, 200, 355]))
def test_codes_in__reads_a_drawn_code(key: int, turn: float) -> None:
    text = payload(BASE, keyed("P", key))
    picture = drawn_code(text).rotate(turn, expand=True, fillcolor=255)
    assert codes_in(as_file(picture)) == [text]


@pytest.mark.parametrize("turn", [0.0, 17.0, 100.0, 222.0])
def test_codes_in__reads_a_noisy_photo(turn: float) -> None:
    text = payload(BASE, "26-014-1-2")
    assert codes_in(photographed(text, turn)) == [text]


def test_codes_in__reads_a_small_code_of_a_large_photo() -> None:
    text = payload(BASE, keyed("R", 45))
    scene = Image.new("L", (4000, 3000), 190)
    scene.paste(drawn_code(text, 3), (2500, 1800))
    assert codes_in(as_file(scene, "JPEG")) == [text]


def test_codes_in__gives_several_from_the_upper_left_on() -> None:
    texts_ = [payload(BASE, code) for code in ("26-001", "26-002", "26-003")]
    scene = Image.new("L", (1000, 1500), 255)
    for at, text in enumerate(texts_):
        scene.paste(drawn_code(text), (60 + 300 * (at % 2), 50 + 450 * at))
    assert codes_in(as_file(scene)) == texts_


@pytest.mark.parametrize("content", [b"", b"no photo", b"\x89PNG\r\n\x1a\nbroken"])
def test_codes_in__refuses_what_is_no_photo(content: bytes) -> None:
    with pytest.raises(PhotoRefused):
        codes_in(content)


def test_codes_in__finds_nothing_on_an_empty_page() -> None:
    assert codes_in(as_file(Image.new("L", (400, 300), 255))) == []


# Where a code leads.


def test_tag__leads_on_along_its_life(
    owner_client: Client, cast: Cast, act: Callable[..., Act]
) -> None:
    free, pod = cast.free_tag, cast.bee_flower
    assert to(owner_client, free) == f"{reverse('new-cross')}?tag={free}"
    assert to(owner_client, pod.tag.code) == reverse("look", args=[pod.pk])
    note_pod(act(), pollination=pod, pod_set=True)
    assert to(owner_client, pod.tag.code) == reverse("harvest", args=[pod.pk])
    cup = harvest(act(), pollination=pod, seeds=9).thing
    assert to(owner_client, pod.tag.code) == reverse("cup", args=[cup.code])
    assert to(owner_client, cast.failed.tag.code) == reverse("tag", args=[cast.failed.tag.code])
    spoil_tag(act(), tag=Tag.objects.get(code=free), reason="torn")
    assert to(owner_client, free) == reverse("tag", args=[free])


def test_cup__is_sown_until_it_is_empty_or_put_away(
    owner_client: Client, cast: Cast, act: Callable[..., Act]
) -> None:
    code = cast.cup.code
    assert to(owner_client, code) == reverse("sow", args=[code])
    assert to(owner_client, code, page=1) == reverse("cup", args=[code])
    sow(act(), cup=cast.cup, seeds=10)
    assert to(owner_client, code) == reverse("cup", args=[code])


def test_pot__is_counted_or_lined_out(
    owner_client: Client, cast: Cast, act: Callable[..., Act]
) -> None:
    code = cast.pot.code
    with time_machine.travel(noon(date(2025, 4, 28)), tick=False):
        assert to(owner_client, code) == reverse("count", args=[code])
    with time_machine.travel(noon(date(2025, 8, 20)), tick=False):
        assert to(owner_client, code) == reverse("line-out", args=[code])
    count_up(act(), pot=cast.pot, standing_now=18)
    with time_machine.travel(noon(IN_BLOOM), tick=False):
        assert to(owner_client, code) == reverse("line-out", args=[code])
    put_away(act(), thing=cast.pot, reason="empty")
    assert to(owner_client, code) == reverse("pot", args=[code])


def test_row__is_walked_once_it_may_bloom(
    owner_client: Client, cast: Cast, act: Callable[..., Act]
) -> None:
    code, walk = keyed("R", cast.row.pk), reverse("walk-row", args=[cast.row.pk])
    with time_machine.travel(noon(date(2025, 9, 1)), tick=False):
        assert to(owner_client, code) == reverse("row", args=[cast.row.pk])
    with time_machine.travel(noon(IN_BLOOM), tick=False):
        assert to(owner_client, code) == walk
    put_away(act(), thing=cast.row, reason="dug over")
    assert to(owner_client, code) == reverse("row", args=[cast.row.pk])


def test_seedling__is_scored_in_season_where_it_stands(
    owner_client: Client, cast: Cast, act: Callable[..., Act]
) -> None:
    seedling = select_seedling(act(), row=cast.row, position=3).thing
    with time_machine.travel(noon(IN_BLOOM + timedelta(days=1)), tick=False):
        score = reverse("score-seedling", args=[cast.row.pk, 3])
        assert to(owner_client, seedling.code) == score
        assert owner_client.get(score).status_code == 200
        place_plant(act(), plant=seedling.plant, bed=cast.bed, position="8")
        assert to(owner_client, seedling.code.lower()) == reverse(
            "score-plant", args=[seedling.plant_id]
        )
    with time_machine.travel(noon(date(2026, 9, 1)), tick=False):
        assert to(owner_client, seedling.code) == reverse("seedling", args=[seedling.code])


def test_plant_and_cross__lead_to_their_pages(owner_client: Client, cast: Cast) -> None:
    plant = reverse("plant", args=[cast.teapot.pk])
    assert to(owner_client, keyed("P", cast.teapot.pk)) == plant
    assert to(owner_client, cast.cross.code) == reverse("cross", args=[cast.cross.code])


def test_visitor__gets_the_page_and_never_a_form(visitor_client: Client, cast: Cast) -> None:
    assert to(visitor_client, cast.cup.code) == reverse("cup", args=[cast.cup.code])
    assert to(visitor_client, cast.free_tag) == reverse("tag", args=[cast.free_tag])
    row = to(visitor_client, keyed("R", cast.row.pk))
    assert visitor_client.get(row).status_code == 200


@pytest.mark.parametrize("address", ["/T/24-001-1", "/t/24-001-1", "/t/24-001-1/", "/T/24-001-1/"])
def test_stranger__comes_to_the_door_and_then_to_the_thing(
    client: Client, cast: Cast, owner: Any, address: str
) -> None:
    answer = client.get(address)
    assert answer.status_code == 302
    assert answer["Location"] == f"{reverse('sign-in')}?next={address}"
    client.force_login(owner)
    there = client.get(address, follow=True)
    assert there.request["PATH_INFO"] == reverse("sow", args=["24-001-1"])


def test_form_that_is_due__opens_for_every_kind(
    helper_client: Client, cast: Cast, act: Callable[..., Act]
) -> None:
    seedling = select_seedling(act(), row=cast.row, position=3).thing
    for code in (cast.free_tag, cast.bee_flower.tag.code, cast.cup.code, cast.pot.code,
                 keyed("R", cast.row.pk), keyed("P", cast.oboe.pk), seedling.code):  # fmt: skip
        assert helper_client.get(f"/T/{code}", follow=True).status_code == 200, code


# Codes that lead nowhere.


def test_wrong_code__offers_those_that_are_near(owner_client: Client, cast: Cast) -> None:
    code = keyed("P", cast.teapot.pk)
    wrong = code[:-1] + ("A" if code[-1] != "A" else "B")
    answer = owner_client.get(f"/T/{wrong}")
    assert answer.status_code == 404
    assert "mistyped" in texts(answer, ".errors")[0]
    assert reverse("scan-code", args=[code]) in links(answer, ".lines a")


def test_typed_code__opens_or_says_why_not(owner_client: Client, cast: Cast) -> None:
    scan = reverse("scan")
    answer = owner_client.get(scan, {"code": " 24 – 001 – 1 "}, follow=True)
    assert answer.request["PATH_INFO"] == reverse("sow", args=["24-001-1"])
    answer = owner_client.get(scan, {"code": "24-001-2"})
    assert answer.status_code == 200
    assert texts(answer, ".errors") == ["Nothing here has the code 24-001-2."]
    assert "24-001-1" in texts(answer, ".lines .code")
    answer = owner_client.get(scan, {"code": "Quillon Teapot"})
    assert answer.status_code == 200


@settings(max_examples=80, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(typed=st.text(max_size=40))
def test_typed_nonsense__never_fails(owner_client: Client, cast: Cast, typed: str) -> None:
    answer = owner_client.get(reverse("scan"), {"code": typed.encode("utf-8", "ignore").decode()})
    assert answer.status_code in (200, 303)


def test_struck_out_thing__is_not_found(
    owner_client: Client, cast: Cast, act: Callable[..., Act]
) -> None:
    from garden.records import strike_plant

    strike_plant(act(), plant=cast.guest, reason="twice")
    assert owner_client.get(f"/T/{keyed('P', cast.guest.pk)}").status_code == 404


# Photos of codes.


def send(client: Client, content: bytes, **headers: str) -> Any:
    photo = SimpleUploadedFile("code.jpg", content, "image/jpeg")
    return client.post(reverse("scan"), {"photo": photo}, headers=headers)


def test_photo__of_a_code_opens_its_thing(helper_client: Client, cast: Cast) -> None:
    content = photographed(payload("http://some.older.address:81", cast.cup.code))
    answer = send(helper_client, content)
    assert (answer.status_code, answer["Location"]) == (303, "/t/24-001-1/")
    answer = send(helper_client, content, **{"HX-Request": "true"})
    assert answer["HX-Redirect"] == "/t/24-001-1/"


def test_photo__of_several_codes_asks_which(helper_client: Client, cast: Cast) -> None:
    scene = Image.new("L", (900, 1000), 255)
    scene.paste(drawn_code(payload(BASE, cast.cup.code)), (20, 20))
    scene.paste(drawn_code(payload(BASE, cast.pot.code)), (20, 520))
    answer = send(helper_client, as_file(scene))
    assert answer.status_code == 422
    assert links(answer, ".lines a") == ["/t/24-001-1/", "/t/24-001-1-1/"]


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "empty"),
        (b"GIF89a nothing", "no photo"),
        (as_file(Image.new("L", (300, 300), 255)), "No code was found"),
        (as_file(drawn_code("https://elsewhere.example/shop?item=3")), "none of this garden's"),
        (as_file(drawn_code(payload(BASE, "99-999"))), "It reads 99-999"),
    ],
)
def test_photo__without_a_code_of_ours_says_so(
    helper_client: Client, cast: Cast, content: bytes, said: str
) -> None:
    answer = send(helper_client, content)
    assert answer.status_code == 422
    assert said in texts(answer, ".errors")[0]


def test_photo__missing_is_said(helper_client: Client, cast: Cast) -> None:
    answer = helper_client.post(reverse("scan"), {"photo": "a text"})
    assert texts(answer, ".errors") == ["Take a photo of the code, or choose one."]


def test_photo__of_too_many_points_is_refused_at_once(helper_client: Client, cast: Cast) -> None:
    bomb = as_file(Image.new("1", (20_000, 20_000)))
    answer = send(helper_client, bomb)
    assert answer.status_code == 422
    assert texts(answer, ".errors")
