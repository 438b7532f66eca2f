"""Making a backup and reading it: in use, to the last byte, and never believing what it says."""

from __future__ import annotations

import hashlib
import json
import random
import shutil
import sqlite3
import stat
import threading
import time
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from garden.backup import BackupRefused, Manifest, disk, folder, make, verify
from garden.backup.lock import Lock, holding
from garden.backup.plain import DATABASE, MANIFEST, SEAL
from tests.backupcast import (
    COOKIE,
    MIGRATIONS,
    NOON,
    connected,
    contents,
    lay_out,
    put_photo,
    rows,
    source_of,
)


@pytest.fixture
def garden(tmp_path: Path) -> Path:
    lay_out(tmp_path / "data")
    return tmp_path / "data"


@pytest.fixture
def backup(garden: Path, tmp_path: Path) -> Path:
    path = tmp_path / "one.zip"
    make(path, source_of(garden), NOON)
    return path


@pytest.fixture
def room(tmp_path: Path) -> Callable[[], Path]:
    """An empty folder to work in, each time another."""
    numbers = iter(range(10_000))

    def fresh() -> Path:
        path = tmp_path / f"room-{next(numbers)}"
        path.mkdir()
        return path

    return fresh


def refused(path: Path, room: Path, known: set[str] | None = None) -> str:
    """The sentence that a file is refused with; nothing beside it is left or changed."""
    before = contents(path.parent)
    with pytest.raises(BackupRefused) as said:
        verify(path, room, known)
    shutil.rmtree(room)
    assert contents(path.parent) == before
    return str(said.value)


def sealed(path: Path) -> Path:
    """Give an archive made by hand the seal that a backup ends with."""
    with zipfile.ZipFile(path, "a") as archive:
        archive.comment = SEAL + b"0" * 64
    content = path.read_bytes()[:-64]
    path.write_bytes(content + hashlib.sha256(content).hexdigest().encode())
    return path


def rewritten(
    backup: Path,
    to: Path,
    change: Callable[[dict[str, bytes]], object],
    manifest: Callable[[dict], object] = lambda told: None,
    honest: bool = True,
) -> Path:
    """A backup with other files in it, by somebody who knows how to seal one."""
    with zipfile.ZipFile(backup) as archive:
        files = {name: archive.read(name) for name in archive.namelist()}
    change(files)
    told = json.loads(files.pop(MANIFEST))
    if honest:
        told["files"] = {
            name: {"size": len(content), "sha256": hashlib.sha256(content).hexdigest()}
            for name, content in files.items()
        }
    manifest(told)
    with zipfile.ZipFile(to, "w") as archive:
        for name, content in files.items():
            archive.writestr(name, content, zipfile.ZIP_DEFLATED)
        archive.writestr(MANIFEST, json.dumps(told))
    return sealed(to)


def test_backup__holds_record_photos_and_what_they_are(
    garden: Path, backup: Path, room: Callable[[], Path]
) -> None:
    read = verify(backup, room(), set(MIGRATIONS))
    manifest = read.manifest
    assert (manifest.garden, manifest.made, manifest.photos) == ("Garden by the Weir", NOON, 3)
    assert manifest.migrations == MIGRATIONS
    assert manifest.counts["garden_journalline"] == 50
    assert len(manifest.files) == 1 + 3 * 3
    with zipfile.ZipFile(backup) as archive:
        ways = {info.filename: info.compress_type for info in archive.infolist()}
        assert ways.pop(DATABASE) == zipfile.ZIP_DEFLATED
        assert {way for name, way in ways.items() if name != MANIFEST} == {zipfile.ZIP_STORED}
        for name in manifest.files:
            if name != DATABASE:
                assert archive.read(name) == (garden / name).read_bytes()


