"""A garden opened over https by its command, as a process of its own, for tests that talk to it."""

from __future__ import annotations

import os
import re
import signal
import socket
import ssl
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

from garden.certificates import leaf, read_authority
from garden.certificates.authority import pem

ROOT = Path(__file__).resolve().parents[1]
PATIENCE = 60
SIGN_IN = re.compile(r"Sign in as (.+) with the password (\S+)")


@dataclass
class Secured:
    """The process, where it lies and what it said."""

    folder: Path
    port: int
    output: Path
    process: subprocess.Popen[bytes] | None = None
    argv: tuple[str, ...] = ()
    # More names that it answers to.
    hosts: str = ""

    @property
    def said(self) -> str:
        return self.output.read_text(encoding="utf-8")

    @property
    def root(self) -> Path:
        return self.folder / "certificates" / "authority.pem"

    @property
    def trust_port(self) -> int:
        found = re.search(r"http://127\.0\.0\.1:(\d+)/", self.said)
        assert found, self.said
        return int(found[1])

    @property
    def sign_in(self) -> tuple[str, str]:
        found = SIGN_IN.search(self.said)
        assert found, self.said
        return found[1], found[2]

    def open(self) -> None:
        """Start it on a port that nobody listens at, and wait until that process answers."""
        assert not listening(self.port), "something else listens there already"
        known = {name: value for name, value in os.environ.items() if name[:9] != "HAFTBOOK_"}
        known.pop("DJANGO_SETTINGS_MODULE", None)
        with self.output.open("wb") as out:
            self.process = subprocess.Popen(
                [sys.executable, "manage.py", "start", "--port", str(self.port), *self.argv],
                cwd=ROOT,
                env=known | {"HAFTBOOK_DATA": str(self.folder), "HAFTBOOK_HOSTS": self.hosts},
                stdin=subprocess.DEVNULL,
                stdout=out,
                stderr=out,
                start_new_session=True,
            )
        end = time.monotonic() + PATIENCE
        while not listening(self.port):
            assert self.process.poll() is None, self.said
            assert time.monotonic() < end, self.said
            time.sleep(0.05)
        assert self.process.poll() is None, self.said

    def kill(self, sent: signal.Signals = signal.SIGKILL) -> None:
        """End the process with its worker, and see that nobody listens any more."""
        assert self.process is not None
        if self.process.poll() is None:
            os.killpg(self.process.pid, sent)
        self.process.wait(15)
        end = time.monotonic() + 10
        while listening(self.port):
            assert time.monotonic() < end, "still heard after its end"
            time.sleep(0.05)


def listening(port: int) -> bool:
    with socket.socket() as probe:
        probe.settimeout(2)
        return probe.connect_ex(("127.0.0.1", port)) == 0


def unused_port() -> int:
    """A port with a free one above it."""
    while True:
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            port = int(probe.getsockname()[1])
        if port < 65000 and not listening(port + 1):
            return port


@contextmanager
def secured(folder: Path, *argv: str, port: int = 0, hosts: str = "") -> Iterator[Secured]:
    """An empty garden of Wanda's, opened with --https; ended again afterwards."""
    garden = Secured(
        folder,
        port or unused_port(),
        folder.parent / f"said-{time.monotonic_ns()}",
        argv=argv or ("--https", "--empty", "--owner", "Wanda"),
        hosts=hosts,
    )
    garden.open()
    try:
        yield garden
    finally:
        garden.kill(signal.SIGTERM)


def trusting(root: Path) -> ssl.SSLContext:
    """What a device that trusts this authority, and no other, goes by."""
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
    context.load_verify_locations(root)
    return context


def forged(data: Path, name: str) -> ssl.SSLContext:
    """A server's side of TLS for any name, signed by the key that lies in a data folder."""
    authority = read_authority(data)
    certificate, key = leaf._issue(authority, (name,), datetime.now(UTC))
    pair = data.parent / f"forged-{name}.pem"
    pair.write_text(pem(key) + pem(certificate) + pem(authority.signer))
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(pair)
    return context


class _Stranger(BaseHTTPRequestHandler):
    def do_GET(self) -> None:
        self.send_response(200)
        self.send_header("Content-Type", "text/plain")
        self.end_headers()
        self.wfile.write(b"a stranger")

    def log_message(self, *args: object) -> None:
        pass


class _Quiet(ThreadingHTTPServer):
    daemon_threads = True

    def handle_error(self, request: object, client_address: object) -> None:
        """Who refuses the certificate breaks off: that is what is tested."""


@contextmanager
def served(context: ssl.SSLContext) -> Iterator[int]:
    """Somebody else's server on this computer; its port."""
    server = _Quiet(("127.0.0.1", 0), _Stranger)
    server.socket = context.wrap_socket(server.socket, server_side=True)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield server.server_address[1]
    finally:
        server.shutdown()
        server.server_close()
        thread.join(5)
