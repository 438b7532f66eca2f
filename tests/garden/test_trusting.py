"""The page that leads a phone through trusting the garden, and the garden opened over https."""

from __future__ import annotations

import http.client
import http.cookiejar
import os
import re
import shutil
import signal
import socket
import ssl
import subprocess
import sys
import threading
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace
from typing import Any
from urllib.parse import urlencode

import pytest
from cryptography import x509
from lxml import html

from garden import doorstep, trusting
from garden.certificates import open_authority, phone_profile
from garden.doorstep import Opening
from garden.transport import settings_over
from garden.trusting import Listener
from garden.views.trusting import trust_steps
from tests.secured import ROOT, Secured, secured
from tests.secured import trusting as trusts

IPHONE = "Mozilla/5.0 (iPhone; CPU iPhone OS 19_0 like Mac OS X) Safari/604.1"
ANDROID = "Mozilla/5.0 (Linux; Android 16) Chrome/150 Mobile Safari/537.36"


@pytest.fixture
def listener(tmp_path: Path, settings: Any, monkeypatch: pytest.MonkeyPatch) -> Iterator[Listener]:
    settings.DATA_DIR = tmp_path
    for module in (doorstep, trusting):
        monkeypatch.setattr(module, "home_addresses", lambda: ["192.168.7.9"])
    open_authority(tmp_path, "millrace.local")
    opening = Opening(
        8000, here_only=False, https=True, name="millrace.local", trust_port=0, fingerprint="AB CD"
    )
    listener = Listener(opening, 0)
    thread = threading.Thread(target=listener.serve_forever, daemon=True)
    thread.start()
    yield listener
    listener.shutdown()
    listener.server_close()
    thread.join(5)


def ask(listener: Listener, path: str, method: str = "GET", **headers: str) -> Any:
    """The answer of the listener: status, headers, content."""
    asked = http.client.HTTPConnection("127.0.0.1", listener.server_port, timeout=5)
    try:
        asked.request(method, path, headers=headers)
        answer = asked.getresponse()
        return SimpleNamespace(status=answer.status, headers=answer.headers, content=answer.read())
    finally:
        asked.close()


def test_page__leads_through_the_steps(listener: Listener) -> None:
    answer = ask(listener, "/")
    assert answer.status == 200
    page = html.fromstring(answer.content)
    text = " ".join(page.text_content().split())
    called = listener.authority.called
    for words in ("Certificate Trust Settings", "CA certificate", "AB CD", called,
                  "https://millrace.local:8000/", "https://192.168.7.9:8000/"):  # fmt: skip
        assert words in text
    # Opened on this computer: a code for the phone to scan.
    assert page.cssselect("svg.qr path")
    assert "http://192.168.7.9:" in text


@pytest.mark.parametrize(("agent", "open_"), [(IPHONE, "iPhone"), (ANDROID, "Android"),
                                              ("", "Laptop")])  # fmt: skip
def test_page__opens_at_the_steps_of_who_asks(listener: Listener, agent: str, open_: str) -> None:
    page = html.fromstring(ask(listener, "/", **{"User-Agent": agent}).content)
    [found] = page.cssselect("details[open] h2")
    assert found.text_content().startswith(open_)


def test_page__keeps_to_a_strict_policy_and_sets_no_cookie(listener: Listener) -> None:
    for path in ("/", "/trust.css", "/haftbook.crt", "/nothing"):
        headers = ask(listener, path).headers
        assert "default-src 'none'" in headers["Content-Security-Policy"]
        assert "unsafe" not in headers["Content-Security-Policy"]
        assert "script" not in headers["Content-Security-Policy"]
        assert headers["X-Content-Type-Options"] == "nosniff"
        assert headers["Set-Cookie"] is None
        assert "Python" not in headers["Server"]


