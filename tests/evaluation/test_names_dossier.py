"""The registration dossier: what it tells, what it says is missing, its page and its paper."""

from __future__ import annotations

import io
from datetime import date, timedelta

import pdfplumber
import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from breeding.records import note_bloom
from evaluation.merit import the_merit
from evaluation.models import Rubric
from evaluation.naming.dossier import AUTHORITY, dossier_of
from evaluation.naming.measures import Measure
from evaluation.naming.missing import missing_of
from evaluation.naming.parts import parts_of
from evaluation.records import (
    give_name,
    measure,
    propose_name,
    revise_rubric,
    score,
    select_seedling,
)
from evaluation.records.rubrics import FIELDS
from garden.models import Photo, Plant
from garden.photos import clean
from garden.records import add_photo, add_plant, change_plant, count_stock, place_plant
from tests.cast import Cast
from tests.pages import links, texts, tree
from tests.photos import drawn, encoded

pytestmark = pytest.mark.django_db

ORDER = ["Name and number", "Class", "Measures", "Bloom", "Flower", "Parentage", "History",
         "Scores", "Increase"]  # fmt: skip


@pytest.fixture(autouse=True)
def _own_shelf(settings, tmp_path) -> None:
    settings.PHOTOS_DIR = tmp_path / "photos"


@pytest.fixture
def plant(act, cast: Cast) -> Plant:
    return select_seedling(act(), row=cast.row, position=3, reason="wide falls").thing.plant


@pytest.fixture
def full() -> Rubric:
    return Rubric.live.get(purpose="full", replaced_by=None)


@pytest.fixture
def whole(act, cast: Cast, plant: Plant, full: Rubric, helper_person) -> Plant:
    """A plant of which nothing is missing."""
    change_plant(
        act(), plant=plant, breeder="Wanda", season="M", pattern="plicata", standards="white",
        falls="white", rim="violet", beard="yellow", rebloom=True,
    )  # fmt: skip
    propose_name(act(), plant=plant, text="Lantern at Dusk", note="the lamp")
    measure(act(person=helper_person), plant=plant, height_cm=91, branches=3, buds=8,
            flower_height_mm=120, flower_width_mm=130, day=date(2026, 5, 18))  # fmt: skip
    note_bloom(act(day=date(2026, 5, 17)), plant=plant, stage="first", day=date(2026, 5, 17))
    score(act(), rubric=full, plant=plant, marks={"form": 4, "increase": 3}, stalk="T3 B2 B2 S1")
    year_on = act(day=date(2027, 5, 20))
    year_on.received_at = year_on.happened_at + timedelta(minutes=1)
    score(year_on, rubric=full, plant=plant, marks={"form": 5}, day=date(2027, 5, 20))
    place_plant(act(), plant=plant, bed=cast.bed, position="4", increases=6)
    add_photo(act(), plant=plant, photo=clean(encoded(drawn())), caption="the first flower")
    return Plant.live.get(pk=plant.pk)


def told_of(plant: Plant):
    return dossier_of(Plant.live.get(pk=plant.pk), the_merit())


def facts(plant: Plant, title: str) -> dict[str, str]:
    part = next(part for part in parts_of(told_of(plant)) if part.title == title)
    return {fact.label: f"{fact.text} | {fact.beside}" for fact in part.facts}


def test_dossier__its_parts_stand_in_the_order_of_the_trade(plant) -> None:
    assert [part.title for part in parts_of(told_of(plant))] == ORDER


def test_dossier__name_number_class_and_parentage(whole) -> None:
    named = facts(whole, "Name and number")
    assert named["Proposed name"] == "Lantern at Dusk | proposed by Wanda on 20 May 2026"
    assert named["Seedling number"] == "24-001A | "
    classed = facts(whole, "Class")
    assert classed["Recorded"] == "Tall bearded | "
    assert classed["By measure"] == "TB | 35.8 in (91 cm) high"
    assert facts(whole, "Parentage")["Parentage"] == "Quillon Teapot × Marzipan Ledger | "


def test_dossier__counted_fans_are_its_increase_too(act, plant) -> None:
    count_stock(act(day=date(2025, 8, 20)), plant=plant, number=9, elsewhere="in pots")
    assert facts(plant, "Increase") == {"2025": "9 fans (in pots) | "}


