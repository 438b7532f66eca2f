"""Pages of choosing: the table, one candidate, some side by side, decisions, the plot."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from evaluation.models import Candidate, Decision, Rubric, Seedling
from evaluation.records import decide, glance, score
from garden.models import JournalLine
from garden.photos import clean
from garden.records import undo
from tests.cast import Cast
from tests.pages import links, post, texts, tree
from tests.photos import drawn, encoded

Acts = Callable[..., object]
TABLE, COMPARE, MANY, PLOT = map(reverse, ("candidates", "compare", "decide-many", "merit-plot"))
MOST_QUERIES = 14
NONSENSE = ["0", "x", "-1", "9" * 30, "٣", "\x00", "🌷", "12" * 400]


@pytest.fixture
def scored(act: Acts, cast: Cast, helper_person: object) -> list[Candidate]:
    """Six seedlings: position 1 the best by form; two of them scored by the helper as well."""
    full = Rubric.live.get(name="Full hundred")
    for at in range(1, 7):
        marks = {"form": 6 - at, "vigour": 6 - at, "novelty": at % 3}
        score(act(), rubric=full, row=cast.row, position=at, marks=marks, stalk="T3 B2 S1")
        if at < 3:
            marks = {"form": 4 - at}
            score(act(helper_person), rubric=full, row=cast.row, position=at, marks=marks,
                  note="firm in the rain")  # fmt: skip
    return list(Candidate.live.order_by("position"))


def names(page: object) -> list[str]:
    return texts(page, "table.choose tbody .name")


def at(position: int) -> str:
    return f"24-001 · {position}"


def ticked(candidates: list[Candidate]) -> str:
    return "?" + "&".join(f"c={each.pk}" for each in candidates)


def test_table__the_best_first_with_its_interval_in_words(
    owner_client: Client, scored: list[Candidate]
) -> None:
    page = owner_client.get(TABLE)
    assert set(names(page)) == {at(position) for position in range(1, 7)}
    assert names(page)[-1] == at(6)
    told = [int(text) for text in texts(page, ".choose-merit")]
    assert told == sorted(told, reverse=True)
    assert texts(page, ".choose-who .small") == [f"{place} of 6" for place in range(1, 7)]
    spans = texts(page, ".choose-span")
    assert all(" to " in span and "known" in span for span in spans)
    assert len(tree(page).cssselect(".choose-span svg[aria-hidden]")) == 6
    judged = dict(zip(names(page), texts(page, ".choose-judged"), strict=True))
    assert judged == {at(position): "2× by 2 2026" if position < 3 else "1× by 1 2026"
                      for position in range(1, 7)}  # fmt: skip
    assert texts(page, ".choose-from .parents")[0] == "Quillon Teapot × Marzipan Ledger"


def test_table__begins_with_the_newest_season_judged(
    owner_client: Client, act: Acts, cast: Cast, scored: list[Candidate]
) -> None:
    glance(act(day=date(2026, 6, 1)), row=cast.row, position=9, found="again")
    assert len(names(owner_client.get(TABLE))) == 7
    form = owner_client.get(TABLE).context["form"]
    assert form.chosen() == {"season": "2026"}
    assert names(owner_client.get(TABLE + "?season=1999")) == names(owner_client.get(TABLE))


def test_table__empty_garden_says_what_to_do(owner_client: Client, cast: Cast) -> None:
    assert "No seedling is judged yet" in texts(owner_client.get(TABLE), ".empty")[0]


def test_table__filters_and_says_when_none_is_left(
    owner_client: Client, helper_client: Client, act: Acts, scored: list[Candidate]
) -> None:
    decide(act(), candidates=scored[2:3], verdict="discard")
    assert names(owner_client.get(TABLE + "?verdict=discard")) == [at(3)]
    assert at(3) not in names(owner_client.get(TABLE + "?verdict=open"))
    assert names(helper_client.get(TABLE + "?mine=yes")) == [at(1), at(2)]
    assert names(owner_client.get(TABLE + "?least=2&sort=place")) == [at(1), at(2)]
    assert texts(owner_client.get(TABLE + "?text=nobody"), ".empty") == [
        "No candidate is like that."
    ]


def test_table__htmx_gets_the_table_alone(owner_client: Client, scored: list[Candidate]) -> None:
    part = owner_client.get(TABLE + "?text=teapot", headers={"HX-Request": "true"})
    assert not tree(part).cssselect("h1")
    assert len(names(part)) == 6
    assert texts(part, "#choose-told") == ["6 candidates"]


@pytest.mark.parametrize("sort", ["merit", "-merit", "low", "plain", "place", "-place"])
def test_table__pages_follow_each_other(
    owner_client: Client, scored: list[Candidate], monkeypatch: pytest.MonkeyPatch, sort: str
) -> None:
    monkeypatch.setattr("evaluation.views.choosing.ON_A_PAGE", 2)
    seen, query = [], f"?sort={sort}"
    while query:
        page = owner_client.get(TABLE + query)
        seen += names(page)
        following = [link for link in links(page, ".turn a") if "after=" in link]
        query = following[0].removeprefix(TABLE) if following else ""
    assert sorted(seen) == [at(position) for position in range(1, 7)]


def test_table__headings_turn_the_order(owner_client: Client, scored: list[Candidate]) -> None:
    page = owner_client.get(TABLE + "?sort=place")
    (place,) = tree(page).cssselect("th[aria-sort]")
    assert place.get("aria-sort") == "ascending"
    assert "sort=-place" in place.cssselect("a")[0].get("href")
    merit = tree(owner_client.get(TABLE)).cssselect("th[aria-sort]")[0]
    assert (merit.get("aria-sort"), "sort=-merit" in merit.cssselect("a")[0].get("href")) == (
        "descending", True,
    )  # fmt: skip


@pytest.mark.parametrize("nonsense", NONSENSE)
def test_pages__answer_nonsense(
    owner_client: Client, scored: list[Candidate], nonsense: str
) -> None:
    fields = ("season", "text", "verdict", "bed", "mine", "least", "iris_class", "sort", "after",
              "c", "x", "y")  # fmt: skip
    asked = dict.fromkeys(fields, nonsense)
    for address in (TABLE, COMPARE, MANY, PLOT, reverse("merit-plot-image")):
        assert owner_client.get(address, asked).status_code == 200
    for name in fields:
        assert owner_client.get(TABLE, {name: nonsense}).status_code == 200
    assert owner_client.get(reverse("candidate", args=[10**17])).status_code == 404
    assert owner_client.get(reverse("decide", args=[10**17])).status_code == 404


@pytest.mark.parametrize("address", [TABLE, PLOT, COMPARE])
def test_pages__ask_a_fixed_number_of_queries(
    owner_client: Client, act: Acts, cast: Cast, scored: list[Candidate], address: str,
    django_assert_num_queries: Callable,
) -> None:  # fmt: skip
    few, many = (f"{address}{ticked(some)}" for some in (scored[:2], scored))
    decide(act(), candidates=scored[:1], verdict="keep")
    owner_client.get(few)
    with CaptureQueriesContext(connection) as asked:
        owner_client.get(few)
    queries = len(asked)
    assert 0 < queries <= MOST_QUERIES
    full = Rubric.live.get(name="Full hundred")
    for position in range(7, 13):
        score(act(), rubric=full, row=cast.row, position=position, marks={"form": 3, "novelty": 1})
    owner_client.get(many)
    with django_assert_num_queries(queries):
        owner_client.get(many)


def test_candidate__every_score_stands_for_itself(
    owner_client: Client, scored: list[Candidate]
) -> None:
    page = owner_client.get(reverse("candidate", args=[scored[0].pk]))
    assert [text[:5] for text in texts(page, ".side-tab thead th")[1:]] == ["Emil2", "Wanda"]
    rows = {row[0]: row[1:] for row in
            ([cell.text_content().strip() for cell in line.cssselect("th, td")]
             for line in tree(page).cssselect(".side-tab tbody tr"))}  # fmt: skip
    assert rows["Form0 to 5"] == ["3", "5"]
    assert rows["Foliage0 to 5"] == ["no mark", "no mark"]
    rests = next(row for row in texts(page, ".side-words") if row.startswith("Rests on"))
    assert "judged on 9 of 100 points" in rests
    assert any("firm in the rain" in row for row in texts(page, ".side-words"))
    assert "Judged twice by two people in one season" in texts(page, ".told-merit p")[0]
    assert "likely between" in texts(page, ".told-merit p")[0]
    assert len(tree(page).cssselect(".grown svg")) == 1
    assert "days in bloom" in texts(page, ".grown figcaption")[0]


def test_candidate__its_looks_decisions_and_ways_on(
    owner_client: Client, act: Acts, cast: Cast, scored: list[Candidate]
) -> None:
    glance(act(), row=cast.row, position=1, found="again", note="blue beard")
    decide(act(), candidates=scored[:1], verdict="watch", reason="once more")
    address = reverse("candidate", args=[scored[0].pk])
    page = owner_client.get(address)
    assert "blue beard" in texts(page, "#looks ~ ol")[0]
    assert texts(page, "#decisions ~ ol .hand") == ["once more"]
    assert reverse("select-seedling", args=[cast.row.pk]) in links(page, ".corrections a")
    assert reverse("decide", args=[scored[0].pk]) in links(page, ".act a")
    beside = next(link for link in links(page) if link.startswith(COMPARE))
    assert len(tree(owner_client.get(beside)).cssselect(".side-who")) == 6


def test_candidate__selected_leads_to_its_seedling_and_back(
    owner_client: Client, act: Acts, scored: list[Candidate]
) -> None:
    decide(act(), candidates=scored[:1], verdict="keep")
    page = owner_client.get(reverse("candidate", args=[scored[0].pk]))
    assert texts(page, "h1") == ["24-001A"]
    seedling = reverse("seedling", args=["24-001A"])
    assert seedling in links(page, ".corrections a")
    assert reverse("candidate", args=[scored[0].pk]) in links(owner_client.get(seedling))


def test_candidate__photos_stand_before_the_drawing(
    owner_client: Client, act: Acts, cast: Cast, settings: object, tmp_path: object
) -> None:
    settings.PHOTOS_DIR = tmp_path
    full = Rubric.live.get(name="Full hundred")
    photo = clean(encoded(drawn()))
    scoring = score(
        act(), rubric=full, row=cast.row, position=4, marks={"form": 4}, photo=photo
    ).thing
    small = reverse("photo-file", args=[photo.digest, "small"])
    found = tree(owner_client.get(TABLE)).cssselect("img.face")
    assert [(image.get("src"), image.get("loading")) for image in found] == [(small, "lazy")]
    page = owner_client.get(reverse("candidate", args=[scoring.candidate_id]))
    assert tree(page).cssselect("img.face--hero")[0].get("src") == small.replace("small", "middle")


def test_candidate__struck_out_is_gone(
    owner_client: Client, act: Acts, cast: Cast, scored: list[Candidate]
) -> None:
    kept = glance(act(), row=cast.row, position=9, found="again")
    called = Candidate.live.get(position=9)
    undo(act(), line=kept.line)
    for name in ("candidate", "decide"):
        assert owner_client.get(reverse(name, args=[called.pk])).status_code == 404
    assert texts(owner_client.get(f"{COMPARE}?c={called.pk}"), ".empty")


def test_compare__six_at_most_in_the_order_ticked(
    owner_client: Client, act: Acts, cast: Cast, scored: list[Candidate]
) -> None:
    full = Rubric.live.get(name="Full hundred")
    score(act(), rubric=full, row=cast.row, position=7, marks={"form": 1})
    every = [*scored[::-1], Candidate.live.get(position=7)]
    page = owner_client.get(COMPARE + ticked(every))
    assert texts(page, ".side-who .name") == [at(position) for position in (6, 5, 4, 3, 2, 1)]
    assert any("The first 6 only" in text for text in texts(page, "p"))
    form = next(row for row in tree(page).cssselect("tbody tr") if "Form" in row.text_content())
    marks = [mark.text_content() for mark in form.cssselect("td")[-1].cssselect(".side-mark")]
    assert marks == ["3 Emil 2026", "5 Wanda 2026"]


def test_compare__nothing_ticked(owner_client: Client, cast: Cast) -> None:
    assert "Tick up to 6" in texts(owner_client.get(COMPARE), ".empty")[0]


def test_decide__right_there_replaces_only_its_cell(
    owner_client: Client, scored: list[Candidate]
) -> None:
    page = owner_client.get(COMPARE + ticked(scored[:2]))
    form = tree(page).cssselect(f"#verdict-{scored[0].pk} form[hx-post]")[0]
    sent = {field.get("name"): field.get("value") for field in form.cssselect("input[type=hidden]")}
    answer = owner_client.post(
        form.get("action"), sent | {"verdict": "keep"}, headers={"HX-Request": "true"}
    )
    assert answer.status_code == 200
    assert len(answer.content) < 5_000
    assert [each.get("id") for each in tree(answer).cssselect(".verdicts")] == [
        f"verdict-{scored[0].pk}"
    ]
    assert texts(answer, ".badge") == ["Keep"]
    assert "Keep: 24-001A" in texts(answer, ".kept")[0]
    assert tree(answer).cssselect("[aria-pressed=true]")[0].get("value") == "keep"
    refused = owner_client.post(
        form.get("action"), {"entry": "", "verdict": "eat"}, headers={"HX-Request": "true"}
    )
    assert (refused.status_code, bool(texts(refused, ".errors"))) == (422, True)


def test_decide__one_says_that_it_gets_its_letter(
    owner_client: Client, scored: list[Candidate]
) -> None:
    address = reverse("decide", args=[scored[3].pk])
    assert any("gets its letter" in hint for hint in texts(owner_client.get(address), ".hint"))
    answer = post(owner_client, address, verdict="parent", reason="blue beard", follow=True)
    assert texts(answer, "h1") == ["24-001A"]
    assert "Use as parent: 24-001A, blue beard" in texts(answer, ".kept")[0]
    assert Decision.live.get().reason == "blue beard"


def test_decide__nothing_chosen_is_refused_at_its_field(
    owner_client: Client, scored: list[Candidate]
) -> None:
    answer = post(owner_client, reverse("decide", args=[scored[3].pk]), reason="blue beard")
    assert answer.status_code == 422
    assert texts(answer, "#wrong_verdict") == ["Choose what is to become of it."]
    assert texts(answer, "textarea") == ["blue beard"]


def test_decide_many__one_line_and_back_to_the_table_as_it_was(
    owner_client: Client, scored: list[Candidate]
) -> None:
    address = MANY + ticked(scored[1:4]) + "&season=2026&sort=place"
    page = owner_client.get(address)
    assert texts(page, ".decide-who .name") == [at(2), at(3), at(4)]
    chosen = page.context["form"]["candidates"].value()
    answer = post(owner_client, address, candidates=chosen, verdict="keep", reason="firm")
    assert answer.status_code == 303
    assert answer["Location"].startswith(TABLE)
    assert "season=2026&sort=place" in answer["Location"]
    line = JournalLine.objects.latest("pk")
    assert (line.verb, line.text) == ("decide", "Keep: 3 seedlings, firm")
    assert Seedling.live.count() == 3
    table = owner_client.get(answer["Location"])
    (way_back,) = tree(table).cssselect(".kept form")
    assert post(owner_client, way_back.get("action")).status_code == 303
    assert Seedling.live.count() == 0
    assert set(Candidate.live.values_list("verdict", flat=True)) == {""}


@pytest.mark.parametrize("chosen", ["", "0", "x", "9" * 17])
def test_decide_many__of_nobody_is_refused(
    owner_client: Client, scored: list[Candidate], chosen: str
) -> None:
    answer = post(owner_client, MANY, candidates=chosen, verdict="keep")
    assert answer.status_code == 422
    assert texts(answer, ".empty")
    assert not Decision.objects.exists()


def test_decide__visitors_read_only(visitor_client: Client, scored: list[Candidate]) -> None:
    for address in (reverse("decide", args=[scored[0].pk]), MANY + ticked(scored)):
        assert visitor_client.get(address).status_code == 403
        assert visitor_client.post(address, {"verdict": "keep"}).status_code == 403
    page = visitor_client.get(COMPARE + ticked(scored))
    assert not tree(page).cssselect(".verdicts form")
    assert texts(visitor_client.get(TABLE), ".act button")[0].startswith("Compare")


def test_plot__names_those_that_nobody_beats_in_both(
    owner_client: Client, scored: list[Candidate]
) -> None:
    page = owner_client.get(PLOT + "?x=novelty&y=form")
    rows = {row.cssselect(".name")[0].text_content(): row.text_content()
            for row in tree(page).cssselect(".plot-table tbody tr")}  # fmt: skip
    assert len(rows) == 6
    # Position 1: form 4 by two people and something new; position 2: form 3, never seen.
    free = {name for name, text in rows.items() if "nobody better in both" in text}
    assert free == {at(1), at(2)}
    (image,) = tree(page).cssselect("figure img")
    assert image.get("loading") == "lazy"
    picture = owner_client.get(image.get("src"))
    assert picture["Content-Type"] == "image/svg+xml"
    assert b"Form, % of full marks" in picture.content
    assert "2 of 6 candidates" in texts(page, "#merit-plot p")[0]


def test_plot__merit_against_novelty_at_first(
    owner_client: Client, scored: list[Candidate]
) -> None:
    pair = owner_client.get(PLOT).context["pair"]
    assert (pair["x"].value(), pair["y"].value()) == ("novelty", "merit")
    part = owner_client.get(PLOT + "?x=buds&y=low", headers={"HX-Request": "true"})
    assert not tree(part).cssselect("h1")
    assert part.context["pair"]["y"].value() == "merit"


def test_plot__nobody_has_both_values(owner_client: Client, cast: Cast) -> None:
    assert "No candidate has both" in texts(owner_client.get(PLOT), ".empty")[0]
    assert owner_client.get(reverse("merit-plot-image")).status_code == 200
