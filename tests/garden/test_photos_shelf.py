from __future__ import annotations

import os
import stat
import time
from datetime import date
from pathlib import Path

import pytest

from garden.photos import SIZES, CleanPhoto, Shelf, clean
from garden.photos.shelf import MOST_WAITING, WAITING_DAYS
from tests.photos import GREEN, camera, drawn, encoded


@pytest.fixture
def shelf(tmp_path: Path) -> Shelf:
    return Shelf(tmp_path / "photos")


@pytest.fixture
def photo() -> CleanPhoto:
    return clean(encoded(drawn(), exif=camera()))


def files(shelf: Shelf) -> list[str]:
    return sorted(
        path.relative_to(shelf.folder).as_posix()
        for path in shelf.folder.rglob("*")
        if path.is_file()
    )


def age(shelf: Shelf, days: float) -> None:
    """Make everything that waits so many days old."""
    then = time.time() - days * 86_400
    for path in (shelf.folder / "waiting").iterdir():
        os.utime(path, (then, then))


def made_up(number: int) -> CleanPhoto:
    return CleanPhoto(dict.fromkeys(SIZES, b"%d" % number), 1, 1)


def test_keep__every_size_under_its_digest(shelf: Shelf, photo: CleanPhoto) -> None:
    shelf.keep(photo)
    folder, name = photo.digest[:2], photo.digest
    assert files(shelf) == [f"{folder}/{name}-{size}.jpg" for size in ("large", "middle", "small")]
    for size in SIZES:
        assert shelf.find(photo.digest, size).read_bytes() == photo.files[size]


def test_keep__for_this_account_alone(shelf: Shelf, photo: CleanPhoto) -> None:
    shelf.keep(photo)
    shelf.wait(photo)
    modes = {
        (path.is_dir(), stat.S_IMODE(path.stat().st_mode))
        for path in (shelf.folder, *shelf.folder.rglob("*"))
    }
    assert modes == {(True, 0o700), (False, 0o600)}


def test_keep__twice_is_as_once(shelf: Shelf, photo: CleanPhoto) -> None:
    shelf.keep(photo)
    before = {path: path.stat().st_mtime_ns for path in shelf.folder.rglob("*.jpg")}
    shelf.keep(photo)
    assert {path: path.stat().st_mtime_ns for path in shelf.folder.rglob("*.jpg")} == before


def test_keep__a_size_that_is_missing_is_written_again(shelf: Shelf, photo: CleanPhoto) -> None:
    shelf.keep(photo)
    shelf.find(photo.digest, "small").unlink()
    assert shelf.find(photo.digest, "small") is None
    shelf.keep(photo)
    assert shelf.find(photo.digest, "small").read_bytes() == photo.files["small"]


def test_keep__a_full_disk_leaves_no_half_a_file(
    shelf: Shelf, photo: CleanPhoto, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(handle: int) -> None:
        raise OSError("no space left")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="no space"):
        shelf.keep(photo)
    assert files(shelf) == []


@pytest.mark.parametrize(
    "digest",
    ["", "..", "../../secret-key", "a" * 63, "A" * 64, "g" * 64, "a" * 64 + "\n", "٣" * 64],
)
def test_find__nothing_for_what_is_no_digest(shelf: Shelf, photo: CleanPhoto, digest: str) -> None:
    shelf.keep(photo)
    (shelf.folder / "secret-key").write_text("secret")
    assert shelf.find(digest, "large") is None
    assert shelf.find_waiting(digest, "large") is None
    assert shelf.waiting(digest) is None


@pytest.mark.parametrize("size", ["", "huge", "../large", "large.jpg"])
def test_find__nothing_for_a_size_that_is_none(shelf: Shelf, photo: CleanPhoto, size: str) -> None:
    shelf.keep(photo)
    assert shelf.find(photo.digest, size) is None


def test_waiting__comes_back_whole(shelf: Shelf, photo: CleanPhoto) -> None:
    assert shelf.waiting(photo.digest) is None
    shelf.wait(photo)
    assert shelf.waiting(photo.digest) == photo
    assert photo.taken_on == date(2024, 6, 3)
    assert shelf.find(photo.digest, "small") is None
    assert shelf.find_waiting(photo.digest, "small").is_file()


def test_wait__sweeps_what_was_left_for_days_and_nothing_kept(
    shelf: Shelf, photo: CleanPhoto
) -> None:
    shelf.keep(photo)
    shelf.wait(photo)
    age(shelf, WAITING_DAYS - 0.1)
    other = clean(encoded(drawn(fall=GREEN)))
    shelf.wait(other)
    assert shelf.waiting(photo.digest) == photo
    age(shelf, WAITING_DAYS + 0.1)
    shelf.wait(other)
    assert shelf.waiting(photo.digest) is None
    assert shelf.waiting(other.digest) == other
    assert shelf.find(photo.digest, "large").is_file()


def test_wait__fills_no_disk(shelf: Shelf) -> None:
    for number in range(MOST_WAITING + 20):
        shelf.wait(made_up(number))
    waiting = {path.name[:64] for path in (shelf.folder / "waiting").iterdir()}
    assert len(waiting) <= MOST_WAITING
    assert made_up(MOST_WAITING + 19).digest in waiting


def test_taken__the_camera_s_word_comes_first(photo: CleanPhoto) -> None:
    assert photo.taken(date(2020, 1, 1)).taken_on == date(2024, 6, 3)
    unknown = made_up(1)
    assert unknown.taken(date(2020, 1, 1)).taken_on == date(2020, 1, 1)
    assert unknown.taken(None) is unknown
