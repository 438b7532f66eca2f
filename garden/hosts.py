"""Which names this computer answers to: itself and its addresses now, never every name."""

from __future__ import annotations

import ipaddress
import re
import socket
import time
from collections.abc import Iterator

import ifaddr

REFRESH_SECONDS = 5
LABEL = re.compile(r"[a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?")


def _at_home(address: ipaddress.IPv4Address) -> bool:
    return address.is_private and not (address.is_loopback or address.is_link_local)


def home_addresses() -> list[str]:
    """IPv4 addresses of this computer on private networks, the likeliest first."""
    found = [
        str(ip.ip)
        for adapter in ifaddr.get_adapters()
        for ip in adapter.ips
        if ip.is_IPv4 and _at_home(ipaddress.ip_address(ip.ip))
    ]
    return sorted(found, key=lambda address: (not address.startswith("192.168."), address))


def local_name() -> str:
    """This computer's name on the home network (RFC 6762), such as `millrace.local`.

    '' where the computer's own name could not be one: letters, digits and hyphens (RFC 1123, 2.1).
    """
    first = socket.gethostname().lower().partition(".")[0]
    return f"{first}.local" if LABEL.fullmatch(first) and first != "localhost" else ""


class LocalHosts(list):
    """A list for ALLOWED_HOSTS that follows the computer from one home network to the next.

    Refusing every other name also stops a foreign page from reaching the garden by a name that
    it points at this address.
    """

    def __init__(self, extra: str = "") -> None:
        super().__init__(["localhost", "127.0.0.1", "[::1]"])
        self.extend(name.strip() for name in extra.split(",") if name.strip())
        self._until = 0.0
        self._now: list[str] = []

    def __iter__(self) -> Iterator[str]:
        if time.monotonic() > self._until:
            self._now = [*home_addresses(), *filter(None, [local_name()])]
            self._until = time.monotonic() + REFRESH_SECONDS
        yield from super().__iter__()
        yield from self._now
