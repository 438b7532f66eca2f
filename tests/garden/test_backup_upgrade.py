"""Backups before an upgrade and of an older schema; and of a garden on a PostgreSQL server."""

from __future__ import annotations

import os
import subprocess
import sys
import uuid
import zipfile
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urlsplit

import pytest

from garden.backup import Manifest, folder
from garden.backup.plain import DATABASE, MANIFEST
from tests.backupcast import rows
from tests.garden.test_start import PATIENCE, ROOT, surroundings

# One process for several commands: each of them begins by loading the whole of Django.
FILL = """
import django
django.setup()
from django.core.management import call_command
from garden.opening import migrate_if_needed
migrate_if_needed()
from garden.models import Garden, Person
from garden.records import add_bed, add_plant
from garden.verbs import Act
from garden.safekeeping import backups
assert not backups().exists(), "there was nothing to back up"
wanda = Person.objects.create_user("Wanda", "a password of hers", "owner")
Garden.objects.filter(pk=Garden.get().pk).update(name="Garden by the Weir")
for at in range(4):
    add_bed(Act(wanda), name=f"Bed {at}", rows=2, positions=9)
    add_plant(Act(wanda), name=f"Drawer {at}")
"""
UPGRADE = """
call_command("migrate", "garden", "0004", verbosity=0)
migrate_if_needed()
"""
RESTORE_OVER = """
import sys, django
django.setup()
from django.core.management import call_command
from garden.models import Garden
Garden.objects.update(name="Garden of later")
call_command("restore", sys.argv[1], replace=True)
assert Garden.get().name == "Garden by the Weir"
call_command("backup", sys.argv[2])
"""
TABLES = ("garden_person", "garden_bed", "garden_plant", "garden_journalline", "breeding_locus")


def python(data: Path, *words: str, server: str = "") -> str:
    """What a Python process says that works on this data folder."""
    known = {name: value for name, value in surroundings(data).items() if "DATABASE" not in name}
    known |= {"DJANGO_SETTINGS_MODULE": "garden.settings"}
    known |= {"HAFTBOOK_DATABASE": server} if server else {}
    done = subprocess.run(
        [sys.executable, *words], cwd=ROOT, env=known, text=True, capture_output=True,
        timeout=PATIENCE, check=False,
    )  # fmt: skip
    assert (done.returncode, done.stderr) == (0, "")
    return done.stdout


def of_before(data: Path, reason: str) -> Path:
    (path,) = (data / "backups").glob(f"*-{reason}.zip")
    assert folder.NAME.fullmatch(path.name)
    return path


def test_upgrade__backs_up_first_and_the_older_backup_is_brought_up_to_date(tmp_path: Path) -> None:
    data, new = tmp_path / "data", tmp_path / "new"
    python(data, "-c", FILL + UPGRADE)
    kept = of_before(data, "before-upgrade")
    with zipfile.ZipFile(kept) as archive:
        told = Manifest.read(archive.read(MANIFEST))
    assert "garden.0004_journal_in_order_of_what_happened" in told.migrations
    assert "garden_device" not in told.counts
    said = python(new, "manage.py", "restore", str(kept))
    assert "It came from an older Haftbook and was brought up to date." in said
    before, after = rows(data / DATABASE), rows(new / DATABASE)
    assert set(after) == set(before) >= {"garden_device"}
    for table in TABLES:
        assert after[table] == before[table] != []


@pytest.fixture
def server() -> Iterator[str]:
    """The address of a new, empty database on the server that is set."""
    psycopg = pytest.importorskip("psycopg")
    address, name = os.environ.get("HAFTBOOK_DATABASE", ""), f"backup_{uuid.uuid4().hex[:12]}"
    if not address:
        pytest.skip("no PostgreSQL server is set")
    with psycopg.connect(address, autocommit=True) as known:
        known.execute(f"CREATE DATABASE {name} TEMPLATE template0")
        yield urlsplit(address)._replace(path=f"/{name}").geturl()
        known.execute(f"DROP DATABASE {name} WITH (FORCE)")


@pytest.mark.keeping
def test_server__is_backed_up_into_the_same_file_and_restored_from_it(
    server: str, tmp_path: Path
) -> None:
    club, file, again = (tmp_path / name for name in ("club", "file", "again"))
    one, two = str(tmp_path / "one.zip"), str(tmp_path / "two.zip")
    python(club, "-c", f"{FILL}call_command('backup', {one!r})", server=server)
    python(file, "manage.py", "restore", one)
    there = rows(file / DATABASE)
    assert [len(there[table]) for table in TABLES[:4]] == [1, 4, 4, 8]
    said = python(club, "-c", RESTORE_OVER, one, two, server=server)
    assert "each compared and the same" in said
    kept = of_before(club, "before-restore")
    assert "Garden of later" in python(file, "manage.py", "verify", str(kept))
    # Out once more: nothing was lost or changed on the way there and back.
    python(again, "manage.py", "restore", two)
    assert {table: rows(again / DATABASE)[table] for table in TABLES} == {
        table: there[table] for table in TABLES
    }


@pytest.mark.keeping
def test_server__is_backed_up_before_an_upgrade(server: str, tmp_path: Path) -> None:
    python(tmp_path / "club", "-c", FILL + UPGRADE, server=server)
    kept = of_before(tmp_path / "club", "before-upgrade")
    python(tmp_path / "file", "manage.py", "restore", str(kept))
    assert len(rows(tmp_path / "file" / DATABASE)["garden_plant"]) == 4
