"""The demo garden: the story itself, told without a database, and what loading it leaves behind."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from io import StringIO
from statistics import correlation, fmean

import pytest
from django.apps import apps
from django.conf import settings
from django.core.management import call_command
from django.core.management.base import CommandError
from django.core.management.color import no_style
from django.db import connection, transaction
from django.test import override_settings

from breeding.due import all_work
from breeding.invariants import violations
from breeding.models import Cross, Pollination, Pot, Row, SeedCup
from breeding.tagnumbers import tag_codes
from evaluation.demo.cast import Cast
from evaluation.demo.field import Field
from evaluation.demo.history import SEASONS, History, first_season, tell
from evaluation.demo.loading import Darkroom, Doing, Loaded, load_demo, photos_of
from evaluation.demo.scorers import season_effect
from evaluation.demo.steps import Picture, Step
from evaluation.demo.truth import Truth
from evaluation.merit import Merit, forget, the_merit
from evaluation.models import Candidate, ClearOut, Glance, LookOver, Rubric, Scoring, Seedling
from evaluation.sheets import sheets_of
from garden.models import Garden, JournalLine, Person, Photo, Plant
from garden.photos import SIZES, Shelf
from garden.verbs import Refused

TODAY = date(2026, 6, 20)
PASSWORD = "the pump house hums"
SMALL = 0.1
APPS = ("garden", "breeding", "evaluation")


@pytest.fixture(scope="module", autouse=True)
def _own_shelf(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Photos of these gardens do not lie with those of a garden that somebody has."""
    with override_settings(PHOTOS_DIR=tmp_path_factory.mktemp("photos")):
        yield


def story(today: date = TODAY, **more: object) -> list[Step]:
    cast = Cast.read(settings.BASE_DIR / "fixtures" / "demo")
    return list(tell(cast, today, (code for _, code in tag_codes(1000, 100_000)), **more))


@contextmanager
def loaded_until(today: date, scale: float = 1.0) -> Iterator[Loaded]:
    """The demo as it is on `today`; nothing of it stays."""
    with transaction.atomic():
        yield load_demo(PASSWORD, today=today, scale=scale)
        transaction.set_rollback(True)


def true_history(today: date = TODAY) -> History:
    """The whole story with what nature knows, told to its end."""
    cast = Cast.read(settings.BASE_DIR / "fixtures" / "demo")
    tags = (code for _, code in tag_codes(1000, 100_000))
    history = History(cast, first_season(today), tags, 1.0, 20)
    history.begin()
    assert list(history.tell(today))
    return history


def truth_of_candidates() -> dict[int, Truth]:
    """By the key of each candidate of a row, the plant as nature made it."""
    known = {}
    for judged in true_history().noted:
        planting = judged.planting
        stretch = planting.stretch
        place = stretch.bed, stretch.row, judged.position, planting.lined_out
        known[place] = judged.truth
    return {
        candidate.pk: known[row.bed.name, row.row, candidate.position, row.lined_out_on]
        for candidate in Candidate.live.filter(row__isnull=False).select_related("row__bed")
        if (row := candidate.row)
    }


def ranks(values: list[float]) -> list[float]:
    order = sorted(range(len(values)), key=values.__getitem__)
    return [float(order.index(at)) for at in range(len(values))]


def count_from_the_first_key() -> None:
    """PostgreSQL does not take a key back when what had it is taken back."""
    models = [model for app in APPS for model in apps.get_app_config(app).get_models()]
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), models):
            cursor.execute(statement)


def digest_of_everything() -> str:
    """SHA-256 over all that is recorded, but for what nobody may foresee: secrets of people."""
    digest = hashlib.sha256()
    for app in APPS:
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


def seen_at(step: Step) -> tuple[str, int]:
    return step.values["row"].key, step.values["position"]


def test_tell__rows_are_looked_over_in_every_season_of_bloom():
    steps = story()
    for season in range(2023, 2027):
        looks = [step for step in steps if step.verb == "glance" and step.at.year == season]
        assert len({step.values["row"].key for step in looks}) >= 2
        again = sum(step.values["found"] == "again" for step in looks)
        assert 0.02 < again / len(looks) < 0.4
        scored = [step for step in steps if step.verb == "score" and step.at.year == season]
        seedlings = {str(step.values.get("plant") or seen_at(step)) for step in scored}
        assert 20 <= len(seedlings) <= 60
        assert {step.person for step in scored} == {"Wiebke", "Tjark", "Ilse-Marit"}


