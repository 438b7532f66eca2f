"""A garden carried into another database, compared there, and carried back."""

from __future__ import annotations

import os
import uuid
from collections.abc import Iterator
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.apps import apps
from django.core.management import call_command
from django.core.management.base import CommandError
from django.db import connection, connections
from django.db.migrations.recorder import MigrationRecorder

from breeding.models import Cross
from garden import carrying
from garden.backup.lock import OPEN, holding
from garden.carrying import NotCarried, beside, carried_models, carry, fingerprint, holdings
from garden.database import sqlite
from garden.management.commands import move as moving
from garden.models import JournalLine, Plant
from tests.cast import Cast


@pytest.fixture(autouse=True)
def _more_than_one_database(transactional_db: None, django_db_blocker: Any) -> Iterator[None]:
    """Tests may reach the garden's own database only, unless they say so."""
    with django_db_blocker.unblock():
        yield


@pytest.fixture
def another(tmp_path: Path) -> Iterator[str]:
    """An empty database beside the garden's own, with its tables: a file."""
    with beside(sqlite(tmp_path / "other.sqlite3")) as alias:
        lay_out(alias)
        yield alias


def lay_out(alias: str) -> None:
    """Tables made from the models at once, as for the tests' own database."""
    call_command("migrate", database=alias, run_syncdb=True, interactive=False, verbosity=0)


def test_carried_models__are_all_that_a_garden_recorded() -> None:
    labels = {model._meta.app_label for model in carried_models()}
    assert {"garden", "breeding", "evaluation"} <= labels
    left = {one._meta.db_table for one in apps.get_models()} - {
        one._meta.db_table for one in carried_models()
    }
    assert left == {
        "auth_permission", "auth_group", "django_content_type", "django_session",
    }  # fmt: skip


def test_carried_models__point_at_nothing_that_stays_behind() -> None:
    carried = set(carried_models())
    for model in carried:
        for field in model._meta.fields:
            if field.is_relation:
                assert field.related_model in carried, field


def test_carry__every_row_with_its_key(cast: Cast, another: str) -> None:
    counts = carry("default", another)
    assert counts["garden_journalline"] == JournalLine.objects.count() > 10
    assert counts == {**dict.fromkeys(counts, 0), **holdings("default")}
    for model in carried_models():
        assert fingerprint(model, another) == fingerprint(model, "default")
    there = Cross.objects.using(another).get(pk=cast.cross.pk)
    assert there.seed_parent.name == cast.cross.seed_parent.name


def test_carry__the_next_key_is_a_new_one(cast: Cast, another: str) -> None:
    carry("default", another)
    fresh = Plant.objects.using(another).create(name="Drawer Fifty")
    assert fresh.pk > max(Plant.objects.values_list("pk", flat=True))


