"""The pages of labels: the queue, the print form, what was printed, sizes, the address."""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import Any
from unittest.mock import patch

import pdfplumber
import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from breeding.records import sow
from evaluation.records import select_seedling
from garden.labels.codes import keyed
from garden.models import Labelled, LabelRun, LabelSheet, LabelShift
from garden.records import add_label_sheet, fix_label_address, print_labels, undo
from garden.remembered import Opened
from garden.verbs import Act
from tests.browser.labelled import STAKES, USUAL
from tests.cast import Cast
from tests.pages import links, post, texts, tree

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _named() -> Any:
    """A computer of a known name, opened at a known port."""
    with (
        patch("garden.labelbase.local_name", return_value="millrace.local"),
        patch("garden.labelbase.last_time", return_value=Opened(False, 8000)),
    ):
        yield


def sent(cast: Cast, **more: Any) -> dict[str, Any]:
    things = f"pot.{cast.pot.pk} row.{cast.row.pk}"
    return {"things": things, "sheet": USUAL, "start": "5", "copies": "2", "flowers": "on",
            "codes": "on"} | more  # fmt: skip


def the_pdf(client: Client, run: LabelRun) -> Any:
    answer = client.get(reverse("label-run-pdf", args=[run.pk]))
    assert answer["Content-Type"] == "application/pdf"
    return pdfplumber.open(io.BytesIO(answer.content))


def test_queue__shows_what_waits(helper_client: Client, cast: Cast) -> None:
    page = helper_client.get(reverse("labels"))
    assert texts(page, "h2")[:3] == ["Cups 1", "Pots 1", "Rows 1"]
    ticks = [box.get("value") for box in tree(page).cssselect("input[name=thing][checked]")]
    assert ticks == [f"cup.{cast.cup.pk}", f"pot.{cast.pot.pk}", f"row.{cast.row.pk}"]
    assert texts(page, ".top p.soft") == ["3 things wait for a label."]


def test_queue__takes_the_rest_of_a_kind_along(
    helper_client: Client, cast: Cast, act: Callable[..., Act], monkeypatch: pytest.MonkeyPatch
) -> None:
    sow(act(), cup=cast.cup, seeds=3)
    monkeypatch.setattr("garden.labelqueue.queue.__defaults__", (1,))
    page = helper_client.get(reverse("labels"))
    assert texts(page, ".label-lines .tick") == ["and 1 more pots"]
    asked = helper_client.get(reverse("label-print") + f"?thing=pot.{cast.pot.pk}&all=pot")
    assert texts(asked, "#label-things") == ["2 labels, 1 sheet"]


def test_print__notes_the_run_and_leads_to_its_pdf(helper_client: Client, cast: Cast) -> None:
    asked = helper_client.get(reverse("label-print") + f"?thing=pot.{cast.pot.pk}&thing=pot.x")
    assert texts(asked, ".act button") == ["Print 1 label"]
    answer = post(helper_client, reverse("label-print"), **sent(cast))
    run = LabelRun.live.get()
    assert answer.status_code == 303
    assert answer["Location"].startswith(reverse("label-run", args=[run.pk]))
    assert (run.start, run.copies, run.address) == (5, 2, "http://millrace.local:8000")
    assert list(Labelled.live.values_list("kind", flat=True)) == ["pot", "row"]
    page = helper_client.get(answer["Location"])
    assert page.headers["Refresh"] == f"0; url={reverse('label-run-pdf', args=[run.pk])}?keep=1"
    assert texts(page, "h1") == ["4 labels"]
    again = helper_client.get(reverse("label-run", args=[run.pk]))
    assert "Refresh" not in again.headers
    with the_pdf(helper_client, run) as pdf:
        words = pdf.pages[0].extract_text()
        assert words.count("24-001-1-1") == 2
        assert words.count(keyed("R", cast.row.pk)) == 2
        assert len(pdf.pages) == 1


def test_print__begins_at_the_place_that_was_chosen(helper_client: Client, cast: Cast) -> None:
    post(helper_client, reverse("label-print"), **sent(cast, start="24", copies="1"))
    with the_pdf(helper_client, LabelRun.live.get()) as pdf:
        assert len(pdf.pages) == 2
        code = next(word for word in pdf.pages[0].extract_words() if word["text"] == "24-001-1-1")
        # The last of 3 × 8 places of 70 × 36 mm.
        assert code["x0"] > 140 / 25.4 * 72
        assert code["top"] > 7 * 36 / 25.4 * 72
        assert keyed("R", cast.row.pk) in pdf.pages[1].extract_text()


