"""At which address the garden opens, and the words that say so."""

from __future__ import annotations

import socket
from dataclasses import dataclass
from pathlib import Path

from django.core.management.base import CommandError

from garden.certificates.scope import within
from garden.hosts import home_addresses
from garden.remembered import USUAL_PORT, Opened, Unreadable, last_time

PORTS_TRIED = 20
HIGHEST = 65535


@dataclass(frozen=True)
class Opening:
    """Where the garden can be reached."""

    port: int
    here_only: bool = False
    https: bool = False
    # Of the page that leads a phone through trusting the garden, over plain http; 0 for none.
    trust_port: int = 0
    fingerprint: str = ""
    # The name on the home network that the certificate carries.
    name: str = ""
    certificate: Path | None = None
    key: Path | None = None
    # What somebody should know before they go on.
    warnings: tuple[str, ...] = ()

    @property
    def listens_on(self) -> str:
        return "127.0.0.1" if self.here_only else "0.0.0.0"

    def for_phones(self) -> list[str]:
        """Name and addresses by which a phone opens the garden: over https those certified."""
        if not self.https:
            return home_addresses()
        return [*filter(None, [self.name]), *filter(within, home_addresses())]

    def at(self, host: str) -> str:
        return f"{'https' if self.https else 'http'}://{host}:{self.port}/"

    def words(self) -> str:
        """The addresses, for this computer and for a phone on the same network."""
        lines = [f"Haftbook is open on this computer:  {self.at('127.0.0.1')}"]
        if not self.here_only:
            lines += [
                f"On a phone on the same network:     {self.at(host)}" for host in self.for_phones()
            ] or ["No network found: a phone can reach it once this computer is on one."]
        return "\n".join([*lines, *self._trusting(), *self.warnings])

    def _trusting(self) -> list[str]:
        if not self.trust_port:
            return []
        hosts = ["127.0.0.1", *([] if self.here_only else home_addresses())]
        return [
            "Each device must be told once to trust the garden. These pages lead through it:",
            *(f"{'':36}http://{host}:{self.trust_port}/" for host in hosts),
            f"The fingerprint to compare there:   {self.fingerprint}",
        ]


def free_port(wished: int) -> int:
    """The wished port, or the next free one; CommandError when there is none."""
    last = min(wished + PORTS_TRIED - 1, HIGHEST)
    for port in range(wished, last + 1):
        if is_free(port):
            return port
    raise CommandError(f"No free port from {wished} to {last}.")


def is_free(port: int) -> bool:
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind(("0.0.0.0", port))
        except OSError:
            return False
    return True


@dataclass(frozen=True)
class Choice:
    """How the garden opens this time."""

    opened: Opened
    # Whether the next start goes by it: not where another program only stands in the way today.
    lasting: bool
    warning: str


def choose(data: Path, port: int | None, https: bool | None) -> Choice:
    """How to open: what was asked for, else as the last time.

    Over https the port is as fixed as the name: phones trust, keep and send by it. Over http a
    garden opens at the next free port, as long as somebody is told.
    """
    before = _last_time(data, certain=https is not None)
    secure = before.https if https is None else https
    wished = port or before.port or USUAL_PORT
    if not 0 < wished <= HIGHEST:
        raise CommandError(f"A port is a number from 1 to {HIGHEST}.")
    found = free_port(wished)
    fixed = secure and (before.https or port is not None)
    if fixed and found != wished:
        raise CommandError(
            f"Port {wished} is taken by another program, and phones know the garden by it. End "
            "that program, or choose another port for good with --port; what waits on a phone "
            "stays with the old address."
        )
    now = Opened(secure, found)
    return Choice(now, found == wished or not before.port, _moved(before, now))


def _last_time(data: Path, certain: bool) -> Opened:
    try:
        return last_time(data)
    except Unreadable as error:
        if certain:
            return Opened()
        raise CommandError(
            f"{error} cannot be read. Say how phones know this garden: start with --https or "
            "with --http, and with --port if it was not the usual one."
        ) from error


def _moved(before: Opened, now: Opened) -> str:
    """What becomes of the phones when the address is not that of the last time."""
    if not before.port or before == now:
        return ""
    former = f"{'https' if before.https else 'http'}, port {before.port}"
    way = "--https" if before.https else "--http"
    return (
        f"The last time it was opened by {former}: to a phone this is another address. Everybody "
        "signs in again there. Entries that wait on a phone belong to the old address: open the "
        f"garden once more with {way} --port {before.port} to let them go, or save them as a file "
        "on the phone's page 'Waiting'."
    )
