"""What every answer carries, and what no answer, log or repository tells."""

from __future__ import annotations

import io
import logging
import stat
import subprocess
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.core.handlers.wsgi import WSGIHandler
from django.test import Client, RequestFactory, override_settings
from django.urls import reverse

from garden.datafolder import data_folder, secret_key
from garden.logs import NoKeys
from garden.models import Person
from garden.views import site
from tests.browser.addresses import addresses, parts_and_files
from tests.cast import PASSWORD, Cast
from tests.hostile.watch import body

ROOT = Path(__file__).resolve().parents[2]
POLICY = {
    "default-src 'none'", "script-src 'self'", "style-src 'self'", "font-src 'self'",
    "img-src 'self' blob:", "connect-src 'self'", "manifest-src 'self'", "worker-src 'self'",
    "form-action 'self'", "base-uri 'none'", "frame-ancestors 'none'",
}  # fmt: skip
pytestmark = pytest.mark.django_db


def faults(answer: Any) -> list[str]:
    """What an answer lacks of what every answer carries."""
    told = answer.headers
    policy = {part.strip() for part in told.get("Content-Security-Policy", "").split(";")} - {""}
    expected = {
        "X-Content-Type-Options": "nosniff",
        "Referrer-Policy": "same-origin",
        "Cross-Origin-Resource-Policy": "same-origin",
    }
    wrong = [
        f"{name}: {told.get(name)}" for name, value in expected.items() if told.get(name) != value
    ]
    wrong += [] if policy == POLICY else [f"policy: {sorted(policy ^ POLICY)}"]
    features = told.get("Permissions-Policy", "")
    wrong += [] if "camera=()" in features and "geolocation=()" in features else ["permissions"]
    return wrong


def test_every_page__carries_its_policy_and_stays_out_of_caches(
    cast: Cast, owner_client: Client
) -> None:
    lacking, kept = {}, set()
    for name, address in {**addresses(cast), **parts_and_files(cast)}.items():
        answer = owner_client.get(address)
        body(answer)  # read to its end, as a browser does
        lacking |= {name: wrong} if (wrong := faults(answer)) else {}
        told = answer.headers.get("Cache-Control", "")
        if answer.status_code == 200 and "no-store" not in told:
            asks_again = name == "worker" and told == "no-cache"
            assert asks_again or told.startswith("private, max-age="), name
            kept.add(name)
    assert lacking == {}
    # Named by what it holds; drawn without the session.
    assert kept <= {"photo-file", "in-bed", "waiting", "waiting-take-in", "worker"}


def test_every_answer_to_a_stranger__carries_its_policy(cast: Cast) -> None:
    lacking = {
        name: wrong
        for name, address in {**addresses(cast), **parts_and_files(cast)}.items()
        for send in (Client().get, Client().post)
        if (wrong := faults(send(address)))
    }
    assert lacking == {}


@pytest.mark.parametrize(
    ("status", "ask"),
    [
        (404, {"path": "/nothing-here/"}),
        (400, {"path": "/", "headers": {"Host": "evil.example"}}),
        (400, {"path": "/", "headers": {"Host": "evil.example:8000"}}),
        (302, {"path": "/plants/"}),
        (301, {"path": "/plants"}),
        (404, {"path": "/static/nothing.css"}),
    ],
)
def test_refusals__carry_it_too(db: None, status: int, ask: dict[str, Any]) -> None:
    answer = Client().get(**ask)
    assert answer.status_code == status
    assert faults(answer) == []


def test_slowed_and_foreign_forms__carry_it_too(owner: Person) -> None:
    door, wrong = reverse("sign-in"), {"username": "Wanda", "password": "no"}
    said = [Client().post(door, wrong, REMOTE_ADDR="192.168.7.31") for _ in range(6)]
    assert said[-1].status_code == 429
    assert faults(said[-1]) == []
    foreign = Client(enforce_csrf_checks=True).post(door, wrong)
    assert foreign.status_code == 403
    assert faults(foreign) == []