def test_print__twice_sent_counts_once(helper_client: Client, cast: Cast) -> None:
    form = sent(cast) | {"entry": "6f4a4f0e-4d5e-4f8e-8f57-0a2b7c1d9e33"}
    first = helper_client.post(reverse("label-print"), form)
    again = helper_client.post(reverse("label-print"), form)
    assert first["Location"] == again["Location"]
    assert LabelRun.live.count() == 1


def test_print__without_codes_carries_no_address(helper_client: Client, cast: Cast) -> None:
    form = sent(cast)
    del form["codes"], form["flowers"]
    post(helper_client, reverse("label-print"), **form)
    run = LabelRun.live.get()
    assert (run.address, run.flowers) == ("", False)
    with the_pdf(helper_client, run) as pdf:
        assert "24-001-1-1" in pdf.pages[0].extract_text()


def test_print__shows_another_sheet_and_keeps_nothing(helper_client: Client, cast: Cast) -> None:
    form = sent(cast, sheet="a4-65-38-1x21-2", _show="1", _of=USUAL)
    answer = helper_client.post(reverse("label-print"), form, headers={"HX-Request": "true"})
    assert answer.status_code == 200
    assert len(tree(answer).cssselect("input[name=start]")) == 65
    assert texts(answer, ".act button") == ["Print 4 labels"]
    assert tree(answer).cssselect("html head title") == []
    assert not LabelRun.objects.exists()


def test_print__proposes_where_the_half_used_sheet_stands(
    helper_client: Client, cast: Cast, act: Callable[..., Act]
) -> None:
    print_labels(act(), things=[("cup", cast.cup.pk)], sheet=USUAL, copies=7)
    page = helper_client.get(reverse("label-print") + f"?thing=pot.{cast.pot.pk}")
    chosen = tree(page).cssselect("input[name=start][checked]")
    assert [box.get("value") for box in chosen] == ["8"]
    assert len(tree(page).cssselect(".place--taken")) == 7


def test_print__on_a_sheet_of_very_many_takes_a_number(
    helper_client: Client, cast: Cast, act: Callable[..., Act]
) -> None:
    narrow = STAKES | {"title": "Many", "columns": 9, "label_width": 20.0, "label_height": 10.0,
                       "rows": 20, "gap_y": 0.0}  # fmt: skip
    own = add_label_sheet(act(), **narrow).thing
    page = helper_client.get(reverse("label-print") + f"?thing=pot.{cast.pot.pk}&sheet={own.key}")
    [field] = tree(page).cssselect("input[name=start]")
    assert (field.get("type"), field.get("value")) == ("text", "1")


def test_print__with_nothing_ticked_says_so(helper_client: Client, cast: Cast) -> None:
    page = helper_client.get(reverse("label-print"))
    assert texts(page, ".empty") == ["Nothing is ticked. Back to the labels"]
    answer = post(helper_client, reverse("label-print"), **sent(cast, things=""))
    assert answer.status_code == 422
    assert not LabelRun.objects.exists()


def test_print__of_something_struck_out_meanwhile_is_refused(
    helper_client: Client, cast: Cast
) -> None:
    answer = post(helper_client, reverse("label-print"), **sent(cast, things="pot.99999"))
    assert answer.status_code == 422
    assert "struck out" in texts(answer, ".errors")[0]


def test_need_none__takes_them_out_of_the_queue(helper_client: Client, cast: Cast) -> None:
    asked = helper_client.get(reverse("label-none") + f"?thing=row.{cast.row.pk}")
    assert texts(asked, ".label-things b") == [keyed("R", cast.row.pk)]
    answer = post(helper_client, reverse("label-none"), True, things=f"row.{cast.row.pk}")
    assert texts(answer, "h2")[:3] == ["Cups 1", "Pots 1", "Printed"]


def test_run__is_printed_again_with_the_same_things(
    helper_client: Client, cast: Cast, act: Callable[..., Act]
) -> None:
    things = [("row", cast.row.pk), ("plant", cast.teapot.pk)]
    run = print_labels(act(), things=things, sheet=USUAL).thing
    page = helper_client.get(reverse("label-run", args=[run.pk]))
    again = next(link for link in links(page, ".act a") if "?run=" in link)
    asked = helper_client.get(again)
    [hidden] = tree(asked).cssselect("input[name=things]")
    assert hidden.get("value") == f"row.{cast.row.pk} plant.{cast.teapot.pk}"


