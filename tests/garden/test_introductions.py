"""Introductions: the verbs, the list, the catalogue on screen and on paper, the table."""

from __future__ import annotations

import csv
import io
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pdfplumber
import pytest
from django.test import Client
from django.urls import reverse

from garden.models import Introduction, Photo
from garden.photos import clean
from garden.records import (
    add_photo,
    add_plant,
    change_introduction,
    introduce,
    strike_photo,
    undo,
    withdraw_introduction,
)
from garden.verbs import Refused
from tests.cast import IN_BLOOM, Cast, Stock
from tests.pages import links, post, texts, tree
from tests.photos import drawn, encoded

pytestmark = pytest.mark.django_db


def offer(act: Any, stock: Stock, **more: Any) -> Any:
    values = {"plant": stock.oboe, "year": 2027, "price": Decimal("25"), "currency": "EUR",
              "quantity": 12, "description": "Two lines.", "place": 1}  # fmt: skip
    return introduce(act(), **values | more)


def photo_of(act: Any, stock: Stock) -> Photo:
    taken = act(day=IN_BLOOM - timedelta(days=1))
    return add_photo(taken, plant=stock.oboe, photo=clean(encoded(drawn())), caption="noon").thing


def test_introduce__is_kept_and_taken_back(act: Any, stock: Stock) -> None:
    kept = offer(act, stock)
    assert kept.thing.price == Decimal("25.00")
    assert kept.line.text == "Offered Oboe for Hannes in 2027"
    undo(act(), line=kept.line)
    assert not Introduction.live.exists()


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"year": 1066}, "year"),
        ({"price": Decimal("-1")}, "price"),
        ({"price": Decimal("NaN")}, "price"),
        ({"price": Decimal("1e9")}, "price"),
        ({"currency": " "}, "currency"),
        ({"quantity": -2}, "quantity"),
        ({"place": 10_000}, "place"),
    ],
)
def test_introduce__refuses_what_cannot_be(
    act: Any, stock: Stock, values: dict[str, Any], field: str
) -> None:
    with pytest.raises(Refused) as refused:
        offer(act, stock, **values)
    assert list(refused.value.messages) == [field]


def test_introduce__once_a_year(act: Any, stock: Stock) -> None:
    offer(act, stock)
    with pytest.raises(Refused, match="in the list of 2027 already"):
        offer(act, stock)
    later = offer(act, stock, year=2028).thing
    with pytest.raises(Refused, match="in the list of 2027 already"):
        change_introduction(act(), introduction=later, year=2027)


def test_introduce__a_photo_of_another_plant_is_refused(act: Any, stock: Stock) -> None:
    photo = photo_of(act, stock)
    with pytest.raises(Refused, match="photo of this plant"):
        offer(act, stock, plant=stock.teapot, photo=photo)


def test_change__keeps_what_stood_and_knows_equal_prices(act: Any, stock: Stock) -> None:
    thing = offer(act, stock).thing
    same = {"price": Decimal("25.0"), "currency": "EUR", "quantity": 12,
            "description": "Two lines.", "place": 1}  # fmt: skip
    with pytest.raises(Refused, match="Nothing was changed"):
        change_introduction(act(), introduction=thing, year=2027, **same)
    line = change_introduction(
        act(), introduction=thing, year=2027, **same | {"price": Decimal("30.5")}
    ).line
    assert line.changed[0]["before"] == {"price": "25.00"}
    undo(act(), line=line)
    assert Introduction.objects.get().price == Decimal("25.00")


def test_withdraw__with_a_reason_and_back(act: Any, stock: Stock) -> None:
    thing = offer(act, stock).thing
    with pytest.raises(Refused, match="why"):
        withdraw_introduction(act(), introduction=thing, reason=" ")
    line = withdraw_introduction(act(), introduction=thing, reason="rotted").line
    assert not Introduction.live.exists()
    undo(act(), line=line)
    assert Introduction.live.exists()