def test_failure__carries_it_and_says_nothing_of_why(
    owner_client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*args: Any, **kwargs: Any) -> None:
        raise RuntimeError("the secret of the mill race")

    monkeypatch.setattr("garden.views.house.Bed.live", property(broken), raising=False)
    monkeypatch.setattr("garden.views.house.render", broken)
    owner_client.raise_request_exception = False
    answer = owner_client.get(reverse("book"))
    assert answer.status_code == 500
    assert faults(answer) == []
    assert b"mill race" not in answer.content
    assert b"Traceback" not in answer.content


def test_static_file__carries_it(tmp_path: Path) -> None:
    (tmp_path / "tokens.css").write_text(":root {}")
    with override_settings(STATIC_ROOT=tmp_path):
        client = Client()
        client.handler = _served(WSGIHandler)
        answer = client.get("/static/tokens.css")
    assert answer.status_code == 200
    assert b"".join(answer.streaming_content) == b":root {}"
    assert faults(answer) == []


def _served(handler: type[WSGIHandler]) -> Any:
    """A fresh stack of middleware, since WhiteNoise looks into its folder once."""
    from django.test.client import ClientHandler

    return ClientHandler(enforce_csrf_checks=False)


def test_error_pages__name_no_address_and_no_setting(rf: RequestFactory) -> None:
    asked = rf.get("/")
    asked.user, asked.garden = Person(name="x"), None
    for page in (site.failed(asked), site.bad_request(asked, ValueError("the mill race"))):
        assert b"mill race" not in page.content
        assert settings.SECRET_KEY.encode() not in page.content


class TestLog:
    def line(self, message: str, *args: object) -> str:
        record = logging.LogRecord("django.request", logging.WARNING, "x", 1, message, args, None)
        assert NoKeys().filter(record)
        return record.getMessage()

    def test_key_of_a_calendar__is_not_told(self) -> None:
        key = Person().feed_key
        told = self.line("%s: %s", "Method Not Allowed (POST)", f"/calendar/{key}/garden.ics")
        assert told == "Method Not Allowed (POST): /calendar/…/garden.ics"

    def test_other_addresses__are_told(self) -> None:
        plain = "Not Found: /crosses/26-014/ and /plants/import/example.csv"
        assert self.line(plain) == plain

    def test_handler__has_the_filter(self) -> None:
        [handler] = [each for each in logging.getLogger().handlers
                     if any(isinstance(one, NoKeys) for one in each.filters)]  # fmt: skip
        assert handler.level == logging.NOTSET


def test_log__holds_no_form_and_no_password(
    owner: Person, helper_client: Client, capsys: pytest.CaptureFixture[str]
) -> None:
    handler = logging.StreamHandler(log := io.StringIO())
    handler.addFilter(NoKeys())
    logging.getLogger().addHandler(handler)
    Client().post(reverse("sign-in"), {"username": "Wanda", "password": "never to be read"})
    Client().post(reverse("sign-in"), {"token": "A" * 22})
    helper_client.post(reverse("person-new"), {"name": "x", "password": "never to be read"})
    helper_client.post("/calendar/" + owner.feed_key + "/garden.ics")
    logging.getLogger().removeHandler(handler)
    assert "/people/new/" in log.getvalue()
    assert "/calendar/…/garden.ics" in log.getvalue()
    for secret in ("never to be read", "A" * 22, owner.feed_key, PASSWORD):
        assert secret not in log.getvalue() + capsys.readouterr().out


def test_older_folder__is_shut_to_others(tmp_path: Path) -> None:
    tmp_path.chmod(0o755)
    key = secret_key(data_folder(tmp_path))
    (tmp_path / "secret-key").chmod(0o644)
    assert secret_key(data_folder(tmp_path)) == key
    assert stat.S_IMODE(tmp_path.stat().st_mode) == 0o700
    assert stat.S_IMODE((tmp_path / "secret-key").stat().st_mode) == 0o600


def test_repository__holds_no_secret() -> None:
    if not (ROOT / ".git").exists():
        pytest.skip("not a clone")
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, check=True, capture_output=True)
    files = [name for name in listed.stdout.decode().split("\0") if name]
    assert len(files) > 100
    secret = (".sqlite3", ".pem", ".key", ".p12", ".crt", "secret-key", "first-sign-in.txt")
    assert [name for name in files if name.endswith(secret)] == []
    assert not [name for name in files if name.startswith(".haftbook/")]
    ignored = (ROOT / ".gitignore").read_text().splitlines()
    assert "/.haftbook/" in ignored
