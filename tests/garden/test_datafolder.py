from __future__ import annotations

import os
import stat
from pathlib import Path

from garden.datafolder import data_folder, secret_key, write_secret


def mode(path: Path) -> int:
    return stat.S_IMODE(os.stat(path).st_mode)


def test_data_folder__made_for_its_owner_alone(tmp_path: Path) -> None:
    folder = data_folder(tmp_path / "a" / "b")
    assert folder.is_dir()
    assert mode(folder) == 0o700


def test_data_folder__there_already(tmp_path: Path) -> None:
    assert data_folder(tmp_path) == data_folder(str(tmp_path)) == tmp_path.resolve()


def test_write_secret__readable_by_its_owner_alone(tmp_path: Path) -> None:
    path = tmp_path / "secret"
    write_secret(path, "long text")
    write_secret(path, "short")
    assert path.read_text() == "short"
    assert mode(path) == 0o600


def test_secret_key__made_once_and_kept(tmp_path: Path) -> None:
    key = secret_key(tmp_path)
    assert len(key) >= 50
    assert secret_key(tmp_path) == key
    assert [path.name for path in tmp_path.iterdir()] == ["secret-key"]
    assert mode(tmp_path / "secret-key") == 0o600


def test_secret_key__another_garden_has_another(tmp_path: Path) -> None:
    assert secret_key(data_folder(tmp_path / "a")) != secret_key(data_folder(tmp_path / "b"))


def test_secret_key__the_first_of_two_starts_wins(tmp_path: Path, monkeypatch) -> None:
    """Another process writes its key between this one's look and its own writing."""

    def slower(path: Path, text: str) -> None:
        write_secret(tmp_path / "secret-key", "the key of the process that was first")
        write_secret(path, text)

    monkeypatch.setattr("garden.datafolder.write_secret", slower)
    assert secret_key(tmp_path) == "the key of the process that was first"
    assert [path.name for path in tmp_path.iterdir()] == ["secret-key"]