def test_form__offers_a_named_plant(owner_client: Client, stock: Stock) -> None:
    answer = post(
        owner_client, reverse("introduction-new"), plant_text="oboe for hannes", year="2027",
        price="25,50", currency="EUR", quantity="8", place="2",
    )  # fmt: skip
    assert answer.status_code == 303
    thing = Introduction.live.get()
    assert (thing.plant, thing.price, thing.place) == (stock.oboe, Decimal("25.50"), 2)


def test_form__says_which_plants_may_be_meant(owner_client: Client, stock: Stock) -> None:
    answer = post(
        owner_client,
        reverse("introduction-new"),
        plant_text="oboe fur hanes",
        year="2027",
        place="1",
    )
    assert answer.status_code == 422
    assert "Oboe for Hannes" in texts(answer, "#wrong_plant_text")[0]
    empty = post(owner_client, reverse("introduction-new"), year="2027", place="1")
    assert texts(empty, "#wrong_plant_text") == ["Say which plant."]


def test_form__takes_the_last_currency_and_the_next_place(
    owner_client: Client, act: Any, stock: Stock
) -> None:
    year = 2027
    offer(act, stock, year=year, currency="Kčs", place=3)
    form = owner_client.get(reverse("introduction-new")).context["form"]
    assert form["currency"].value() == "Kčs"


def test_form__warns_of_a_plant_under_number(owner_client: Client, stock: Stock) -> None:
    address = reverse("introduction-new")
    warned = owner_client.get(f"{address}?plant={stock.guest.pk}")
    assert "still under number" in texts(warned, ".increase-warning")[0]
    named = owner_client.get(f"{address}?plant={stock.oboe.pk}")
    assert texts(named, ".increase-warning") == []


def test_form__lets_a_photo_be_chosen(owner_client: Client, act: Any, stock: Stock) -> None:
    photo = photo_of(act, stock)
    thing = offer(act, stock).thing
    answer = post(
        owner_client, reverse("introduction-change", args=[thing.pk]), year="2027", place="1",
        photo=str(photo.pk),
    )  # fmt: skip
    assert answer.status_code == 303
    thing.refresh_from_db()
    assert thing.photo == photo
    shown = owner_client.get(reverse("introductions"))
    assert tree(shown).cssselect(".line-mark img")
    strike_photo(act(), photo=photo, reason="blurred")
    assert not tree(owner_client.get(reverse("introductions"))).cssselect(".line-mark img")
    pdf = owner_client.get(reverse("catalogue-pdf", args=[2027]))
    assert pdf.status_code == 200


def test_list__shows_parentage_price_and_number(
    visitor_client: Client, act: Any, cast: Cast
) -> None:
    offer(act, cast)
    offer(act, cast, plant=cast.guest, place=2, price=None, quantity=None)
    answer = visitor_client.get(reverse("introductions"))
    first, second = texts(answer, ".lines li")
    assert "Quillon Teapot × Marzipan Ledger" in first
    assert "25 EUR, 12 offered" in first
    assert "under number" in second
    assert reverse("introduction-new") not in links(answer)


def test_list__takes_as_many_queries_for_one_as_for_many(
    owner_client: Client, act: Any, cast: Cast, django_assert_max_num_queries: Any
) -> None:
    for year, plant in enumerate((cast.oboe, cast.teapot, cast.ledger, cast.postman), 2024):
        offer(act, cast, plant=plant, year=year)
    with django_assert_max_num_queries(14):
        owner_client.get(reverse("introductions"))
    with django_assert_max_num_queries(14):
        owner_client.get(reverse("catalogue", args=[2024]))


def test_catalogue__of_a_year_without_any_is_nowhere(owner_client: Client, stock: Stock) -> None:
    for name in ("catalogue", "catalogue-pdf", "catalogue-csv"):
        for year in (2027, 99_999_999):
            assert owner_client.get(reverse(name, args=[year])).status_code == 404


