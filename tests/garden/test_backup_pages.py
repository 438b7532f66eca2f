"""Backups of their own accord, and the owner's page about them."""

from __future__ import annotations

import os
import shutil
import zipfile
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
import time_machine
from django.core.management.base import CommandError
from django.test import Client
from django.urls import reverse

from garden import safekeeping
from garden.backup import BackupRefused, Source, disk, folder
from garden.backup.lock import holding
from garden.models import JournalLine
from garden.records import add_bed
from garden.restoring import back_up_before_upgrade, known_migrations
from tests.backupcast import lay_out, source_of
from tests.cast import Cast, Stock
from tests.pages import links, texts

pytestmark = pytest.mark.django_db
# Nine o'clock by the garden's clock.
EVENING = datetime(2026, 6, 3, 19, 0, tzinfo=UTC)


@pytest.fixture(autouse=True)
def data(settings: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A data folder of its own; what is backed up is a small garden in a file."""
    settings.DATA_DIR = tmp_path / "data"
    (tmp_path / "data").mkdir()
    lay_out(tmp_path / "file")

    def source() -> Source:
        return source_of(tmp_path / "file")

    monkeypatch.setattr(safekeeping, "source", source)
    return tmp_path / "data"


@pytest.fixture
def no_room(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(disk.shutil, "disk_usage", lambda _: shutil._ntuple_diskusage(9, 8, 1))


def names() -> list[str]:
    return [copy.name for copy, _, _ in folder.copies(safekeeping.backups())]


def written(act: Callable[..., Any], at: datetime, name: str = "North bed") -> JournalLine:
    """An entry that came in at a moment."""
    with time_machine.travel(at, tick=False):
        return add_bed(act(happened_at=at, received_at=at), name=name, rows=1, positions=9).line


def looked(at: datetime) -> bool:
    with time_machine.travel(at, tick=False):
        return safekeeping.look()


@pytest.fixture
def act(owner: Any) -> Callable[..., Any]:
    from garden.verbs import Act

    return lambda **more: Act(owner, **more)


def test_look__makes_one_after_the_work_and_not_before(act: Callable[..., Any]) -> None:
    written(act, EVENING)
    assert not looked(EVENING + timedelta(minutes=19))
    assert looked(EVENING + timedelta(minutes=20))
    assert names() == ["haftbook-2026-06-03-2120.zip"]
    assert not looked(EVENING + timedelta(days=5)), "nothing was written since"
    known = safekeeping.state()
    assert (known.unsaved, known.trouble, known.photos) == ((), "", 3)


def test_look__makes_one_when_the_laptop_was_shut_before(act: Callable[..., Any]) -> None:
    written(act, EVENING)
    assert looked(EVENING + timedelta(hours=11))
    assert names() == ["haftbook-2026-06-04-0800.zip"]


def test_look__thins_out(act: Callable[..., Any]) -> None:
    safekeeping.backups().mkdir()
    for day in range(10, 20):
        for hour in (9, 12):
            (safekeeping.backups() / f"haftbook-2026-05-{day}-{hour:02}00.zip").touch()
    written(act, EVENING)
    assert looked(EVENING + timedelta(hours=11))
    assert names() == [
        "haftbook-2026-06-04-0800.zip", "haftbook-2026-05-19-1200.zip",
        "haftbook-2026-05-19-0900.zip", "haftbook-2026-05-17-1200.zip",
        "haftbook-2026-05-10-1200.zip",
    ]  # fmt: skip


def test_look__says_what_went_wrong_and_tries_again(
    act: Callable[..., Any], owner_client: Client, no_room: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    written(act, EVENING)
    with pytest.raises(BackupRefused, match="The disk is too full"):
        looked(EVENING + timedelta(minutes=30))
    assert not looked(EVENING + timedelta(minutes=31))
    said, _ = texts(owner_client.get(reverse("today")), ".errors[role=alert] p")
    assert said.startswith("The last backup failed. The disk is too full: 50 MB are needed in")
    assert links(owner_client.get(reverse("today")), ".errors a") == [reverse("backups")]
    monkeypatch.undo()


def test_today__is_silent_while_all_is_well(owner_client: Client, act: Callable[..., Any]) -> None:
    assert texts(owner_client.get(reverse("today")), ".errors") == []
    for days in range(3):
        at = EVENING + timedelta(days=days)
        written(act, at, f"bed {days}")
        looked(at + timedelta(minutes=1))
    assert texts(owner_client.get(reverse("today")), ".errors") == []


def test_today__tells_the_owner_of_work_that_no_backup_has(
    owner_client: Client, helper_client: Client, data: Path
) -> None:
    state = folder.State(unsaved=("2026-06-01", "2026-06-02", "2026-06-03", "2026-06-05"))
    folder.write_state(safekeeping.backups(), state)
    said, _ = texts(owner_client.get(reverse("today")), ".errors[role=alert] p")
    assert said == "The work of 4 days is in no backup yet."
    assert texts(helper_client.get(reverse("today")), ".errors") == []


def test_today__asks_no_query_for_it(
    owner_client: Client, cast: Cast, django_assert_num_queries: Any
) -> None:
    with django_assert_num_queries(0):
        safekeeping.note_for_owner()


def test_page__begins_empty(owner_client: Client) -> None:
    answer = owner_client.get(reverse("backups"))
    assert texts(answer, "h2")[0] == "None kept"
    assert "None has been made yet" in texts(answer, "#backups [role=status]")[0]
    assert reverse("backups") in links(owner_client.get(reverse("book")))


def test_page__makes_one_lists_it_and_hands_it_out(owner_client: Client) -> None:
    with time_machine.travel(EVENING, tick=False):
        answer = owner_client.post(reverse("backup-now"))
        assert (answer.status_code, answer["Location"]) == (303, reverse("backups"))
        page = owner_client.get(reverse("backups"))
    assert texts(page, "#backups [role=status] p") == [
        "The last one was made and checked on 3 June 2026 at 21:00: 3 photos."
    ]
    assert texts(page, "a.line .name") == ["3 June 2026, 21:00"]
    (address,) = links(page, "a.line")
    given = owner_client.get(address)
    assert given["Content-Disposition"] == 'attachment; filename="haftbook-2026-06-03-2100.zip"'
    (path,) = safekeeping.backups().glob("*.zip")
    assert b"".join(given.streaming_content) == path.read_bytes()
    assert zipfile.is_zipfile(path)


def test_download__is_not_pressed_again(owner_client: Client) -> None:
    owner_client.post(reverse("backup-now"))
    (path,) = safekeeping.backups().glob("*.zip")
    answer = owner_client.get(
        reverse("backup-file", args=[path.name]), headers={"Accept-Encoding": "gzip"}
    )
    assert answer["Content-Length"] == str(path.stat().st_size)
    assert not answer.has_header("Content-Encoding")
    answer.close()


@pytest.mark.parametrize(
    "name", ["haftbook-2026-06-03-0000.zip", "state.json", "..", "making.lock", "x.zip"]
)
def test_download__hands_out_nothing_else(owner_client: Client, name: str) -> None:
    owner_client.post(reverse("backup-now"))
    (safekeeping.backups() / "x.zip").write_bytes(b"somebody's")
    (safekeeping.backups() / "haftbook-2026-06-03-0000.zip").symlink_to("/etc/passwd")
    assert owner_client.get(reverse("backup-file", args=[name])).status_code == 404


@pytest.mark.parametrize("who", ["helper_client", "visitor_client"])
def test_page__is_the_owners_alone(who: str, owner_client: Client, request: Any) -> None:
    owner_client.post(reverse("backup-now"))
    (path,) = safekeeping.backups().glob("*.zip")
    client = request.getfixturevalue(who)
    assert client.get(reverse("backups")).status_code == 403
    assert client.post(reverse("backup-now")).status_code == 403
    assert client.get(reverse("backup-file", args=[path.name])).status_code == 403
    assert reverse("backups") not in links(client.get(reverse("book")))


def test_page__says_why_none_could_be_made(owner_client: Client, no_room: None) -> None:
    answer = owner_client.post(reverse("backup-now"))
    assert answer.status_code == 422
    (said,) = texts(answer, ".errors[role=alert] p")
    assert said.startswith("The disk is too full: 50 MB are needed in")
    assert texts(owner_client.get(reverse("backups")), ".errors[role=alert] p") == [said]


def test_page__looks_again_while_one_is_being_made(owner_client: Client) -> None:
    safekeeping.backups().mkdir()
    with holding(safekeeping.backups() / "making.lock"):
        answer = owner_client.get(reverse("backups"), headers={"HX-Request": "true"})
    assert texts(answer, "#backups[hx-get] [role=status]") == [
        "A backup is being made. Go on as you like."
    ]
    assert texts(owner_client.get(reverse("backups")), "#backups[hx-get]") == []


def test_watch__makes_what_is_asked_for(data: Path) -> None:
    watch = safekeeping.Watch(first=3600)
    done: list[str] = []

    def make_one() -> None:
        done.append("made")

    original, safekeeping.back_up = safekeeping.back_up, make_one  # type: ignore[assignment]
    try:
        watch.start()
        assert watch.ask(10)
        assert watch.ask(10)
    finally:
        safekeeping.back_up = original
    assert done == ["made", "made"]


def test_upgrade__is_backed_up_before_it(stock: Stock) -> None:
    back_up_before_upgrade()
    (name,) = names()
    assert name.endswith("-before-upgrade.zip")


def test_upgrade__of_a_garden_with_nobody_in_it_needs_no_backup() -> None:
    back_up_before_upgrade()
    assert names() == []


def test_upgrade__stops_when_it_cannot_be_backed_up(stock: Stock, no_room: None) -> None:
    with pytest.raises(CommandError, match=r"as it was, and was not upgraded\. The disk is too"):
        back_up_before_upgrade()


def test_known_migrations__are_those_of_this_haftbook(settings: Any) -> None:
    # The other tests make their tables without any.
    settings.MIGRATION_MODULES = {}
    known = known_migrations()
    assert {"garden.0001_the_stock", "breeding.0001_the_thread", "sessions.0001_initial"} <= known
    ours = Path(safekeeping.__file__).parent / "migrations"
    assert {f"garden.{path.stem}" for path in ours.glob("0*.py")} <= known


def test_wsgi__watches_over_nothing_unless_it_was_opened() -> None:
    from garden import wsgi

    assert wsgi.application
    assert "HAFTBOOK_SERVED" not in os.environ
    assert safekeeping._watch is None