def test_tell__nobody_judges_where_nothing_stands():
    gone: set[tuple[str, int]] = set()
    for step in story(date(2027, 1, 1)):
        if step.verb in ("glance", "score", "select_seedling") and "row" in step.values:
            assert seen_at(step) not in gone, step
        if step.verb == "glance" and step.values["found"] in ("gap", "dead"):
            gone.add(seen_at(step))
        if step.verb == "clear_out":
            gone |= {(step.values["row"].key, at) for at in step.values["positions"]}


def test_tell__what_is_selected_was_scored_before():
    scored: set[tuple[str, int]] = set()
    selected = 0
    for step in story():
        if step.verb == "score" and "row" in step.values:
            scored.add(seen_at(step))
        if step.verb == "select_seedling":
            assert seen_at(step) in scored
            selected += 1
    assert selected >= 40


def test_tell__pictures_show_the_seedling_that_is_scored():
    looks: dict[tuple[str, int], dict[str, str]] = {}
    later: dict[tuple[str, int], dict[str, object]] = {}
    for step in story():
        if step.verb == "score" and "row" in step.values:
            photo = step.values.get("photo")
            if isinstance(photo, Picture):
                looks[seen_at(step)] = dict(photo.words)
        if step.verb == "select_seedling":
            later[seen_at(step)] = step.values
    both = looks.keys() & later.keys()
    assert len(both) > 3
    for place in both:
        assert all(later[place][name] == word for name, word in looks[place].items())


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


@contextmanager
def told_in_two(sooner: date, later: date) -> Iterator[Iterator[date]]:
    """One small garden that is stopped at on `sooner` on its way to `later`."""
    cast = Cast.read(settings.BASE_DIR / "fixtures" / "demo")
    steps = story(later, scale=SMALL)
    with transaction.atomic():
        owner = Person.objects.create_user(cast.owner, PASSWORD, role=Person.Role.OWNER)
        with Darkroom(photos_of(steps)) as darkroom:
            doing = Doing(PASSWORD, {owner.name: owner}, Garden.get(), darkroom)
            yield _stopping(doing, steps, (sooner, later))
        transaction.set_rollback(True)


def _stopping(doing: Doing, steps: list[Step], days: tuple[date, ...]) -> Iterator[date]:
    at = 0
    for day in days:
        while at < len(steps) and steps[at].received_at.date() < day:
            doing.do(steps[at])
            at += 1
        yield day


@pytest.mark.once
@pytest.mark.django_db
@pytest.mark.parametrize("months", [(1, 4), (7, 10)])
def test_it_leaves_work_for_today(months):
    days = [date(2027, month, 15) for month in months]
    # What comes later does not change what was, within the seasons that the story tells.
    assert len({first_season(day) for day in days}) == 1
    with told_in_two(*days) as stops:
        for today in stops:
            assert any(work.count() for work in all_work(Garden.get().calendar, today))


@pytest.mark.django_db
@pytest.mark.once
def test_it_loads_by_command_once_and_as_ever():
    out = StringIO()
    count_from_the_first_key()
    with loaded_until(TODAY, SMALL):
        before = digest_of_everything()
    count_from_the_first_key()
    call_command("load_demo", password=PASSWORD, today=TODAY, scale=SMALL, stdout=out)
    assert digest_of_everything() == before
    assert f"{Cross.live.count()} crosses" in out.getvalue()
    years = re.findall(r"^  (\d{4}) … [\d,]+ of [\d,]+ entries written$", out.getvalue(), re.M)
    assert len(years) >= 6
    assert years == sorted(set(years))
    assert out.getvalue().count("\n") == len(years) + 1
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


def test_it_looks_over_four_seasons_by_three_scorers(full):
    assert set(LookOver.live.values_list("season", flat=True)) == {2023, 2024, 2025, 2026}
    assert full.looks == Glance.live.count() >= 300
    seasons = Scoring.live.values_list("season", "person__name").distinct()
    assert len(set(seasons)) == 12
    assert full.scores == Scoring.live.count() >= 150