def test_carry__in_pieces(cast: Cast, another: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(carrying, "AT_ONCE", 3)
    assert carry("default", another)["breeding_tag"] == len(cast.tags) > 3


def test_carry__refuses_a_target_that_holds_anything(cast: Cast, another: str) -> None:
    Plant.objects.using(another).create(name="Drawer Fifty")
    with pytest.raises(NotCarried, match="not empty: garden_plant 1"):
        carry("default", another)
    assert holdings(another) == {"garden_plant": 1}


def test_carry__a_table_that_differs_leaves_the_target_empty(
    cast: Cast, another: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    copy = carrying._copy

    def forgetful(model: Any, source: str, target: str) -> None:
        copy(model, source, target)
        if model is Plant:
            Plant.objects.using(target).filter(pk=cast.guest.pk).update(number="not what stood")

    monkeypatch.setattr(carrying, "_copy", forgetful)
    with pytest.raises(NotCarried, match="garden_plant differs"):
        carry("default", another)
    assert holdings(another) == {}


@pytest.fixture
def own_folder(settings: Any, tmp_path: Path) -> Path:
    settings.DATA_DIR = tmp_path / "garden"
    settings.DATA_DIR.mkdir()
    return settings.DATA_DIR


@pytest.fixture
def migrations(settings: Any, transactional_db: None) -> Iterator[None]:
    """The real ones, and as if the tests' own database had had them."""
    settings.MIGRATION_MODULES = {}
    call_command("migrate", fake=True, interactive=False, verbosity=0)
    yield
    MigrationRecorder(connection).flush()


@pytest.fixture
def at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """A target's tables made from the models, not by one migration after the other."""
    monkeypatch.setattr(moving, "call_command", lambda *args, database, **more: lay_out(database))


def move(to: str | Path) -> str:
    said = StringIO()
    call_command("move", to=str(to), stdout=said)
    return said.getvalue()


def test_move__into_a_file(cast: Cast, own_folder: Path, migrations: None) -> None:
    said = move("sqlite")
    file = own_folder / "haftbook.sqlite3"
    with beside(sqlite(file)) as alias:
        assert holdings(alias) == holdings("default")
        rows = sum(holdings(alias).values())
    assert f"{rows:>9}  rows in" in said
    assert f"{len(cast.tags):>9}  breeding_tag\n" in said
    assert not list(own_folder.glob("*.moving*"))


def test_move__leaves_a_file_that_is_there_alone(cast: Cast, own_folder: Path) -> None:
    file = own_folder / "haftbook.sqlite3"
    file.write_text("mine")
    with pytest.raises(CommandError, match="is there already"):
        move(file)
    assert file.read_text() == "mine"


def test_move__waits_until_the_garden_is_closed(cast: Cast, own_folder: Path) -> None:
    with holding(own_folder / OPEN) as alone:
        assert alone
        with pytest.raises(CommandError, match="close it first"):
            move("sqlite")
    assert not (own_folder / "haftbook.sqlite3").exists()


def test_move__a_move_that_breaks_off_leaves_nothing(
    cast: Cast, own_folder: Path, at_once: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(carrying, "fingerprint", lambda model, alias: (0, alias))
    with pytest.raises(CommandError, match="differs"):
        move("sqlite")
    assert {path.name for path in own_folder.iterdir()} <= {OPEN}


@pytest.fixture
def server() -> Iterator[str]:
    """The address of a new, empty database on the server that is set."""
    import psycopg

    address, name = os.environ.get("HAFTBOOK_DATABASE", ""), f"moved_{uuid.uuid4().hex[:12]}"
    if not address:
        pytest.skip("no PostgreSQL server is set")
    from urllib.parse import urlsplit

    with psycopg.connect(address, autocommit=True) as known:
        known.execute(f"CREATE DATABASE {name} TEMPLATE template0")
        yield urlsplit(address)._replace(path=f"/{name}").geturl()
        known.execute(f"DROP DATABASE {name} WITH (FORCE)")


def test_move__from_a_file_to_a_server_and_back(
    cast: Cast, another: str, server: str, own_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The file's garden is the one that is moved; it comes back as it went."""
    from garden.database import postgresql

    carry("default", another)
    before = {model: fingerprint(model, another) for model in carried_models()}
    with beside(postgresql(server), "club") as club:
        lay_out(club)
        assert carry(another, club) == {m._meta.db_table: before[m][0] for m in before}
        fresh = Plant.objects.using(club).create(name="Drawer Fifty")
        assert fresh.pk > max(Plant.objects.using(another).values_list("pk", flat=True))
        fresh.delete()
        with beside(sqlite(own_folder / "back.sqlite3"), "back") as back:
            lay_out(back)
            carry(club, back)
            assert {model: fingerprint(model, back) for model in carried_models()} == before


def test_move__to_a_server(cast: Cast, server: str, own_folder: Path, migrations: None) -> None:
    rows = sum(holdings("default").values())
    assert f"{rows:>9}  rows in" in move(server)
    with pytest.raises(CommandError, match="The target is not empty: garden_"):
        move(server)


def test_move__not_among_the_tables_of_something_else(
    cast: Cast, server: str, own_folder: Path
) -> None:
    import psycopg

    with psycopg.connect(server, autocommit=True) as known:
        known.execute("CREATE TABLE recipes (name text)")
    with pytest.raises(CommandError, match=r"something else \(recipes\)"):
        move(server)


def test_carry__one_moment_of_a_server(cast: Cast, another: str) -> None:
    """What is written meanwhile is no part of it."""
    if connection.vendor != "postgresql":
        pytest.skip("on SQLite nobody writes meanwhile")
    with carrying.one_moment("default"):
        known = Plant.objects.count()
        with beside(connections["default"].settings_dict, "writer") as writer:
            Plant.objects.using(writer).create(name="Drawer Fifty")
        assert Plant.objects.count() == known
    assert Plant.objects.count() == known + 1