def test_dossier__measures_are_the_newest_with_who_and_when(whole) -> None:
    told = facts(whole, "Measures")
    assert told["Height"] == "91 cm (35.8 in) | measured on 18 May 2026 by Emil"
    # The stalk was counted two days after that.
    assert told["Buds"] == "8 | a counted stalk on 20 May 2026 by Wanda; before that 8"
    assert told["Branches and spurs"].startswith("3 | a counted stalk on 20 May 2026 by Wanda")
    assert told["Flower, width"] == "13 cm (5.1 in) | measured on 18 May 2026 by Emil"


def test_dossier__bloom_flower_and_increase(whole) -> None:
    bloom = facts(whole, "Bloom")
    assert bloom["Season"] == "M, midseason | of its class"
    assert bloom["Rebloom"] == "yes, RE | "
    assert bloom["2026"] == "first flower 17 May | "
    flower = facts(whole, "Flower")
    assert flower["Pattern"] == "plicata | "
    assert "violet" in flower["Description"]
    assert facts(whole, "Increase") == {
        "2026": "6 increases in Long Bed 4, 3 in the score of Wanda | "
    }


def test_dossier__history_from_the_cross_on(whole) -> None:
    told = told_of(whole).history
    assert [(each.step, each.when) for each in told] == [
        ("Crossed", "1 June 2024"), ("Harvested", "28 July 2024"), ("Sown", "25 November 2024"),
        ("Lined out", "10 June 2025"), ("First bloom", "17 May 2026"),
        ("Selected", "20 May 2026"),
    ]  # fmt: skip
    assert told[0].text == "cross 24-001, 1 flower worked"
    assert told[-1].text.endswith(": wide falls")


def test_dossier__scores_year_by_year_with_merit_and_interval(whole) -> None:
    told = facts(whole, "Scores")
    assert list(told) == ["2027", "2026"]
    assert told["2026"].startswith("1 score by 1 person, mean ")
    words = told_of(whole).merit_words
    assert "Judged twice by one person in two seasons: merit " in words
    assert "likely between" in words


def test_dossier__a_name_that_was_given_is_told_with_its_day(act, whole) -> None:
    give_name(act(), proposed=whole.proposed_names.get(), reason="short")
    told = told_of(whole)
    assert told.title == "Lantern at Dusk"
    assert facts(whole, "Name and number")["Seedling number"] == "24-001A | "
    assert told.history[-1].step == "Named"
    assert told.history[-1].text == "‘Lantern at Dusk’, proposed by Wanda: short"


def test_dossier__measures_by_criteria_of_the_gardens_own(act, plant, full) -> None:
    kept = [{name: getattr(each, name) for name in FIELDS} for each in full.criteria.all()]
    own = {
        **dict.fromkeys(FIELDS, ""), "key": "height", "title": "Height", "group": "stalk",
        "scale": "measure", "weight": 1.0, "least": 20.0, "full": 40.0, "unit": "in",
        "choices": [], "full_words": "Tall.",
    }  # fmt: skip
    rubric = revise_rubric(act(), rubric=full, criteria=[*kept, own], reason="measured").thing
    score(act(), rubric=rubric, plant=plant, marks={"height": 30.0})
    (height,) = told_of(plant).measures["height"]
    assert isinstance(height, Measure)
    assert (round(height.value, 1), height.by, height.day) == (76.2, "Wanda", date(2026, 5, 20))


def test_dossier__a_bought_plant_has_one_too(cast) -> None:
    told = told_of(cast.teapot)
    assert (told.origin, told.history, told.parentage) == (None, [], "")
    assert parts_of(told)


def missing(plant: Plant) -> list[str]:
    return [each.text for each in missing_of(told_of(plant))]


def test_missing__nothing_of_a_whole_one(whole) -> None:
    assert missing(whole) == []


def test_missing__everything_of_a_new_one(plant) -> None:
    assert missing(plant) == [
        "No name is proposed.", "Nobody is written down as breeder.",
        "The height is not measured.", "Branches and buds are not counted.",
        "The flower is not measured.", "No season of bloom within the class.",
        "No day of its bloom is noted.", "The flower is not described.", "No colour pattern.",
        "No season with scores.", "No photo.",
    ]  # fmt: skip


def test_missing__contradictions_stand_first(act, plant) -> None:
    measure(act(), plant=plant, height_cm=30)
    first = missing_of(told_of(plant))[0]
    assert first.contradiction
    assert first.text == "TB is over 27½ in high; this one was 11.8 in."


