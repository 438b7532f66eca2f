"""The demo garden: the story itself, told without a database, and what loading it leaves behind."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from io import StringIO

import pytest
from django.apps import apps
from django.conf import settings
from django.core.management import call_command
from django.core.management.base import CommandError
from django.db import transaction

from breeding.due import all_work
from breeding.invariants import violations
from breeding.models import Cross, Pollination, Pot, Row, SeedCup
from breeding.tagnumbers import tag_codes
from evaluation.demo.cast import Cast
from evaluation.demo.field import Field
from evaluation.demo.history import SEASONS, first_season, tell
from evaluation.demo.loading import Loaded, load_demo
from evaluation.demo.steps import Step
from evaluation.models import Seedling
from garden.models import Garden, JournalLine, Person, Plant
from garden.verbs import Refused

TODAY = date(2026, 6, 20)
PASSWORD = "the pump house hums"
SMALL = 0.1


def story(today: date = TODAY, **more: object) -> list[Step]:
    cast = Cast.read(settings.BASE_DIR / "fixtures" / "demo")
    return list(tell(cast, today, (code for _, code in tag_codes(1000, 100_000)), **more))


@contextmanager
def loaded_until(today: date, scale: float = 1.0) -> Iterator[Loaded]:
    """The demo as it is on `today`; nothing of it stays."""
    with transaction.atomic():
        yield load_demo(PASSWORD, today=today, scale=scale)
        transaction.set_rollback(True)


def digest_of_everything() -> str:
    """SHA-256 over all that is recorded, but for what nobody may foresee: secrets of people."""
    digest = hashlib.sha256()
    for app in ("garden", "breeding", "evaluation"):
        for model in apps.get_app_config(app).get_models():
            for row in model._default_manager.order_by("pk").values():
                known = {name: row[name] for name in row if name not in ("password", "feed_key")}
                digest.update(f"{model._meta.label} {known}\n".encode())
    return digest.hexdigest()


def test_first_season__current_one_counts_once_its_bloom_has_begun():
    assert first_season(date(2026, 4, 22)) == 2020
    assert first_season(date(2026, 4, 23)) == 2021
    assert first_season(date(2026, 12, 31)) == 2021


def test_tell__same_seed_same_story():
    assert story() == story()


def test_tell__another_seed_another_story():
    assert story() != story(seed=21)


def test_tell__a_later_day_goes_on_with_the_same_story():
    sooner, later = story(), story(date(2026, 9, 1))
    assert later[: len(sooner)] == sooner
    assert len(later) > len(sooner)


@pytest.mark.parametrize("today", [date(2025, 12, 1), TODAY, date(2027, 4, 5), date(2031, 1, 1)])
def test_tell__ends_before_today_and_goes_forward(today):
    steps = story(today)
    moments = [step.at for step in steps]
    assert moments == sorted(moments)
    assert moments[-1].date() < today
    assert all(step.at < step.received_at for step in steps)
    assert max(step.received_at for step in steps).date() < today


def test_tell__every_season_has_its_crosses_on_real_bloom_days():
    worked = [step.at.date() for step in story() if step.verb == "record_pollination"]
    assert {day.year for day in worked} == set(range(2021, 2021 + SEASONS))
    assert all((4, 15) < (day.month, day.day) < (7, 1) for day in worked)


def test_field__packs_without_overlap_and_gives_back_what_is_dug():
    field = Field([{"name": "Hen Yard", "rows": 1, "positions": 20}])
    first, second = field.take(8)[0], field.take(8)[0]
    assert (first.first, first.last, second.first, second.last) == (1, 8, 10, 17)
    field.free(first)
    assert [(part.first, part.last) for part in field.take(9)] == [(1, 8), (19, 19)]


def test_field__gives_no_more_than_it_has():
    field = Field([{"name": "Hen Yard", "rows": 2, "positions": 5}])
    assert [part.seedlings for part in field.take(12)] == [5, 5]
    assert field.take(1) == []


@pytest.mark.django_db
def test_it_loads_the_same_garden_twice():
    digests = []
    for _ in range(2):
        with loaded_until(TODAY, SMALL):
            digests.append(digest_of_everything())
    assert digests[0] == digests[1]


@pytest.mark.django_db
@pytest.mark.parametrize("month", [1, 4, 7, 10])
def test_it_leaves_work_for_today(month):
    today = date(2027, month, 15)
    with loaded_until(today, SMALL):
        assert any(work.count() for work in all_work(Garden.get().calendar, today))


@pytest.mark.django_db
def test_it_loads_by_command_once():
    out = StringIO()
    call_command("load_demo", password=PASSWORD, today=TODAY, scale=SMALL, stdout=out)
    assert f"{Cross.live.count()} crosses" in out.getvalue()
    assert out.getvalue().count("\n") == 1
    assert Garden.get().is_demo
    with pytest.raises(CommandError, match="plants in this garden already"):
        call_command("load_demo", password=PASSWORD, today=TODAY, scale=SMALL)


@pytest.mark.django_db
def test_it_refuses_a_weak_password_and_keeps_nothing():
    with pytest.raises(Refused):
        load_demo("short", today=TODAY, scale=SMALL)
    assert not Person.objects.exists()


@pytest.mark.django_db
def test_it_refuses_when_somebody_has_the_owners_name():
    Person.objects.create_user("wiebke", PASSWORD)
    with pytest.raises(CommandError, match="Wiebke"):
        call_command("load_demo", password=PASSWORD, today=TODAY, scale=SMALL)
    assert not Plant.objects.exists()


@pytest.fixture(scope="module")
def full(django_db_setup, django_db_blocker) -> Iterator[Loaded]:
    """The whole demo, loaded once for the tests below, which only look at it."""
    with django_db_blocker.unblock(), loaded_until(TODAY) as loaded:
        yield loaded


def test_it_loads_six_full_seasons(full):
    assert full.crosses >= 300
    assert full.flowers >= 1_100
    assert 2_500 <= full.seedlings_lined_out <= 4_500
    assert full.selected >= 40
    assert set(Cross.live.values_list("season", flat=True)) == set(range(2021, 2027))


def generations(parents: dict[int, tuple[int | None, int | None]]) -> int:
    """Plants in the longest line from a forebear down to the youngest."""
    depth: dict[int | None, int] = {None: 0}

    def of(plant: int | None) -> int:
        if plant not in depth:
            depth[plant] = 1 + max(of(parent) for parent in parents[plant])
        return depth[plant]

    return max(of(plant) for plant in parents)


def test_it_stocks_cultivars_whose_parents_are_known(full):
    cultivars = Plant.live.filter(kind=Plant.Kind.CULTIVAR)
    assert cultivars.count() >= 80
    known = cultivars.filter(seed_parent__isnull=False, pollen_parent__isnull=False)
    assert known.count() > cultivars.count() / 2


def test_it_goes_back_eight_generations(full):
    rows = Plant.live.values_list("pk", "seed_parent", "pollen_parent")
    assert generations({pk: (seed, pollen) for pk, seed, pollen in rows}) >= 8


def test_it_sets_pods_as_often_as_pods_set(full):
    looked = Pollination.live.exclude(state="worked")
    assert 0.45 <= looked.exclude(state="failed").count() / looked.count() <= 0.75
    pods = Pollination.live.filter(state="harvested").values_list("seeds", flat=True)
    assert all(5 <= seeds <= 65 for seeds in pods)


def test_it_brings_up_a_plausible_share_of_the_seed(full):
    pots = Pot.live.filter(sown_on__lt=date(2025, 6, 1))
    sown, up = sum(pot.seeds for pot in pots), sum(pot.up for pot in pots)
    assert 0.3 <= up / sown <= 0.7


def test_it_fits_along_every_thread(full):
    crosses = Cross.objects.all()
    assert [found for cross in crosses for found in violations(cross)] == []


def test_it_lets_nothing_lie_in_the_future(full):
    lines = JournalLine.objects.order_by("-received_at")
    assert Garden.get().day_of(lines.first().received_at) < TODAY
    assert not Pollination.objects.filter(day__gte=TODAY).exists()
    assert not SeedCup.objects.filter(closed_on__gte=TODAY).exists()
    assert not Row.objects.filter(lined_out_on__gte=TODAY).exists()


def test_it_shows_a_life_with_slips(full):
    verbs = JournalLine.objects.values_list("verb", flat=True)
    assert {"undo", "correct", "correct_parents", "spoil_tag", "put_away"} <= set(verbs)
    assert set(JournalLine.objects.values_list("device", flat=True)) == {
        "Android phone", "iPhone", "Linux computer"
    }  # fmt: skip
    people = set(JournalLine.objects.values_list("person__name", flat=True))
    assert people == {"Wiebke", "Tjark", "Ilse-Marit"}


def test_it_uses_chosen_seedlings_as_parents(full):
    chosen = set(Seedling.live.values_list("plant", flat=True))
    pairs = Cross.live.filter(season__gte=2024).values_list("seed_parent", "pollen_parent")
    assert sum(seed in chosen or pollen in chosen for seed, pollen in pairs) >= 10


def test_it_knows_selfings_bee_pods_and_reciprocal_crosses(full):
    pairs = set(Cross.live.values_list("season", "seed_parent", "pollen_parent"))
    assert any(seed == pollen for _, seed, pollen in pairs)
    assert any(pollen is None for _, _, pollen in pairs)
    assert any((year, pollen, seed) in pairs for year, seed, pollen in pairs if seed != pollen)