def test_run__that_was_undone_is_gone(
    helper_client: Client, cast: Cast, act: Callable[..., Act]
) -> None:
    kept = print_labels(act(), things=[("row", cast.row.pk)], sheet=USUAL)
    undo(act(), line=kept.line)
    for name in ("label-run", "label-run-pdf"):
        assert helper_client.get(reverse(name, args=[kept.thing.pk])).status_code == 404
    assert texts(helper_client.get(reverse("label-runs")), ".empty") == ["No label is printed yet."]


def test_pdf__is_for_nobody_outside(
    client: Client, visitor_client: Client, cast: Cast, act: Callable[..., Act]
) -> None:
    run = print_labels(act(), things=[("row", cast.row.pk)], sheet=USUAL).thing
    address = reverse("label-run-pdf", args=[run.pk])
    assert client.get(address).status_code == 302
    assert visitor_client.get(address).status_code == 403


def test_things__each_lead_to_their_label(
    helper_client: Client, cast: Cast, act: Callable[..., Act]
) -> None:
    seedling = select_seedling(act(), row=cast.row, position=3).thing
    pages = {
        "plant": reverse("plant", args=[cast.teapot.pk]),
        "cup": reverse("cup", args=[cast.cup.code]),
        "pot": reverse("pot", args=[cast.pot.code]), "row": reverse("row", args=[cast.row.pk]),
        "tag": reverse("tag", args=[cast.flower.tag.code]),
        "cross": reverse("cross", args=[cast.cross.code]),
        "seedling": reverse("seedling", args=[seedling.code]),
    }  # fmt: skip
    for key, address in pages.items():
        [link] = [to for to in links(helper_client.get(address)) if "/labels/print/" in to]
        asked = helper_client.get(link)
        assert texts(asked, ".act button") == ["Print 1 label"], key
        assert f"?thing={key}." in link


def test_kind__lists_plants_without_a_label_or_all(
    helper_client: Client, cast: Cast, act: Callable[..., Act]
) -> None:
    address = reverse("labels-of", args=["plant"])
    assert len(texts(helper_client.get(address), ".label-line")) == 6
    print_labels(act(), things=[("plant", cast.teapot.pk)], sheet=USUAL)
    assert len(texts(helper_client.get(address), ".label-line")) == 5
    assert len(texts(helper_client.get(address + "?every=1"), ".label-line")) == 6
    assert helper_client.get(reverse("labels-of", args=["spade"])).status_code == 404


def test_sizes__own_and_ready_made(helper_client: Client, cast: Cast) -> None:
    answer = post(helper_client, reverse("label-sheet-new"), True, **STAKES | {"roll": ""})
    assert texts(answer, "h1") == [STAKES["title"]]
    assert len(tree(answer).cssselect("svg .label-spot")) == 4
    own = LabelSheet.live.get()
    assert texts(helper_client.get(reverse("label-sheets")), ".label-sizes a")[0] == own.title
    gone = post(helper_client, reverse("label-sheet-strike", args=[own.pk]), True)
    assert own.title not in texts(gone, ".label-sizes a")
    assert helper_client.get(reverse("label-sheet", args=[own.key])).status_code == 302
    assert helper_client.get(reverse("label-sheet", args=["own-99"])).status_code == 404


def test_shift__moves_the_print(helper_client: Client, cast: Cast) -> None:
    form = sent(cast, start="1", copies="1")
    post(helper_client, reverse("label-print"), **form)
    run = LabelRun.live.get()
    with the_pdf(helper_client, run) as pdf:
        before = pdf.pages[0].extract_words()[0]
    post(helper_client, reverse("label-sheet", args=[USUAL]), right="2.5", down="-1")
    assert LabelShift.live.get().right == 2.5
    with the_pdf(helper_client, run) as pdf:
        after = pdf.pages[0].extract_words()[0]
    assert after["x0"] - before["x0"] == pytest.approx(2.5 / 25.4 * 72, abs=0.01)
    assert after["top"] - before["top"] == pytest.approx(-1 / 25.4 * 72, abs=0.01)