def test_missing__several_names_and_a_height_of_nobody(act, plant) -> None:
    for text in ("Zyntra", "Lantern at Dusk"):
        propose_name(act(), plant=plant, text=text)
    change_plant(act(), plant=plant, height_cm=90)
    told = missing(plant)
    assert told[0] == "2 names are proposed; one is to be given."
    assert "Who measured the height, and when, is not known." in told


def test_missing__every_link_opens_a_form(owner_client: Client, plant) -> None:
    for each in missing_of(told_of(plant)):
        answer = owner_client.get(each.link)
        assert answer.status_code == 200
        assert tree(answer).cssselect("main form[method=post]")


def address(plant: Plant, name: str = "dossier") -> str:
    return reverse(name, args=[plant.pk])


def test_page__says_what_is_missing_before_anything_else(owner_client: Client, plant) -> None:
    page = owner_client.get(address(plant))
    order = texts(page, "main h2")
    assert order[: len(ORDER) + 1] == ["Still missing", *ORDER]
    assert texts(page, ".dossier-authority") == [AUTHORITY]
    assert reverse("plant-names", args=[plant.pk]) in links(page, ".dossier-missing a")


def test_page__a_visitor_reads_without_forms(visitor_client: Client, plant) -> None:
    page = visitor_client.get(address(plant))
    assert page.status_code == 200
    assert links(page, ".dossier-missing a") == []
    assert texts(page, ".act a") == []


def test_page__takes_as_many_queries_for_a_long_record(
    owner_client: Client, act, whole, full
) -> None:
    owner_client.get(address(whole))
    with CaptureQueriesContext(connection) as before:
        owner_client.get(address(whole))
    for at in range(4):
        score(act(), rubric=full, plant=whole, marks={"form": 3}, stalk="T2 B1")
        measure(act(), plant=whole, height_cm=80 + at)
        propose_name(act(), plant=whole, text=f"Zyntra {'ABCD'[at]}bel")
    owner_client.get(address(whole))
    with CaptureQueriesContext(connection) as after:
        owner_client.get(address(whole))
    assert len(after) == len(before)


@pytest.mark.parametrize("name", ["dossier", "dossier-pdf"])
def test_page__of_nothing_is_nowhere(owner_client: Client, cast, name: str) -> None:
    assert owner_client.get(reverse(name, args=[10**15])).status_code == 404


def sheets(answer) -> list[str]:
    with pdfplumber.open(io.BytesIO(answer.content)) as pdf:
        return [" ".join(page.extract_text().split()) for page in pdf.pages]


@pytest.mark.parametrize(("paper", "size"), [("A4", (595, 842)), ("Letter", (612, 792))])
def test_paper__tells_what_the_page_tells(
    owner_client: Client, whole, paper: str, size: tuple[int, int]
) -> None:
    answer = owner_client.get(address(whole, "dossier-pdf"), {"paper": paper})
    assert answer["Content-Type"] == "application/pdf"
    with pdfplumber.open(io.BytesIO(answer.content)) as pdf:
        assert {(round(page.width), round(page.height)) for page in pdf.pages} == {size}
        assert sum(len(page.images) for page in pdf.pages) == 1
        fonts = {char["fontname"] for page in pdf.pages for char in page.chars}
    assert not any("Helvetica" in font for font in fonts)
    told = " ".join(sheets(answer))
    for part in parts_of(told_of(whole)):
        assert part.title in told
        for fact in part.facts:
            assert fact.text in told
    assert AUTHORITY in told
    assert "Still missing" not in told


def test_paper__says_what_is_missing_on_its_first_page(owner_client: Client, plant) -> None:
    first = sheets(owner_client.get(address(plant, "dossier-pdf")))[0]
    assert first.index("Still missing") < first.index("Name and number")
    assert all(each.text in first for each in missing_of(told_of(plant)))


def test_paper__bears_long_and_strange_words(owner_client: Client, act, cast) -> None:
    plant = add_plant(
        act(), number="Ź" * 40, breeder="שלום " * 12, description="word " * 119, standards="white",
        seed_parent_text="花" * 100, pollen_parent_text="x" * 200,
    ).thing  # fmt: skip
    told = sheets(owner_client.get(address(plant, "dossier-pdf")))
    assert " ".join(told).count("word") == 119


def test_paper__without_the_file_of_a_photo(
    owner_client: Client, whole, settings, tmp_path
) -> None:
    settings.PHOTOS_DIR = tmp_path / "elsewhere"
    assert Photo.live.filter(plant=whole).exists()
    assert owner_client.get(address(whole, "dossier-pdf")).status_code == 200
