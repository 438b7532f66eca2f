"""What keeps pages quick as the archive grows, told without a clock: queries and their plans.

The same pages are asked in the small garden of the story and in an archive of some hundred crosses;
the measuring on large archives stands in pages.py.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from breeding.counting import recount
from breeding.invariants import first_violation
from breeding.models import Cross, Pot, Row, SeedCup
from breeding.records import count_up, harvest, note_pod, record_pollination, sow
from garden.models import Garden, Person
from tests.cast import act_of, lay_out_garden, plant_the_stock, tell_the_story
from tests.speed import archive, visits

PERCENT = 1.5
# What grows with one thread, with its pots, pods and rows; and a look-up stops where none is found.
OTHERWISE = (": undo", "keep a correction", "look up cross")
COMMONEST = (
    "Today", "due: look", "due: harvest", "due: sow", "due: count", "due: line-out", "due: bloom",
    "new cross", "tag said", "keep a pollination", "keep a look", "keep a harvest", "keep a row",
    "line out", "cross", "tag", "bed row", "bed", "plant, a favourite", "season, next",
    "look up name", "look up cross", "look up tag", "journal", "journal of one",
)  # fmt: skip
BIG = "breeding_(cross|pollination|tag|seedcup|pot|potcount|row)|garden_journal(line|mention)"
ONE_THREAD = re.compile(r"\((rowid|cross_id|tag_id|cup_id|pot_id|plant_id|entry)=\?")
ONE_CROSS = "(season=? AND seed_parent_id=? AND pollen_parent_id=?)"


@pytest.fixture(autouse=True)
def _in_bloom(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(timezone, "now", lambda: visits.NOW)


def _small_garden() -> None:
    """The story's garden, told on until every kind of work is due."""
    lay_out_garden()
    owner = Person.objects.create_user("Wanda", "", role="owner")
    cast = tell_the_story(owner, plant_the_stock(owner))
    pair = {"seed_parent": cast.teapot, "pollen_parent": cast.ledger}
    for tag in cast.tags[3:6]:
        worked = act_of(owner, date(2026, 5, 1))
        flower = record_pollination(worked, **pair, tag=tag).thing
    note_pod(act_of(owner, date(2026, 5, 25)), pollination=flower, pod_set=True)
    pot = sow(act_of(owner, date(2025, 11, 25)), cup=cast.cup, seeds=6).thing
    count_up(act_of(owner, date(2026, 4, 20)), pot=pot, standing_now=4)
    Garden.objects.update(pod_ripe_days=30)


def _queries() -> dict[str, int]:
    visitor = visits.Visitor()
    for asked in visits.pages(visits.things()):
        # The first time, names are read and content types are looked up.
        visitor.ask(asked)
        visitor.count_queries(asked)
    return {
        name: seen.queries
        for name, seen in visitor.seen.items()
        if not any(part in name for part in OTHERWISE)
    }


def test_it_asks_as_many_queries_of_an_archive_as_of_a_small_garden(db: None) -> None:
    with transaction.atomic():
        _small_garden()
        small = _queries()
        transaction.set_rollback(True)
    archive.fill(PERCENT)
    assert _queries() == small


@pytest.fixture
def small_archive(db: None) -> None:
    archive.fill(PERCENT)


def test_archive__its_sums_are_those_of_the_verbs(small_archive: None) -> None:
    """What the benchmarks measure is a garden that the verbs could have written."""
    kinds = (Cross, SeedCup, Pot)
    before = [list(kind.objects.order_by("pk").values()) for kind in kinds]
    for cross in Cross.objects.all():
        recount(cross)
    assert [list(kind.objects.order_by("pk").values()) for kind in kinds] == before
    every_tenth = Cross.objects.filter(pk__in=range(1, 1000, 10))
    assert [first_violation(cross) for cross in every_tenth] == [None] * len(every_tenth)
    assert Row.live.filter(closed_on=None).exists()


def test_archive__the_verbs_go_on_from_it(small_archive: None) -> None:
    pod = visits.things()["ripe"]
    owner = Person.objects.get(role="owner")
    cup = harvest(act_of(owner, archive.TODAY), pollination=pod, seeds=31).thing
    assert (cup.seeds, Cross.objects.get(pk=pod.cross_id).seeds) == (31, 31)


def _asked() -> Iterator[tuple[str, str]]:
    """(page, query) of the commonest pages and posts."""
    visitor = visits.Visitor()
    for asked in visits.pages(visits.things()):
        if asked.name in COMMONEST:
            with CaptureQueriesContext(connection) as context:
                visitor.ask(asked)
            yield from ((asked.name, query["sql"]) for query in context.captured_queries)


def _complaint(sql: str) -> str:
    """What is wrong with the way SQLite would answer; '' if nothing."""
    with connection.cursor() as cursor:
        cursor.execute(f"EXPLAIN QUERY PLAN {sql}".replace("%", "%%"), [])
        plan = [row[3] for row in cursor.fetchall()]
    # From the newest on, as far as the limit: along the keys or a partial index that fits.
    newest = re.search(r'ORDER BY "\w+"\."(id|lined_out_on|happened_at)" DESC.* LIMIT', sql)
    walks = newest and "TEMP" not in str(plan)
    if any(re.match(f"SCAN ({BIG})", step) for step in plan) and not walks:
        return f"reads a whole table: {plan}"
    big = [step for step in plan if re.match(f"SEARCH ({BIG})", step)]
    few = any(ONE_THREAD.search(step) or ONE_CROSS in step for step in big[:1])
    if big and not few and "TEMP B-TREE" in str(plan):
        return f"sorts a set that grows: {plan}"
    return ""


def test_it_answers_the_commonest_queries_from_indexes(small_archive: None) -> None:
    wrong, heard = {}, set()
    for page, sql in _asked():
        heard.add(page)
        if sql.startswith("SELECT") and (complaint := _complaint(sql)):
            wrong[page] = complaint
    assert heard == {*COMMONEST}
    assert wrong == {}


@pytest.mark.parametrize("sql", [
    'SELECT * FROM "breeding_row" WHERE "note" = 1',
    'SELECT * FROM "breeding_cross" WHERE NOT "struck" ORDER BY "note" LIMIT 3',
    'SELECT * FROM "garden_journalmention" WHERE "kind" = 1 ORDER BY "id" DESC LIMIT 3',
])  # fmt: skip
def test_complaint__of_a_slow_query(small_archive: None, sql: str) -> None:
    assert _complaint(sql)
