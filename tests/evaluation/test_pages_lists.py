"""The lists for the spade as pages and on paper."""

from __future__ import annotations

import io

import pdfplumber
import pytest
from django.test import Client
from django.urls import reverse

from breeding.models import Pot, Row
from breeding.records import line_out
from evaluation.clearing import resets
from evaluation.models import ClearOut
from evaluation.records import clear_out, decide_at, glance
from garden.models import Plant
from garden.records import add_bed, place_plant
from tests.cast import LINED_OUT, Cast
from tests.pages import links, post, texts, tree

pytestmark = pytest.mark.django_db

HTMX = {"HX-Request": "true"}
LARGEST_PART = 15_000


@pytest.fixture
def decided(act, cast: Cast) -> Plant:
    """1 to 3 and 5 are to go, 4 is kept, 6 and 7 were passed over; the plant of 4."""
    for position in (1, 2, 3, 5):
        decide_at(act(), row=cast.row, position=position, verdict="discard")
    decide_at(act(), row=cast.row, position=4, verdict="keep", reason="ruffled")
    for position in (6, 7):
        glance(act(), row=cast.row, position=position, found="nothing")
    return resets()[0].seedling.plant


@pytest.fixture
def row_address(cast: Cast) -> str:
    return reverse("clear-out-row", args=[cast.row.pk])


def words(answer) -> str:
    with pdfplumber.open(io.BytesIO(answer.content)) as sheets:
        return " ".join(" ".join(page.extract_text().split()) for page in sheets.pages)


def test_it_tells_what_to_dig_and_what_to_leave(owner_client: Client, decided) -> None:
    page = owner_client.get(reverse("clear-out"))
    assert texts(page, ".spade-sums") == ["4 seedlings to dig in 1 row; 8 stay beside them."]
    assert texts(page, ".spade-line") == ["dig 1–3 · LEAVE 4 (24-001A, keep) · dig 5 · leave 6–12"]
    assert texts(page, ".spade-line strong") == ["LEAVE 4 (24-001A, keep)"]
    assert len(tree(page).cssselect("svg.strip")) == 1


def test_it_digs_what_was_passed_over_when_asked(owner_client: Client, decided) -> None:
    page = owner_client.get(reverse("clear-out"), {"passed": "1"})
    assert texts(page, ".spade-line")[0].endswith("dig 5–7 · leave 8–12")
    chosen = tree(page).cssselect("input[name=passed][checked]")
    assert [each.get("value") for each in chosen] == ["1"]
    assert all("passed=1" in each for each in links(page, "a[href*='pdf']"))


def test_it_says_so_when_there_is_nothing(owner_client: Client, cast: Cast) -> None:
    page = owner_client.get(reverse("clear-out"))
    assert texts(page, ".spade-sums") == ["Nothing is to be dug."]
    assert texts(page, ".empty") == ["No seedling is decided as ‘discard’."]
    assert links(page, "a[href*='pdf']") == []


@pytest.mark.parametrize("nonsense", ["passed=x", "passed=99", "bed=0", "bed=x&passed=-1"])
def test_it_bears_nonsense(owner_client: Client, decided, nonsense: str) -> None:
    for name in ("clear-out", "clear-out-pdf"):
        assert owner_client.get(f"{reverse(name)}?{nonsense}&paper=x").status_code == 200


def test_it_shows_one_bed_and_leads_to_the_others(owner_client: Client, act, cast, decided) -> None:
    pot = Pot.live.get(pk=cast.pot.pk)
    bed = add_bed(act(), name="Bed by the Wall", rows=2, positions=9).thing
    other = line_out(act(day=LINED_OUT), pot=pot, bed=bed, row=2, first=1, seedlings=3).thing
    assert texts(owner_client.get(reverse("clear-out")), "nav.chips a") == []
    decide_at(act(), row=other, position=2, verdict="discard")
    page = owner_client.get(reverse("clear-out"), {"bed": cast.bed.pk, "passed": "1"})
    assert texts(page, "h2") == ["Long Bed"]
    assert texts(page, "nav.chips a") == ["Bed by the Wall 1", "Long Bed 6"]
    assert f"?bed={bed.pk}&passed=1" in links(page, "nav.chips a")
    assert texts(owner_client.get(reverse("clear-out")), "h2") == ["Bed by the Wall"]


