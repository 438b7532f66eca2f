"""Pages of what the scores say about scorers, seasons, rows and parents."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from evaluation.effects import agreements, effect_bar, fraction, of_scorers, shares_of, signed
from evaluation.merit import Effect, Merit, Worth, the_merit
from evaluation.models import Rubric
from evaluation.records import score
from evaluation.views import effects
from garden.models import Person
from tests.cast import Cast
from tests.pages import links, texts, tree

pytestmark = pytest.mark.django_db

Acts = Callable[..., Any]
SCORERS, WORTHS = reverse("scorers"), reverse("worths")


@pytest.fixture
def scored(act: Acts, cast: Cast, helper_person: Person) -> Cast:
    """Six plants in two years by two people; Emil sees the same order, two marks milder."""
    full = Rubric.live.get(name="Full hundred")
    plants = (cast.teapot, cast.ledger, cast.postman, cast.oboe, cast.semaphore, cast.guest)
    for day in (date(2025, 5, 20), date(2026, 5, 20)):
        for at, plant in enumerate(plants):
            for person, more in ((None, 0), (helper_person, 2)):
                marks = dict.fromkeys(("form", "vigour", "colour"), at % 4 + more)
                score(act(person, day=day), rubric=full, plant=plant, marks=marks)
    return cast


def with_merit(monkeypatch: pytest.MonkeyPatch, **told: Any) -> None:
    monkeypatch.setattr(effects, "merit_now", lambda request: Merit((), **told))


def test_scorers__nothing_scored_yet(bare, visitor_client: Client) -> None:
    page = visitor_client.get(SCORERS)
    assert page.status_code == 200
    assert "Nothing is scored yet" in texts(page, ".empty")[0]


def test_scorers__too_few_seen_by_two_is_said(owner_client: Client, act: Acts, cast: Cast) -> None:
    full = Rubric.live.get(name="Full hundred")
    score(act(), rubric=full, row=cast.row, position=1, marks={"form": 3})
    page = owner_client.get(SCORERS)
    assert "Not enough seedlings seen by two people: none so far." in texts(page, ".prose")
    assert texts(page, "#scorers ~ .empty")[0].startswith("Not enough yet: two scorers")


def test_scorers__agreement_in_all_by_season_and_group(
    visitor_client: Client, scored: Cast
) -> None:
    page = visitor_client.get(SCORERS)
    rows = texts(page, "table tbody th")
    assert rows == ["All seasons", "2026", "2025", "Plant", "Stalk", "Flower", "Distinctiveness"]
    in_all = texts(page, "table tbody tr")[0]
    assert "12 seedlings, 2 people" in in_all
    # The same order throughout, and the same differences.
    assert " 1.00 " in in_all
    assert "Not enough seedlings" in texts(page, "table tbody tr")[4]


def test_agreements__the_same_seedling_in_two_years_is_two(scored: Cast) -> None:
    told = {scope.title: scope.told for scope in agreements()}
    assert (told["All seasons"].units, told["2026"].units, told["2025"].units) == (12, 6, 6)
    assert told["2026"].consistency.value == pytest.approx(1)
    assert told["2026"].agreement.value < 0.7


def test_scorers__strictness_in_neutral_words_with_its_error(
    visitor_client: Client, scored: Cast
) -> None:
    page = visitor_client.get(SCORERS)
    lines = texts(page, "#scorers ~ ul li")
    assert [line.split()[0] for line in lines] == ["Emil", "Wanda"]
    assert "more than the others on the same seedlings" in lines[0]
    assert "less than the others on the same seedlings" in lines[1]
    assert all("Standard error" in line and "12 scores" in line for line in lines)
    assert len(tree(page).cssselect("#scorers ~ ul svg[aria-hidden]")) == 2


def test_scorers__every_warning_in_full(visitor_client: Client, scored: Cast) -> None:
    warnings = list(the_merit().warnings)
    assert warnings
    assert texts(visitor_client.get(SCORERS), ".choose-warn li") == warnings


def test_scorers__asks_a_fixed_number_of_queries(
    visitor_client: Client, act: Acts, scored: Cast
) -> None:
    def queries() -> int:
        the_merit()
        with CaptureQueriesContext(connection) as asked:
            visitor_client.get(SCORERS)
        return len(asked)

    few = queries()
    full = Rubric.live.get(name="Full hundred")
    for at in range(1, 5):
        score(act(), rubric=full, row=scored.row, position=at, marks={"form": 3})
    assert queries() == few


def test_of_scorers__by_name_and_chance_is_called_so(owner: Person, helper_person: Person) -> None:
    merit = Merit((), scorers={owner.pk: Effect(-4.2, 1.0, 30), helper_person.pk: Effect(2, 3, 9)})
    told = of_scorers(merit)
    assert [(each.name, each.words) for each in told] == [
        ("Emil", "gives 2 points more than the others on the same seedlings; that may be chance"),
        ("Wanda", "gives 4 points less than the others on the same seedlings"),
    ]
    assert [each.value for each in told] == ["+2.0", "−4.2"]


def test_shares__of_the_components_add_up(scored: Cast) -> None:
    assert sum(each.share for each in shares_of(the_merit())) == pytest.approx(1)
    assert shares_of(Merit(())) == []


@pytest.mark.parametrize(
    ("share", "words"),
    [(0, "next to nothing"), (0.34, "about a third"), (0.5, "about half"), (1, "nearly all")],
)
def test_fraction__in_words(share: float, words: str) -> None:
    assert fraction(share) == words


def test_signed__has_no_sign_at_nought() -> None:
    assert [signed(value) for value in (3.21, -0.44, 0.04, -0.04)] == ["+3.2", "−0.4", "0.0", "0.0"]


def test_effect_bar__stays_within_its_scale() -> None:
    assert 'x="100" y="4" width="100"' in effect_bar(5, 0, 99, 10)
    assert "nan" not in effect_bar(0, 0, 0, 0)


def test_worths__nothing_judged_yet(bare, visitor_client: Client) -> None:
    assert "No seedling is judged yet" in texts(visitor_client.get(WORTHS), ".empty")[0]


def worth(plant: Any, value: float, reliability: float, judged: int = 0) -> Worth:
    return Worth(plant.pk, value, value - 3, value + 3, 1.8, reliability, judged)


@pytest.fixture
def three(cast: Cast, monkeypatch: pytest.MonkeyPatch) -> Cast:
    told = [worth(cast.teapot, 2.5, 0.3, 4), worth(cast.ledger, -1.2, 0.8, 9),
            worth(cast.postman, 0.3, 0.5), worth(cast.oboe, 9.0, 0.0)]  # fmt: skip
    with_merit(monkeypatch, worths={each.plant: each for each in told}, standings={1: None})
    return cast


def test_worths__the_best_first_with_interval_and_reliability(
    visitor_client: Client, three: Cast
) -> None:
    page = visitor_client.get(WORTHS)
    assert texts(page, ".effects .name") == ["Quillon Teapot", "Thistle Postman", "Marzipan Ledger"]
    lines = texts(page, ".effects li")
    assert "+2.5" in lines[0]
    assert "little known, reliability 0.30; 4 judged seedlings" in lines[0]
    assert "told by its kin" in lines[1]
    assert "−4 to +2" in lines[2]
    assert len(tree(page).cssselect(".effects .interval")) == 3
    assert reverse("plant", args=[three.teapot.pk]) in links(page)


def test_worths__by_reliability(visitor_client: Client, three: Cast) -> None:
    names = texts(visitor_client.get(WORTHS + "?sort=reliability"), ".effects .name")
    assert names == ["Marzipan Ledger", "Thistle Postman", "Quillon Teapot"]


def test_worths__of_a_class(visitor_client: Client, three: Cast) -> None:
    assert texts(visitor_client.get(WORTHS + "?iris_class=IB"), ".effects .name") == [
        "Thistle Postman"
    ]


def test_worths__growing_only_unless_all_are_asked_for(visitor_client: Client, three: Cast) -> None:
    type(three.teapot).objects.filter(pk=three.teapot.pk).update(status="lost")
    assert "Quillon Teapot" not in texts(visitor_client.get(WORTHS), ".effects .name")
    assert "Quillon Teapot" in texts(visitor_client.get(WORTHS + "?who="), ".effects .name")


def test_worths__a_judged_plant_is_told_apart_from_its_seedlings(
    visitor_client: Client, act: Acts, three: Cast
) -> None:
    full = Rubric.live.get(name="Full hundred")
    score(act(), rubric=full, plant=three.teapot, marks={"form": 3})
    assert (
        "3 judged seedlings and itself judged"
        in texts(visitor_client.get(WORTHS), ".effects li")[0]
    )


@pytest.mark.parametrize("start", ["x", "-5", "99999999999", "٣", "500"])
def test_worths__nonsense_is_passed_over(visitor_client: Client, three: Cast, start: str) -> None:
    assert visitor_client.get(WORTHS, {"start": start, "sort": start}).status_code == 200


def test_worths__a_page_at_a_time(
    visitor_client: Client, three: Cast, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(effects, "ON_A_PAGE", 2)
    first = visitor_client.get(WORTHS)
    assert len(texts(first, ".effects li")) == 2
    after = visitor_client.get(WORTHS + links(first, ".turn a")[-1].partition("parents/")[2])
    assert texts(after, ".effects .name") == ["Marzipan Ledger"]