def test_backup__is_for_this_account_alone_and_leaves_nothing_beside(backup: Path) -> None:
    assert stat.S_IMODE(backup.stat().st_mode) == 0o600
    assert {path.name for path in backup.parent.iterdir()} == {"data", "one.zip"}
    assert [path.name for path in (backup.parent / "data/backups").iterdir()] == ["making.lock"]


def test_backup__lets_nobody_in(garden: Path, backup: Path, room: Callable[[], Path]) -> None:
    (garden / "secret-key").write_text("the key of this garden")
    empty = room()
    manifest = verify(backup, empty).manifest
    assert rows(garden / DATABASE)["garden_device"] == [(1, "phone", COOKIE)]
    assert COOKIE.encode() not in (empty / DATABASE).read_bytes()
    assert manifest.counts["django_session"] == 0
    assert rows(empty / DATABASE)["garden_device"] == [(1, "phone", "")]
    assert not [name for name in manifest.files if "secret" in name]


def test_backup__leaves_the_garden_as_it_is(garden: Path, tmp_path: Path) -> None:
    before = rows(garden / DATABASE)
    make(tmp_path / "one.zip", source_of(garden), NOON)
    assert rows(garden / DATABASE) == before
    assert before["django_session"] == [(COOKIE, "signed in")]


def test_backup__says_which_photos_were_missing(garden: Path, tmp_path: Path) -> None:
    with connected(garden / DATABASE) as connection:
        connection.execute("INSERT INTO garden_photo (digest) VALUES (?)", ["ab" * 32])
    connection.close()
    manifest = make(tmp_path / "one.zip", source_of(garden), NOON)
    assert manifest.missing == tuple(
        f"photos/ab/{'ab' * 32}-{size}.jpg" for size in ("large", "middle", "small")
    )


def test_backup__takes_no_photo_that_waits_or_is_half_written(garden: Path, tmp_path: Path) -> None:
    digest = put_photo(garden / "photos", b"kept, though no row names it")
    for name in ("waiting/x.jpg", f"{digest[:2]}/{digest}-large.jpg.1234"):
        (garden / "photos" / name).parent.mkdir(exist_ok=True)
        (garden / "photos" / name).write_bytes(b"half")
    (garden / "photos" / digest[:2] / f"{digest[:2]}{'0' * 62}-large.jpg").symlink_to("/etc/passwd")
    manifest = make(tmp_path / "one.zip", source_of(garden), NOON)
    assert manifest.photos == 4
    assert len(manifest.files) == 1 + 4 * 3


def test_backup__while_somebody_writes_holds_whole_transactions_only(
    garden: Path, tmp_path: Path, room: Callable[[], Path]
) -> None:
    stop, wrote, troubles = threading.Event(), [0], []

    def write() -> None:
        connection = connected(garden / DATABASE)
        while not stop.is_set():
            try:
                connection.execute("BEGIN IMMEDIATE")
                for half in ("first", "second"):
                    connection.execute(
                        "INSERT INTO garden_journalline (text, person_id) VALUES (?, 1)",
                        [f"{half} half of {wrote[0]}"],
                    )
                connection.execute("COMMIT")
            except sqlite3.Error as error:
                troubles.append(error)
            wrote[0] += 1
            time.sleep(0.002)
        connection.close()

    writer = threading.Thread(target=write)
    writer.start()
    try:
        counts = []
        for at in range(5):
            before = wrote[0]
            path = tmp_path / f"{at}.zip"
            make(path, source_of(garden), NOON)
            assert wrote[0] > before, "nobody wrote meanwhile, so this shows nothing"
            empty = room()
            manifest = verify(path, empty).manifest
            texts = {text for _, text, _ in rows(empty / DATABASE)["garden_journalline"]}
            first = {text for text in texts if text.startswith("first")}
            assert {text.replace("first", "second") for text in first} <= texts
            assert len(texts) == 50 + 2 * len(first)
            counts.append(manifest.counts["garden_journalline"])
    finally:
        stop.set()
        writer.join()
    assert troubles == []
    assert counts == sorted(counts)
    assert counts[0] < counts[-1]