def test_it_scores_many_seedlings_more_than_once(full):
    judged = Candidate.live.filter(scores__gt=0)
    assert judged.filter(scores__gte=2).count() > judged.count() / 4
    seasons: dict[int, set[int]] = {}
    for candidate, season in Scoring.live.values_list("candidate", "season"):
        seasons.setdefault(candidate, set()).add(season)
    assert sum(len(each) >= 2 for each in seasons.values()) >= 10


def test_it_has_a_strict_scorer_and_a_generous_one(full):
    given: dict[int, dict[str, list[float]]] = {}
    for sheet in sheets_of(Scoring.live.select_related("person")):
        if sheet.points.percent is not None:
            by = given.setdefault(sheet.scoring.candidate_id, {})
            by.setdefault(sheet.scoring.person.name, []).append(sheet.points.percent)
    both = [each for each in given.values() if {"Wiebke", "Tjark"} <= set(each)]
    apart = [fmean(each["Tjark"]) - fmean(each["Wiebke"]) for each in both]
    assert len(apart) >= 10
    assert fmean(apart) > 3


def test_it_keeps_scores_under_the_rubric_they_were_given_under(full):
    old, new = Rubric.live.filter(purpose="full").order_by("version")
    assert old.replaced_by == new
    assert set(old.scorings.values_list("season", flat=True)) == {2023}
    assert set(new.scorings.values_list("season", flat=True)) == {2024, 2025, 2026}


def test_it_decides_in_every_way_and_leaves_some_open(full):
    verdicts = list(Candidate.live.filter(scores__gt=0).values_list("verdict", flat=True))
    assert set(verdicts) == {"", "keep", "watch", "parent", "discard"}
    assert ClearOut.live.exists()
    assert Candidate.live.filter(verdict="", seen_on__year=2026, scores__gt=0).count() >= 5


def test_it_gives_every_selected_seedling_its_looks(full):
    plants = Plant.live.filter(seedlings__isnull=False)
    assert plants.exclude(falls="").count() == plants.count()


def test_it_takes_photos_of_seedlings_and_of_their_parents(full):
    assert 30 <= full.photos == Photo.live.count() <= 60
    shelf = Shelf(settings.PHOTOS_DIR)
    for photo in Photo.live.all():
        assert all(shelf.find(photo.digest, size) for size in SIZES)
        assert photo.taken_on < TODAY
    assert Photo.live.filter(plant__in=Cross.live.values("seed_parent")).exists()
    assert Candidate.live.filter(photos__isnull=False, plant=None).exists()


@pytest.fixture(scope="module")
def merit(full) -> Iterator[Merit]:
    """What the model makes of the demo's scores."""
    forget()
    yield the_merit()
    forget()


def test_it_lets_the_model_rank_nearer_to_the_truth_than_plain_means(full, merit):
    truths = truth_of_candidates()
    scored = [each for each in merit.standings.values() if each.scores]
    assert len(scored) > 80
    true = ranks([truths[each.candidate].merit for each in scored])
    by_model = correlation(ranks([each.merit for each in scored]), true)
    by_means = correlation(ranks([each.plain for each in scored]), true)
    assert by_model > by_means + 0.03
    assert by_means > 0.3


def test_it_lets_the_model_find_the_strict_scorer_and_the_bad_season(full, merit):
    names = dict(Person.objects.values_list("pk", "name"))
    scorers = {names[pk]: effect.value for pk, effect in merit.scorers.items()}
    assert scorers["Wiebke"] < scorers["Ilse-Marit"] < scorers["Tjark"]
    seasons = {season: effect.value for season, effect in merit.seasons.items()}
    bad = min(seasons, key=lambda season: season_effect("20-2021", season)["plant"])
    assert min(seasons, key=seasons.__getitem__) == bad


def test_it_lets_the_model_state_intervals_that_mostly_hold_the_truth(full, merit):
    truths = truth_of_candidates()
    scored = [each for each in merit.standings.values() if each.scores]
    # Where the scale lies is the scorers' business: only differences can be right.
    shift = fmean(truths[each.candidate].merit - each.merit for each in scored)
    held = [each.low <= truths[each.candidate].merit - shift <= each.high for each in scored]
    assert fmean(held) > 0.75