def test_catalogue__shows_each_plant_in_its_place(
    owner_client: Client, act: Any, cast: Cast
) -> None:
    offer(act, cast, place=2)
    offer(act, cast, plant=cast.teapot, place=1, description="")
    answer = owner_client.get(reverse("catalogue", args=[2027]))
    assert texts(answer, ".offer h2") == ["Quillon Teapot", "Oboe for Hannes"]
    assert cast.teapot.description in texts(answer, ".offer")[0]
    assert len(tree(answer).cssselect(".offer-picture svg")) == 2


def test_csv__holds_plain_cells_and_no_formula(owner_client: Client, act: Any, cast: Cast) -> None:
    offer(act, cast, description="=HYPERLINK(1)", currency="@EUR")
    answer = owner_client.get(reverse("catalogue-csv", args=[2027]))
    assert answer["Content-Disposition"] == 'attachment; filename="introductions-2027.csv"'
    head, row = csv.reader(io.StringIO(answer.content.decode("utf-8-sig")))
    told = dict(zip(head, row, strict=True))
    assert told["price"] == "25.00"
    assert told["description"] == "'=HYPERLINK(1)"
    assert told["currency"] == "'@EUR"
    assert told["parentage"] == "Quillon Teapot × Marzipan Ledger"
    assert not any(cell.startswith(("=", "+", "-", "@")) for cell in row)


@pytest.mark.parametrize(("paper", "size"), [("A4", (595.28, 841.89)), ("Letter", (612, 792))])
def test_pdf__keeps_its_words_on_the_page(
    owner_client: Client, act: Any, cast: Cast, paper: str, size: tuple[float, float]
) -> None:
    long = "Őszi żółć, šedý mlýn: " * 44
    names = [f"Gravel Ferry at Low Water {at} of the Long Dry Summer" for at in range(9)]
    for at, name in enumerate(names, 1):
        plant = add_plant(act(), name=name, seed_parent=cast.teapot, pollen_parent=cast.ledger,
                          standards="yellow", falls="brown").thing  # fmt: skip
        offer(act, cast, plant=plant, place=at, description=long if at == 3 else "Short.",
              price=Decimal("123456.50"), currency="Goldgulden")  # fmt: skip
    offer(act, cast, plant=cast.guest, place=50)
    answer = owner_client.get(reverse("catalogue-pdf", args=[2027]) + f"?paper={paper}")
    assert answer["Content-Type"] == "application/pdf"
    with pdfplumber.open(io.BytesIO(answer.content)) as pdf:
        assert len(pdf.pages) > 1
        words = ""
        for page in pdf.pages:
            assert (page.width, page.height) == pytest.approx(size, abs=0.1)
            assert page.chars
            for one in page.chars:
                assert 20 < one["x0"] < one["x1"] < page.width - 20
                assert 10 < one["top"] < one["bottom"] < page.height - 10
            words += " ".join(page.extract_text().split()) + " "
            assert f"{page.page_number} of {len(pdf.pages)}" in words
        for at in range(9):
            assert f"Low Water {at}" in words
        assert "Quillon Teapot × Marzipan" in words
        assert words.count("Goldgulden") == 9
        assert "Őszi żółć, šedý mlýn" in words
        assert "no registered name yet" in words
        # Drawn flowers are vectors: curves, no pictures.
        assert pdf.pages[0].curves
        assert not pdf.pages[0].images


def test_pdf__shows_the_photo_that_was_chosen(owner_client: Client, act: Any, stock: Stock) -> None:
    offer(act, stock, photo=photo_of(act, stock))
    answer = owner_client.get(reverse("catalogue-pdf", args=[2027]))
    with pdfplumber.open(io.BytesIO(answer.content)) as pdf:
        (image,) = pdf.pages[0].images
        assert image["width"] == pytest.approx(34 / 25.4 * 72, abs=0.5)
        assert "25 EUR" in pdf.pages[0].extract_text()