def test_backup__is_refused_while_another_is_made(garden: Path, tmp_path: Path) -> None:
    (garden / "backups").mkdir()
    with holding(garden / "backups/making.lock") as taken:
        assert taken
        with pytest.raises(BackupRefused, match="being made at this moment"):
            make(tmp_path / "one.zip", source_of(garden), NOON)
    assert not (tmp_path / "one.zip").exists()


def test_backup__on_a_full_disk_says_so_and_leaves_nothing(
    garden: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(disk.shutil, "disk_usage", lambda _: shutil._ntuple_diskusage(9, 8, 1))
    with pytest.raises(BackupRefused, match=r"The disk is too full: 50 MB are needed in .+"):
        make(tmp_path / "one.zip", source_of(garden), NOON)
    assert [path.name for path in tmp_path.iterdir()] == ["data"]


def test_backup__of_a_damaged_garden_is_refused(garden: Path, tmp_path: Path) -> None:
    with connected(garden / DATABASE) as connection:
        connection.execute("PRAGMA foreign_keys=OFF")
        connection.execute("INSERT INTO garden_journalline (text, person_id) VALUES ('x', 99)")
    connection.close()
    with pytest.raises(BackupRefused, match="1 rows refer to rows that are not there"):
        make(tmp_path / "one.zip", source_of(garden), NOON)
    assert [path.name for path in tmp_path.iterdir()] == ["data"]


def test_backup__sweeps_what_a_killed_one_left(garden: Path, tmp_path: Path) -> None:
    left = garden / "backups/.making-0123"
    left.mkdir(parents=True)
    (left / DATABASE).write_bytes(b"half")
    make(tmp_path / "one.zip", source_of(garden), NOON)
    assert not left.exists()


def test_verify__refuses_a_byte_changed_anywhere(backup: Path, room: Callable[[], Path]) -> None:
    whole, chance = backup.read_bytes(), random.Random(3)
    places = {*range(0, 60), *range(len(whole) - 200, len(whole))}
    places |= {chance.randrange(len(whole)) for _ in range(200)}
    spared = []
    for at in sorted(places):
        changed = bytearray(whole)
        changed[at] ^= 1 << chance.randrange(8)
        backup.write_bytes(changed)
        try:
            verify(backup, room())
        except BackupRefused:
            continue
        spared.append(at)
    assert len(places) > 400
    assert spared == []


@pytest.mark.parametrize("left", [0, 1, 30, 60, 64, 500, 5_000, -1, -64, -65, -200])
def test_verify__refuses_a_part_of_a_backup(
    backup: Path, room: Callable[[], Path], left: int
) -> None:
    whole = backup.read_bytes()
    backup.write_bytes(whole[:left])
    said = refused(backup, room())
    assert said == (
        "one.zip cannot be used: it is damaged: its end is missing."
        if left > 50 or left < 0
        else "one.zip cannot be used: it is no backup of a garden."
    )


def test_verify__refuses_what_is_no_backup(tmp_path: Path, room: Callable[[], Path]) -> None:
    text, other = tmp_path / "letter.txt", tmp_path / "holiday.zip"
    text.write_text("Dear Wanda, " * 50)
    with zipfile.ZipFile(other, "w") as archive:
        archive.writestr("beach.jpg", b"sand")
    for path in (text, other, sealed(shutil.copy(other, tmp_path / "sealed.zip"))):
        assert "it " in refused(path, room())
    assert refused(text, room()) == "letter.txt cannot be used: it is no backup of a garden."
    with pytest.raises(BackupRefused, match="there is no such file"):
        verify(tmp_path / "nowhere.zip", room())
    with pytest.raises(BackupRefused, match="there is no such file"):
        verify(tmp_path, room())


@pytest.mark.parametrize(
    "name",
    ["../haftbook.sqlite3", "/etc/passwd", "photos/../../x.jpg", "photos/ab/x.jpg", "secret-key",
     f"photos/cd/{'ab' * 32}-large.jpg", f"photos/ab/{'ab' * 32}-huge.jpg", "C:\\x",
     f"photos/ab/{'ab' * 32}-large.jpg/"],
)  # fmt: skip
def test_verify__refuses_names_that_no_garden_has(
    backup: Path, tmp_path: Path, room: Callable[[], Path], name: str
) -> None:
    forged = rewritten(backup, tmp_path / "forged.zip", lambda files: files.update({name: b"x"}))
    assert "holds files that no garden has" in refused(forged, room())


def test_verify__refuses_links_and_names_that_come_twice(
    backup: Path, tmp_path: Path, room: Callable[[], Path]
) -> None:
    linked, twice = shutil.copy(backup, tmp_path / "l.zip"), shutil.copy(backup, tmp_path / "t.zip")
    info = zipfile.ZipInfo(f"photos/ab/{'ab' * 32}-large.jpg")
    info.external_attr = (stat.S_IFLNK | 0o777) << 16
    with zipfile.ZipFile(linked, "a") as archive:
        archive.writestr(info, "/etc/passwd")
    assert "holds files that no garden has" in refused(sealed(linked), room())
    with zipfile.ZipFile(twice, "a") as archive, pytest.warns(UserWarning, match="Duplicate"):
        archive.writestr(MANIFEST, b"{}")
    assert "stands in it twice" in refused(sealed(twice), room())


def test_verify__refuses_a_bomb_before_unpacking_it(
    backup: Path, tmp_path: Path, room: Callable[[], Path]
) -> None:
    bomb = rewritten(
        backup, tmp_path / "bomb.zip", lambda files: files.update({DATABASE: bytes(120_000_000)})
    )
    assert bomb.stat().st_size < 1_000_000
    began = time.monotonic()
    assert "would unpack to more than any garden" in refused(bomb, room())
    assert time.monotonic() - began < 2


def test_verify__refuses_another_size_than_promised(
    backup: Path, tmp_path: Path, room: Callable[[], Path]
) -> None:
    def shrink(told: dict) -> None:
        told["files"][DATABASE]["size"] -= 1

    forged = rewritten(backup, tmp_path / "f.zip", lambda files: None, shrink, honest=False)
    assert "another size than it should have" in refused(forged, room())


def _swap_photos(files: dict[str, bytes]) -> None:
    one, two = [name for name in files if name.endswith("-middle.jpg")][:2]
    files[one], files[two] = files[two], files[one]


def test_verify__compares_every_checksum(
    backup: Path, tmp_path: Path, room: Callable[[], Path]
) -> None:
    forged = rewritten(backup, tmp_path / "f.zip", _swap_photos, honest=False)
    assert "-middle.jpg is not what it was" in refused(forged, room())


def test_verify__compares_every_count(
    backup: Path, tmp_path: Path, room: Callable[[], Path]
) -> None:
    def more(told: dict) -> None:
        told["counts"]["garden_journalline"] += 1

    forged = rewritten(backup, tmp_path / "f.zip", lambda files: None, more)
    assert "its record is not the one that it says it holds" in refused(forged, room())


def test_verify__refuses_a_newer_format_and_a_newer_schema(
    backup: Path, tmp_path: Path, room: Callable[[], Path]
) -> None:
    newer = rewritten(
        backup, tmp_path / "f.zip", lambda files: None, lambda told: told.update(format=2)
    )
    assert "made by a newer Haftbook" in refused(newer, room())
    said = refused(backup, room(), {MIGRATIONS[0]})
    assert f"comes from a newer Haftbook, which this one cannot read ({MIGRATIONS[1]})" in said


@pytest.mark.parametrize(
    "wrong",
    [{"kind": "something else"}, {"files": []}, {"counts": {"garden_plant": -1}}, {"made": "today"},
     {"made": "2026-06-03T12:00:00"}, {"migrations": 7}, {"files": {"x": {"size": 1}}}],
)  # fmt: skip
def test_verify__refuses_a_list_of_contents_that_is_none(
    backup: Path, tmp_path: Path, room: Callable[[], Path], wrong: dict
) -> None:
    forged = rewritten(
        backup, tmp_path / "f.zip", lambda files: None, lambda told: told.update(wrong)
    )
    assert "cannot be used: it" in refused(forged, room())


@pytest.mark.parametrize(
    "statement",
    ["CREATE TRIGGER t AFTER DELETE ON garden_person BEGIN DELETE FROM garden_photo; END",
     "CREATE VIEW v AS SELECT 1", "DROP TABLE garden_person",
     "INSERT INTO garden_journalline (text, person_id) VALUES ('x', 99)"],
)  # fmt: skip
def test_verify__refuses_a_database_that_is_no_sound_garden(
    backup: Path, tmp_path: Path, room: Callable[[], Path], statement: str
) -> None:
    def change(files: dict[str, bytes]) -> None:
        path = tmp_path / "changed.sqlite3"
        path.write_bytes(files[DATABASE])
        connection = sqlite3.connect(path, isolation_level=None)
        connection.execute(statement)
        connection.close()
        files[DATABASE] = path.read_bytes()
        path.unlink()

    said = refused(rewritten(backup, tmp_path / "f.zip", change), room())
    assert "its database is" in said


def test_manifest__reads_what_it_wrote(backup: Path) -> None:
    with zipfile.ZipFile(backup) as archive:
        told = Manifest.read(archive.read(MANIFEST))
    assert Manifest.read(told.to_bytes()) == told


def test_lock__is_held_once_and_tells_by_whom(tmp_path: Path) -> None:
    one, two = Lock(tmp_path / "open.lock"), Lock(tmp_path / "open.lock")
    assert one.take()
    assert not one.take()
    assert not two.take()
    assert two.holder().startswith(" (process ")
    one.let_go()
    assert two.take()
    two.let_go()


def test_folder__names_lists_and_leaves_strangers_alone(tmp_path: Path) -> None:
    now = NOON.replace(tzinfo=None)
    for reason in ("", "", "before-upgrade"):
        folder.new_name(tmp_path, now, reason).touch()
    for strange in ("letter.zip", "haftbook-2026-13-03-1200.zip", "haftbook-2026-06-03.zip"):
        (tmp_path / strange).touch()
    assert [(copy.name, copy.special) for copy, _, _ in folder.copies(tmp_path)] == [
        ("haftbook-2026-06-03-1200.zip", False),
        ("haftbook-2026-06-03-1200-before-upgrade.zip", True),
        ("haftbook-2026-06-03-1200-2.zip", False),
    ]


@pytest.mark.parametrize("told", ["", "[]", "{", '{"line": "x"}', '{"unsaved": 3}', '"x"'])
def test_state__that_cannot_be_read_is_as_none(tmp_path: Path, told: str) -> None:
    (tmp_path / "state.json").write_text(told)
    assert folder.read_state(tmp_path) == folder.State()


def test_state__is_read_as_it_was_written(tmp_path: Path) -> None:
    state = folder.State(line=7, made="2026-06-03", trouble="The disk is full.", unsaved=("a", "b"))
    folder.write_state(tmp_path / "backups", state)
    assert folder.read_state(tmp_path / "backups") == state


def test_backup__on_another_disk_grows_where_it_will_lie(
    garden: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen: list[Path] = []
    monkeypatch.setattr(disk.os, "replace", lambda old, new: seen.append(Path(old)))
    with disk.appearing(tmp_path / "x.zip", garden) as fresh:
        fresh.write_bytes(b"x")
    with disk.appearing(tmp_path / "x.zip") as fresh:
        fresh.write_bytes(b"x")
    assert [path.parent for path in seen] == [garden, tmp_path]
    assert not [path for path in seen if path.exists()]