def test_certificate__is_the_authority_that_phones_take_in(listener: Listener) -> None:
    answer = ask(listener, "/haftbook.crt")
    assert answer.headers["Content-Type"] == "application/x-x509-ca-cert"
    assert x509.load_der_x509_certificate(answer.content) == listener.authority.root
    profile = ask(listener, "/haftbook.mobileconfig")
    assert profile.headers["Content-Type"] == "application/x-apple-aspen-config"
    assert profile.content == phone_profile(listener.authority)


@pytest.mark.parametrize(
    "path",
    ["/signer-key.pem", "/../certificates/signer-key.pem", "/certificates/", "/sign-in/",
     "/haftbook.crt/../signer.pem", "/%2e%2e/secret-key", "/static/css/base.css"],
)  # fmt: skip
def test_listener__gives_out_nothing_else(listener: Listener, path: str) -> None:
    answer = ask(listener, path)
    assert answer.status == 404
    assert answer.content == b"Nothing here.\n"


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "OPTIONS", "TRACE"])
def test_listener__only_reads(listener: Listener, method: str) -> None:
    assert ask(listener, "/", method).status == 501


@pytest.mark.parametrize("host", ["evil.example", "millrace.local.evil.example", "", "a b", "[::"])
def test_listener__answers_to_no_other_name(listener: Listener, host: str) -> None:
    answer = ask(listener, "/", Host=host)
    assert answer.status == 400
    assert b"garden.\n" in answer.content


def test_listener__lets_in_the_home_network_alone(listener: Listener) -> None:
    assert listener.verify_request(None, ("192.168.7.20", 5))
    assert not listener.verify_request(None, ("8.8.8.8", 5))


