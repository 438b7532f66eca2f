"""The address in the QR codes of labels: scheme, name and port by which a phone finds the garden.

The computer's .local name comes first: it stays when the address changes. Whatever stands there,
only the last part of it is read back, so an old label still leads to its plant: by typing its code
or by a photo of it on the page Scan, always; by the phone's own camera as long as the garden
answers to the address of that day.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlsplit

from django.conf import settings
from django.http import HttpRequest

from garden.certificates import Damaged, read_authority
from garden.doorway import is_loopback
from garden.hosts import home_addresses, local_name
from garden.models import LabelAddress
from garden.remembered import Unreadable, last_time

USUAL_PORTS = {"http": 80, "https": 443}


@dataclass(frozen=True, slots=True)
class Base:
    """The address, and whether somebody fixed it."""

    address: str
    fixed: bool = False

    @property
    def host(self) -> str:
        return urlsplit(self.address).hostname or ""

    @property
    def lasts(self) -> bool:
        """Whether it stays when this computer gets another address on the network."""
        return self.host.endswith(".local") or (self.fixed and not self.host[-1:].isdigit())

    @property
    def reaches(self) -> bool:
        """Whether another device than this computer can open it."""
        return not is_loopback(self.host)


def label_base(request: HttpRequest) -> Base:
    """What labels carry now. A query."""
    fixed = LabelAddress.live.order_by("-id").first()
    if fixed and fixed.address:
        return Base(fixed.address, fixed=True)
    scheme, port = _how_opened(request)
    host = _name(scheme) or _address(request)
    own_port = "" if port == USUAL_PORTS[scheme] else f":{port}"
    return Base(f"{scheme}://{host}{own_port}")


def _how_opened(request: HttpRequest) -> tuple[str, int]:
    """Scheme and port that phones know; those of this request before the garden was ever opened."""
    try:
        opened = last_time(Path(settings.DATA_DIR))
    except Unreadable:
        opened = None
    if opened and opened.port:
        return ("https" if opened.https else "http"), opened.port
    scheme = request.scheme or "http"
    port = urlsplit(f"//{request.get_host()}").port
    return scheme, port or USUAL_PORTS[scheme]


def _name(scheme: str) -> str:
    """The name on the home network: over https the one that the certificate carries."""
    if scheme == "https":
        try:
            return read_authority(Path(settings.DATA_DIR)).name
        except Damaged:
            return ""
    return local_name()


def _address(request: HttpRequest) -> str:
    """Where there is no name: the address of the computer, else what was asked for."""
    asked = urlsplit(f"//{request.get_host()}").hostname or ""
    if asked and not is_loopback(asked) and ":" not in asked:
        return asked
    return next(iter(home_addresses()), "localhost")
