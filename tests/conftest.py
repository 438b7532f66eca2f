"""Fixtures of all tests; the story behind them stands in tests/cast.py."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterator
from datetime import date
from typing import Any

import hypothesis
import pytest
from django.test import Client
from hypothesis.configuration import set_hypothesis_home_dir

from breeding import blooming, fertile, heredity, kin
from evaluation import merit
from garden import finding
from garden.models import Garden, Person
from garden.verbs import Act
from tests.cast import (
    IN_BLOOM,
    PASSWORD,
    Cast,
    Stock,
    act_of,
    lay_out_garden,
    plant_the_stock,
    tell_the_story,
)
from tests.retelling import once

set_hypothesis_home_dir(tempfile.gettempdir() + "/haftbook-hypothesis")
# The same examples on every run; `--hypothesis-profile=explore` looks further.
hypothesis.settings.register_profile("same", derandomize=True, deadline=None, database=None)
hypothesis.settings.register_profile("explore", deadline=None, database=None)
hypothesis.settings.load_profile("same")


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--keeping",
        action="store_true",
        help="only what asks or writes the database, without a browser: for another database",
    )


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    if not config.getoption("keeping"):
        return
    config.hook.pytest_deselected(items=[item for item in items if not _keeps(item)])
    items[:] = [item for item in items if _keeps(item)]


def _keeps(item: pytest.Item) -> bool:
    named = set(getattr(item, "fixturenames", ()))
    marked = {mark.name for mark in item.iter_markers()}
    asks = named & {"db", "transactional_db"} or marked & {"django_db", "keeping"}
    # The benchmarks' own tests read the query plans of SQLite.
    plans = item.path.parent.name == "speed"
    return bool(asks) and not (plans or marked & {"browser", "once"} or "page" in named)


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> Any:
    """Each worker begins with a stretch of the tests, so that what a file's tests share is made
    once, and takes from the others' when it is done, so that none is left with the long ones.
    """
    from xdist.scheduler import WorkStealingScheduling

    return WorkStealingScheduling(config, log)


@pytest.fixture(autouse=True)
def _no_names_in_memory() -> Iterator[None]:
    """The names that finding holds belong to the stock of one test."""
    _forget()
    yield
    _forget()


def _forget() -> None:
    finding._held = finding.Names(-1, (), ())
    for held in (kin, merit, heredity, blooming, fertile):
        held.forget()


@pytest.fixture
def garden_row(db: None) -> Garden:
    return lay_out_garden()


@pytest.fixture
def owner(garden_row: Garden) -> Person:
    return Person.objects.create_user("Wanda", PASSWORD, role="owner")


@pytest.fixture
def helper_person(garden_row: Garden) -> Person:
    return Person.objects.create_user("Emil", PASSWORD, role="helper")


@pytest.fixture
def visitor(garden_row: Garden) -> Person:
    return Person.objects.create_user("Odile", PASSWORD, role="visitor")


def _signed_in(person: Person) -> Client:
    client = Client()
    client.force_login(person)
    return client


@pytest.fixture
def owner_client(owner: Person) -> Client:
    return _signed_in(owner)


@pytest.fixture
def helper_client(helper_person: Person) -> Client:
    return _signed_in(helper_person)


@pytest.fixture
def visitor_client(visitor: Person) -> Client:
    return _signed_in(visitor)


@pytest.fixture
def act(owner: Person) -> Callable[..., Act]:
    """act(person=…, day=…): what somebody, the owner by default, does at noon of a day."""

    def make(person: Person | None = None, day: date = IN_BLOOM, **more: Any) -> Act:
        return act_of(person or owner, day, **more)

    return make


@pytest.fixture
def bare(garden_row: Garden, owner: Person) -> Garden:
    """A garden with its owner and nothing in it."""
    return garden_row


@pytest.fixture
def stock(owner: Person) -> Stock:
    """The garden before bloom: plants, a bed, a sheet of tags."""
    return once("stock", owner, lambda: plant_the_stock(owner))


@pytest.fixture
def cast(owner: Person, stock: Stock) -> Cast:
    """The garden with its whole thread."""
    return once("cast", owner, lambda: tell_the_story(owner, stock))