def test_test_page__is_a_pdf_of_the_sheets_size(helper_client: Client, cast: Cast) -> None:
    answer = helper_client.get(reverse("label-sheet-test", args=[USUAL]))
    with pdfplumber.open(io.BytesIO(answer.content)) as pdf:
        # ISO 216: A4 is 210 × 297 mm.
        assert float(pdf.pages[0].width) == pytest.approx(210 / 25.4 * 72, abs=0.1)
        assert float(pdf.pages[0].height) == pytest.approx(297 / 25.4 * 72, abs=0.1)


def test_address__is_told_and_fixed(owner_client: Client, cast: Cast) -> None:
    page = owner_client.get(reverse("label-sheets"))
    assert texts(page, ".prose .label-address") == ["http://millrace.local:8000"]
    assert "The name stays" in texts(page, ".prose p")[1]
    owner_client.post(reverse("label-address"), {"address": "https://irises.example:8443"})
    page = owner_client.get(reverse("label-sheets"))
    assert texts(page, ".prose .label-address") == ["https://irises.example:8443"]
    post(owner_client, reverse("label-print"), **sent(cast))
    assert LabelRun.live.get().address == "https://irises.example:8443"


@pytest.mark.parametrize(
    ("name", "opened", "host", "base", "lasts", "reaches"),
    [
        ("millrace.local", Opened(True, 8443), "127.0.0.1:8443", "http", True, True),
        ("millrace.local", Opened(), "127.0.0.1:8003", "http://millrace.local:8003", True, True),
        ("millrace.local", Opened(False, 80), "127.0.0.1", "http://millrace.local", True, True),
        ("", Opened(False, 8000), "192.168.1.20:8000", "http://192.168.1.20:8000", False, True),
        ("", Opened(False, 8000), "127.0.0.1:8000", "http://localhost:8000", False, False),
    ],
)
def test_address__follows_how_the_garden_is_opened(
    rf: Any, owner: Any, settings: Any, name: str, opened: Opened, host: str, base: str,
    lasts: bool, reaches: bool,
) -> None:  # fmt: skip
    from garden.labelbase import label_base

    settings.ALLOWED_HOSTS = ["*"]
    request = rf.get("/", headers={"Host": host})
    with (
        patch("garden.labelbase.local_name", return_value=name),
        patch("garden.labelbase.last_time", return_value=opened),
        patch("garden.labelbase.home_addresses", return_value=[]),
        patch("garden.labelbase.read_authority") as authority,
    ):
        authority.return_value.name = name
        found = label_base(request)
    assert found.address == (base if "://" in base else f"https://{name}:8443")
    assert (found.lasts, found.reaches) == (lasts, reaches)


def test_old_label__leads_to_its_plant_after_the_address_has_changed(
    owner_client: Client, cast: Cast, act: Callable[..., Act]
) -> None:
    fix_label_address(act(), address="http://192.168.1.20:8000")
    from garden.labelling import gathered, labels_of

    [label] = labels_of(gathered([("plant", cast.teapot.pk)]), "http://192.168.1.20:8000")
    fix_label_address(act(), address="https://quite.another.example")
    answer = owner_client.get(reverse("scan"), {"code": label.payload}, follow=True)
    assert answer.request["PATH_INFO"] == reverse("plant", args=[cast.teapot.pk])


def queries(client: Client, address: str) -> int:
    with CaptureQueriesContext(connection) as seen:
        assert client.get(address).status_code == 200
    return len(seen)


def test_pages__cost_the_same_queries_for_few_and_many(
    helper_client: Client, cast: Cast, act: Callable[..., Act]
) -> None:
    for position in range(2, 4):
        select_seedling(act(), row=cast.row, position=position)
    run = print_labels(act(), things=[("tag", tag.pk) for tag in cast.sheet.tags.all()][:2],
                       sheet=USUAL).thing  # fmt: skip
    pages = [reverse("labels"), reverse("label-print") + "?all=seedling&all=plant",
             reverse("labels-of", args=["tag"]), reverse("label-runs"),
             reverse("label-print") + f"?run={run.pk}"]  # fmt: skip
    before = [queries(helper_client, page) for page in pages]
    for position in range(4, 9):
        select_seedling(act(), row=cast.row, position=position)
    print_labels(act(), things=[("tag", tag.pk) for tag in cast.sheet.tags.all()], sheet=USUAL)
    assert [queries(helper_client, page) for page in pages] == before
    assert max(before) <= 30
