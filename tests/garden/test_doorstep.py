"""At which address the garden opens: as asked for, else as the last time."""

from __future__ import annotations

import json
import socket
import stat
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.core.management.base import CommandError

from garden import doorstep
from garden.doorstep import Opening, choose, free_port, is_free
from garden.remembered import Opened, Unreadable, last_time, remember


@pytest.fixture
def taken() -> Iterator[int]:
    """A port at which somebody else listens, with a free one above it."""
    while True:
        with socket.socket() as other:
            other.bind(("0.0.0.0", 0))
            other.listen()
            port = int(other.getsockname()[1])
            if port < 65000 and is_free(port + 1):
                yield port
                return


@pytest.fixture
def free() -> int:
    with socket.socket() as probe:
        probe.bind(("0.0.0.0", 0))
        return int(probe.getsockname()[1])


def test_choose__a_garden_never_opened_takes_what_is_asked_for(tmp_path: Path, free: int) -> None:
    choice = choose(tmp_path, free, True)
    assert (choice.opened, choice.lasting, choice.warning) == (Opened(True, free), True, "")
    assert choose(tmp_path, free, None).opened == Opened(False, free)


def test_choose__the_usual_port_at_first(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(doorstep, "is_free", lambda port: port > 8001)
    choice = choose(tmp_path, None, None)
    assert (choice.opened, choice.lasting) == (Opened(False, 8002), True)


@pytest.mark.parametrize("https", [True, False])
def test_choose__as_the_last_time(tmp_path: Path, free: int, https: bool) -> None:
    remember(tmp_path, Opened(https, free))
    choice = choose(tmp_path, None, None)
    assert (choice.opened, choice.warning) == (Opened(https, free), "")


@pytest.mark.parametrize(("before", "now"), [(False, True), (True, False)])
def test_choose__another_scheme_warns_of_what_waits_at_the_old_address(
    tmp_path: Path, free: int, before: bool, now: bool
) -> None:
    remember(tmp_path, Opened(before, free))
    choice = choose(tmp_path, None, now)
    assert choice.opened == Opened(now, free)
    assert "Entries that wait on a phone belong to the old address" in choice.warning
    assert f"{'--https' if before else '--http'} --port {free}" in choice.warning


def test_choose__over_http_the_next_free_port_for_today(tmp_path: Path, taken: int) -> None:
    remember(tmp_path, Opened(False, taken))
    choice = choose(tmp_path, None, None)
    assert taken < choice.opened.port < taken + doorstep.PORTS_TRIED
    assert not choice.lasting
    assert "another address" in choice.warning


def test_choose__over_https_the_port_is_fixed(tmp_path: Path, taken: int) -> None:
    remember(tmp_path, Opened(True, taken))
    with pytest.raises(CommandError, match=f"Port {taken} is taken by another program"):
        choose(tmp_path, None, None)


@pytest.mark.parametrize("port", [-1, 65536])
def test_choose__no_port(tmp_path: Path, port: int) -> None:
    with pytest.raises(CommandError, match="from 1 to 65535"):
        choose(tmp_path, port, None)


@pytest.mark.parametrize("text", ["", "{", "[]", '{"https": true}', '{"https": 1, "port": 70000}'])
def test_choose__what_cannot_be_read_is_asked_about(tmp_path: Path, free: int, text: str) -> None:
    (tmp_path / "opened.json").write_text(text)
    with pytest.raises(CommandError, match="start with --https or"):
        choose(tmp_path, None, None)
    assert choose(tmp_path, free, True).opened == Opened(True, free)
    with pytest.raises(Unreadable):
        last_time(tmp_path)


def test_remember__for_the_owner_alone(tmp_path: Path) -> None:
    remember(tmp_path, Opened(True, 8000))
    path = tmp_path / "opened.json"
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert json.loads(path.read_text()) == {"https": True, "port": 8000}
    assert [each.name for each in tmp_path.iterdir()] == ["opened.json"]


def test_free_port__none(taken: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(doorstep, "PORTS_TRIED", 1)
    with pytest.raises(CommandError, match="No free port"):
        free_port(taken)


@pytest.fixture
def at_home(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(doorstep, "home_addresses", lambda: ["192.168.7.9", "192.0.2.2"])


def test_words__over_https_names_only_what_is_certified(at_home: None) -> None:
    opening = Opening(8000, https=True, name="millrace.local", trust_port=8001, fingerprint="AA 01")
    said = opening.words()
    for each in ("127.0.0.1", "millrace.local", "192.168.7.9"):
        assert f"https://{each}:8000/" in said
    assert "https://192.0.2.2" not in said
    assert "http://192.168.7.9:8001/" in said
    assert "AA 01" in said


def test_words__over_http_say_nothing_of_trusting(at_home: None) -> None:
    said = Opening(8000, warnings=("Mind the step.",)).words()
    assert "http://192.168.7.9:8000/" in said
    assert "trust" not in said
    assert said.endswith("Mind the step.")
