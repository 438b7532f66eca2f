"""The page that leads a phone through trusting the garden. Over plain http, and nothing else there.

A phone cannot open the garden over https before it trusts it; so a second, tiny listener gives out
what it needs for that: a page, its style, and the authority's certificate, which is no secret.
What comes over plain http could be changed on its way; that is why the page has a fingerprint
compared with the one on the laptop's screen.
"""

from __future__ import annotations

import contextlib
import ipaddress
import os
import socket
import sys
import threading
import time
from collections.abc import Callable
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from socketserver import TCPServer
from typing import Any

from django.conf import settings
from django.http.request import split_domain_port, validate_host
from django.template.loader import render_to_string

from garden.certificates import phone_profile, read_authority
from garden.doorstep import Opening
from garden.hosts import LocalHosts, home_addresses
from garden.pairing import picture

MOST_AT_ONCE = 8
SECONDS_EACH = 15
STYLES = ("css/tokens.css", "css/trust.css")
HEADERS = {
    "Content-Security-Policy": "default-src 'none'; style-src 'self'; img-src 'self'; "
    "form-action 'none'; base-uri 'none'; frame-ancestors 'none'",
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "no-referrer",
    "Cache-Control": "no-store",
}
Answer = tuple[str, bytes]


class Listener(ThreadingHTTPServer):
    """Few connections at once, each for a short while, from the home network alone."""

    daemon_threads = True

    def __init__(self, opening: Opening, port: int) -> None:
        self.opening = opening
        self.authority = read_authority(Path(settings.DATA_DIR))
        self.hosts = LocalHosts(os.environ.get("HAFTBOOK_HOSTS", ""))
        self._room = threading.BoundedSemaphore(MOST_AT_ONCE)
        super().__init__((opening.listens_on, port), Visit)

    def server_bind(self) -> None:
        # The usual way asks the network for this computer's full name, and may wait for long.
        TCPServer.server_bind(self)
        self.server_name, self.server_port = "haftbook", self.server_address[1]

    def verify_request(self, request: Any, client_address: Any) -> bool:
        return ipaddress.ip_address(client_address[0]).is_private

    def process_request(self, request: Any, client_address: Any) -> None:
        if self._room.acquire(blocking=False):
            super().process_request(request, client_address)
        else:
            self.shutdown_request(request)

    def process_request_thread(self, request: Any, client_address: Any) -> None:
        # Cuts off whoever sends a byte now and then as well.
        end = threading.Timer(SECONDS_EACH, _cut_off, (request,))
        end.daemon = True
        end.start()
        try:
            super().process_request_thread(request, client_address)
        finally:
            end.cancel()
            self._room.release()

    def handle_error(self, request: Any, client_address: Any) -> None:
        """A visitor who broke off is no matter for the screen."""

    def page(self, here: bool, agent: str) -> Answer:
        """The page itself; with a code to scan where it is opened on this computer."""
        known = {**self._known(here), "kind": kind_of(agent)}
        return "text/html; charset=utf-8", render_to_string("garden/trust.html", known).encode()

    def _known(self, here: bool) -> dict[str, Any]:
        opening, addresses = self.opening, home_addresses()
        scanned = f"http://{addresses[0]}:{self.server_port}/" if addresses else ""
        show = here and bool(scanned) and not opening.here_only
        return {
            "called": self.authority.called,
            "name": opening.name,
            "fingerprint": opening.fingerprint,
            "addresses": []
            if opening.here_only
            else [opening.at(host) for host in opening.for_phones()],
            "here": opening.at("localhost") if here else "",
            "scanned": scanned,
            "code": picture(scanned) if show else "",
        }

    def file(self, path: str) -> Answer | None:
        """What there is beside the page: its kind and content."""
        if path == "/trust.css":
            return "text/css; charset=utf-8", b"".join(map(_static, STYLES))
        if path == "/icon.svg":
            return "image/svg+xml", _static("img/icon.svg")
        if path == "/haftbook.crt":
            return "application/x-x509-ca-cert", self.authority.der
        if path == "/haftbook.mobileconfig":
            return "application/x-apple-aspen-config", phone_profile(self.authority)
        return None


class Visit(BaseHTTPRequestHandler):
    """One question and its answer."""

    server: Listener
    timeout = SECONDS_EACH
    server_version, sys_version = "Haftbook", ""

    def do_GET(self) -> None:
        host, _ = split_domain_port(self.headers.get("Host", ""))
        if not host or not validate_host(host, self.server.hosts):
            return self._answer(400, "text/plain; charset=utf-8", b"Not a name of this garden.\n")
        path = self.path.partition("?")[0]
        file = self._page() if path == "/" else self.server.file(path)
        if file is None:
            return self._answer(404, "text/plain; charset=utf-8", b"Nothing here.\n")
        return self._answer(200, *file)

    def _page(self) -> Answer:
        here = ipaddress.ip_address(self.client_address[0]).is_loopback
        return self.server.page(here, self.headers.get("User-Agent", ""))

    do_HEAD = do_GET

    def send_error(self, code: int, message: str | None = None, explain: str | None = None) -> None:
        self._answer(code, "text/plain; charset=utf-8", b"This could not be answered.\n")

    def _answer(self, status: int, kind: str, content: bytes) -> None:
        self.send_response(status)
        told = {"Content-Type": kind, "Content-Length": str(len(content)), **HEADERS}
        for name, value in told.items():
            self.send_header(name, value)
        self.end_headers()
        if self.command != "HEAD":
            self.wfile.write(content)

    def log_message(self, *args: Any) -> None:
        """Nobody wants to read along who opened it."""


def kind_of(agent: str) -> str:
    """Whose steps stand open: 'iphone', 'android' or 'computer'."""
    if "iPhone" in agent or "iPad" in agent:
        return "iphone"
    return "android" if "Android" in agent else "computer"


def _static(name: str) -> bytes:
    return (Path(settings.STATICFILES_DIRS[0]) / name).read_bytes()


def _cut_off(request: socket.socket) -> None:
    with contextlib.suppress(OSError):
        request.shutdown(socket.SHUT_RDWR)


def lead_phones(opening: Opening, once: Callable[[], bool]) -> None:
    """Open the page at `opening.trust_port`, in a thread, as soon as `once` says so.

    After the server has its worker: a process that is forked would inherit the open port.
    """

    def lead() -> None:
        while not once():
            time.sleep(0.02)
        try:
            listener = Listener(opening, opening.trust_port)
        except OSError:
            sys.stderr.write(f"Port {opening.trust_port} is taken: no page about trusting.\n")
            return
        listener.serve_forever()

    threading.Thread(target=lead, name="trusting", daemon=True).start()