def test_it_notes_what_was_dug_with_one_tap(
    owner_client: Client, cast: Cast, decided, row_address: str
) -> None:
    """What the card's own form sends as it stands."""
    page = tree(owner_client.get(reverse("clear-out")))
    form = page.cssselect(".spade-forms > form")[0]
    assert form.get("action") == form.get("hx-post") == f"{row_address}?passed=0"
    sent = {field.get("name"): field.get("value") for field in form.cssselect("input")}
    answer = owner_client.post(row_address, sent, headers=HTMX)
    assert answer.status_code == 200
    assert ClearOut.live.get().positions == [[1, 3], [5, 5]]
    assert texts(answer, ".spade-line") == ["LEAVE 4 (24-001A, keep) · leave 6–12"]
    assert "Dug out 4 seedlings of Long Bed, row 1, 1–12: 1–3, 5" in texts(answer, ".kept p")[0]
    assert tree(answer).cssselect(".kept form button")
    assert texts(answer, "#spade-sums[hx-swap-oob]") == ["Nothing is to be dug."]
    assert len(answer.content) < LARGEST_PART


def test_it_notes_a_part_and_offers_the_rest(
    owner_client: Client, decided, row_address: str
) -> None:
    answer = owner_client.post(row_address, {"positions": "2-3"}, headers=HTMX)
    assert texts(answer, ".spade-line")[0].startswith("dig 1 · LEAVE 4")
    field = tree(answer).cssselect("textarea[name=positions]")[0]
    assert field.text_content().strip() == "1, 5"


def test_it_goes_back_to_the_list_without_script(
    owner_client: Client, cast: Cast, decided, row_address: str
) -> None:
    answer = post(owner_client, f"{row_address}?passed=1", positions="1")
    assert answer.status_code == 303
    assert f"bed={cast.bed.pk}&passed=1" in answer["Location"]
    assert "kept=" in answer["Location"]


@pytest.mark.parametrize("headers", [{}, HTMX])
@pytest.mark.parametrize(
    ("positions", "sentence"),
    [
        ("1–5", "24-001A stands at position 4 and is to stay."),
        ("40", "Long Bed, row 1, 1–12 has no position 40."),
        ("a few", "‘a’ is no position: write them like 1–14, 16, 20–30."),
        ("9-2", "‘9–2’ does not run from a first to a last position."),
        ("", "Write the positions that were dug."),
    ],
)
def test_it_refuses_with_a_sentence_at_the_positions(
    owner_client: Client, decided, row_address: str, headers: dict, positions: str, sentence: str
) -> None:
    sent = {"positions": positions, "reason": "room for others"}
    answer = owner_client.post(row_address, sent, headers=headers)
    assert answer.status_code == 422
    assert texts(answer, ".field--bad .err") == [sentence]
    assert tree(answer).cssselect("[name=reason]")[0].get("value") == "room for others"
    assert tree(answer).cssselect("textarea[name=positions]")[0].text_content().strip() == positions
    assert not ClearOut.objects.exists()
    assert not headers or len(answer.content) < LARGEST_PART


def test_it_refuses_to_dig_twice(
    owner_client: Client, act, cast: Cast, decided, row_address: str
) -> None:
    clear_out(act(), row=cast.row, positions=[1, 2])
    answer = owner_client.post(row_address, {"positions": "1–3"})
    assert texts(answer, ".field--bad .err") == ["Nothing stands any more at 1–2."]