def test_listener__silent_visitors_are_few_and_short(
    listener: Listener, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(trusting, "SECONDS_EACH", 1)
    at = ("127.0.0.1", listener.server_port)
    began = threading.active_count()
    silent = [socket.create_connection(at, timeout=5) for _ in range(30)]
    time.sleep(0.3)
    # A visitor has one thread and one that ends the visit.
    assert threading.active_count() - began <= 2 * trusting.MOST_AT_ONCE
    for each in silent:
        # A byte now and then does not prolong it.
        with pytest.MonkeyPatch.context(), each:
            try:
                each.sendall(b"G")
                each.settimeout(5)
                assert each.recv(10) == b""
            except ConnectionError:
                pass
    assert ask(listener, "/").status == 200


def test_trust_steps__over_http_say_what_works_there(rf: Any) -> None:
    page = rendered(trust_steps(rf.get("/phones/")))
    assert "In the bed" in page.text_content()
    assert "manage.py start --https" in page.text_content()
    assert page.cssselect("svg") == []


def test_trust_steps__over_https_show_the_code_and_the_fingerprint(
    rf: Any, settings: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from garden.views import trusting as view

    monkeypatch.setattr(view, "home_addresses", lambda: ["192.168.7.9"])
    settings.DATA_DIR, settings.TRUST_PORT = tmp_path, 8001
    authority = open_authority(tmp_path, "millrace.local")
    page = rendered(trust_steps(rf.get("/phones/", secure=True)))
    assert page.cssselect("svg.qr path")
    assert "http://192.168.7.9:8001/" in page.text_content()
    assert authority.called in page.text_content()
    monkeypatch.setattr(view, "home_addresses", list)
    assert (
        "on no home network"
        in rendered(trust_steps(rf.get("/phones/", secure=True))).text_content()
    )
    shutil.rmtree(authority.folder)
    assert "cannot be read" in rendered(trust_steps(rf.get("/phones/", secure=True))).text_content()
    assert not authority.folder.exists()


def rendered(context: dict[str, Any]) -> html.HtmlElement:
    from django.template.loader import render_to_string

    return html.fromstring(render_to_string("garden/_trust_steps.html", context))


def test_transport__https_binds_the_cookies_and_silences_only_what_it_does_not_give() -> None:
    secure, plain = settings_over(True), settings_over(False)
    assert secure["SESSION_COOKIE_NAME"] == "__Host-haftbook"
    assert secure["CSRF_COOKIE_NAME"] == "__Host-csrftoken"
    assert secure["SESSION_COOKIE_SECURE"] is secure["CSRF_COOKIE_SECURE"] is True
    assert secure["SILENCED_SYSTEM_CHECKS"] == ["security.W004", "security.W008"]
    assert plain["SESSION_COOKIE_SECURE"] is plain["CSRF_COOKIE_SECURE"] is False
    assert secure.keys() == plain.keys()


@pytest.mark.parametrize("https", ["1", ""])
def test_check_deploy__finds_nothing_more(https: str, tmp_path: Path) -> None:
    known = os.environ | {"HAFTBOOK_DATA": str(tmp_path), "HAFTBOOK_HTTPS": https,
                          "DJANGO_SETTINGS_MODULE": "garden.settings"}  # fmt: skip
    # The tests in the browser set it for the process that they share.
    known.pop("DJANGO_ALLOW_ASYNC_UNSAFE", None)
    told = subprocess.run(
        [sys.executable, "manage.py", "check", "--deploy", "--fail-level", "WARNING"],
        cwd=ROOT, env=known, capture_output=True, text=True, timeout=60,
    )  # fmt: skip
    assert told.returncode == 0, told.stderr


# The garden as a process of its own.


@pytest.fixture(scope="module")
def garden(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Secured]:
    with secured(tmp_path_factory.mktemp("trusting") / "data") as opened:
        yield opened


def visitor(garden: Secured) -> tuple[urllib.request.OpenerDirector, http.cookiejar.CookieJar]:
    """A browser that trusts this garden, and its cookies."""
    jar = http.cookiejar.CookieJar()
    handlers = (urllib.request.ProxyHandler({}), urllib.request.HTTPCookieProcessor(jar),
                urllib.request.HTTPSHandler(context=trusts(garden.root)))  # fmt: skip
    return urllib.request.build_opener(*handlers), jar


def signed_in(garden: Secured) -> tuple[Any, http.cookiejar.CookieJar]:
    """The page that opens to the owner, and the cookies then."""
    client, jar = visitor(garden)
    site = f"https://localhost:{garden.port}"
    with client.open(f"{site}/sign-in/", timeout=20) as door:
        token = html.fromstring(door.read()).cssselect("[name=csrfmiddlewaretoken]")[0]
    name, password = garden.sign_in
    sent = {"username": name, "password": password, "csrfmiddlewaretoken": token.get("value")}
    request = urllib.request.Request(
        f"{site}/sign-in/", urlencode(sent).encode(), {"Referer": f"{site}/sign-in/"}
    )
    with client.open(request, timeout=20) as answer:
        assert answer.url == f"{site}/"
        return answer.read(), jar


def test_https__a_device_that_trusts_signs_in(garden: Secured) -> None:
    page, jar = signed_in(garden)
    assert "Wanda's garden" in html.fromstring(page).text_content()
    cookies = {cookie.name: cookie for cookie in jar}
    assert set(cookies) == {"__Host-haftbook", "__Host-csrftoken"}
    assert all(cookie.secure and cookie.path == "/" for cookie in cookies.values())
    assert not any(cookie.domain_specified for cookie in cookies.values())


def test_https__a_form_from_elsewhere_is_refused(garden: Secured) -> None:
    client, _ = visitor(garden)
    site = f"https://localhost:{garden.port}"
    with client.open(f"{site}/sign-in/", timeout=20) as door:
        token = html.fromstring(door.read()).cssselect("[name=csrfmiddlewaretoken]")[0]
    sent = urlencode({"username": "x", "csrfmiddlewaretoken": token.get("value")}).encode()
    for headers in ({"Referer": "https://evil.example/"}, {"Origin": "https://evil.example"}, {}):
        with pytest.raises(urllib.error.HTTPError, match="403"):
            client.open(urllib.request.Request(f"{site}/sign-in/", sent, headers), timeout=20)


def test_https__a_device_that_does_not_trust_is_refused(garden: Secured) -> None:
    with pytest.raises(urllib.error.URLError, match="CERTIFICATE_VERIFY_FAILED"):
        urllib.request.build_opener(urllib.request.ProxyHandler({})).open(
            f"https://localhost:{garden.port}/", timeout=10
        )


def test_https__is_spoken_by_the_newest_version_alone(garden: Secured) -> None:
    context = trusts(garden.root)
    context.maximum_version = ssl.TLSVersion.TLSv1_2
    with pytest.raises(ssl.SSLError), socket.create_connection(("127.0.0.1", garden.port)) as wire:
        context.wrap_socket(wire, server_hostname="localhost")


def test_https__says_so_in_its_headers_and_locks_nobody_out(garden: Secured) -> None:
    client, _ = visitor(garden)
    with client.open(f"https://localhost:{garden.port}/sign-in/", timeout=20) as door:
        headers = door.headers
    assert headers["Cross-Origin-Opener-Policy"] == "same-origin"
    assert headers["Strict-Transport-Security"] is None
    assert "worker-src 'self'" in headers["Content-Security-Policy"]


def test_https__the_page_about_trusting_stands_beside_it(garden: Secured) -> None:
    client, _ = visitor(garden)
    with client.open(f"http://127.0.0.1:{garden.trust_port}/", timeout=10) as answer:
        text = " ".join(html.fromstring(answer.read()).text_content().split())
    told = re.search(r"fingerprint to compare there: +([0-9A-F ]+)\n", garden.said)
    assert told
    assert told[1] in text
    root = x509.load_pem_x509_certificate(garden.root.read_bytes())
    with client.open(f"http://127.0.0.1:{garden.trust_port}/haftbook.crt", timeout=10) as answer:
        assert x509.load_der_x509_certificate(answer.read()) == root


def test_next_start__goes_by_the_last_one_and_back(garden: Secured) -> None:
    root = garden.root.read_bytes()
    garden.kill(signal.SIGTERM)
    garden.argv = ()
    garden.open()
    assert f"https://127.0.0.1:{garden.port}/" in garden.said
    assert garden.root.read_bytes() == root
    signed_in(garden)

    garden.kill(signal.SIGKILL)
    garden.argv = ("--http",)
    garden.open()
    assert f"http://127.0.0.1:{garden.port}/" in garden.said
    assert "Entries that wait on a phone belong to the old address" in " ".join(garden.said.split())
    plain = urllib.request.build_opener(urllib.request.ProxyHandler({}))
    with plain.open(f"http://127.0.0.1:{garden.port}/sign-in/", timeout=10) as door:
        assert "__Host-" not in str(door.headers["Set-Cookie"])

    garden.kill(signal.SIGTERM)
    garden.argv = ("--https",)
    garden.open()
    assert garden.root.read_bytes() == root
    signed_in(garden)


def test_damaged_authority__is_said_and_nothing_opens(tmp_path: Path) -> None:
    folder = open_authority(tmp_path, "millrace.local").folder
    (folder / "signer-key.pem").write_text("damaged")
    known = os.environ | {"HAFTBOOK_DATA": str(tmp_path)}
    known.pop("DJANGO_SETTINGS_MODULE", None)
    told = subprocess.run(
        [sys.executable, "manage.py", "start", "--https", "--empty", "--here-only"],
        cwd=ROOT, env=known, capture_output=True, text=True, timeout=60, stdin=subprocess.DEVNULL,
    )  # fmt: skip
    assert told.returncode == 1
    assert "Put the folder back" in told.stderr
    assert "Traceback" not in told.stderr
    assert (folder / "signer-key.pem").read_text() == "damaged"