def test_it_offers_to_put_the_row_away_when_nothing_is_left(
    owner_client: Client, act, cast: Cast, decided, row_address: str
) -> None:
    place_plant(act(), plant=decided, bed=cast.bed, position="20")
    rest = "1–3, 5–12"
    answer = owner_client.post(row_address, {"positions": rest}, headers=HTMX)
    away = reverse("put-away", args=["row", cast.row.pk])
    assert links(answer, ".spade-row > p > a") == [away]
    assert texts(answer, ".spade-line") == ["Nothing stands here but what was moved."]
    assert links(owner_client.get(reverse("clear-out")), ".spade-row > p > a") == [away]


def test_it_names_what_was_discarded_after_it_was_moved(
    owner_client: Client, act, cast: Cast, decided
) -> None:
    place_plant(act(), plant=decided, bed=cast.bed, position="20")
    decide_at(act(), plant=decided, verdict="discard")
    page = owner_client.get(reverse("clear-out"))
    assert links(page, ".lines a") == [reverse("plant", args=[decided.pk])]
    assert texts(page, ".lines a") == ["24-001ALong Bed 20"]
    assert "24-001A" in words(owner_client.get(reverse("clear-out-pdf")))


def test_it_asks_as_often_however_much_there_is(
    owner_client: Client, act, cast: Cast, decided, django_assert_num_queries
) -> None:
    with django_assert_num_queries(10):
        owner_client.get(reverse("clear-out"))


def test_sheet__tells_the_same_in_print(owner_client: Client, cast: Cast, decided) -> None:
    answer = owner_client.get(reverse("clear-out-pdf"), {"paper": "Letter", "bed": cast.bed.pk})
    assert answer["Content-Type"] == "application/pdf"
    assert answer["Content-Disposition"] == 'inline; filename="clear-out-Letter.pdf"'
    assert "dig 1–3 · LEAVE 4 (24-001A, keep) · dig 5 · leave 6–12" in words(answer)


def test_sheet__takes_what_was_passed_over_when_asked(owner_client: Client, decided) -> None:
    told = words(owner_client.get(reverse("clear-out-pdf"), {"passed": "1"}))
    assert "dig 5–7 · leave 8–12" in told


def test_sheets__empty_ones_say_so(owner_client: Client, cast: Cast) -> None:
    assert "There is nothing to dig." in words(owner_client.get(reverse("clear-out-pdf")))
    assert "Nothing waits to be moved." in words(owner_client.get(reverse("resets-pdf")))


def test_resets__lead_to_the_form_of_the_new_place(
    owner_client: Client, cast: Cast, decided
) -> None:
    page = owner_client.get(reverse("resets"))
    assert links(page, ".resets .btn") == [reverse("plant-place", args=[decided.pk])]
    said = texts(page, ".resets li")[0]
    assert "24-001A row 1, position 4 Keep, 20 May" in said
    told = words(owner_client.get(reverse("resets-pdf")))
    for part in ("24-001A", "Long Bed", "row 1, 4", "1 to move"):
        assert part in told


def test_resets__drop_what_has_its_place(owner_client: Client, cast: Cast, decided) -> None:
    post(owner_client, reverse("plant-place", args=[decided.pk]), bed=cast.bed.pk, position="9")
    assert texts(owner_client.get(reverse("resets")), ".resets li") == []
    assert "Nothing waits to be moved" in texts(owner_client.get(reverse("resets")), ".empty")[0]


def test_resets__no_flower_is_made_up(owner_client: Client, decided) -> None:
    page = tree(owner_client.get(reverse("resets")))
    assert page.cssselect(".resets .token")[0].text_content() == "A"
    assert page.cssselect(".resets .flower") == []
    Plant.objects.filter(pk=decided.pk).update(standards="white")
    page = tree(owner_client.get(reverse("resets")))
    assert len(page.cssselect(".resets .flower")) == 1


def test_visitor__reads_and_records_nothing(
    visitor_client: Client, decided, row_address: str
) -> None:
    page = visitor_client.get(reverse("clear-out"))
    assert texts(page, ".spade-line") != []
    assert tree(page).cssselect("form[method=post]") == []
    assert visitor_client.post(row_address, {"positions": "1"}).status_code == 403
    assert links(visitor_client.get(reverse("resets")), ".resets .btn") == []
    assert Row.live.get().closed_on is None
