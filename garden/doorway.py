"""Coming in and going out: the session of a device and what is written of it."""

from __future__ import annotations

import ipaddress
import threading
import time
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from urllib.parse import urlsplit

from django.conf import settings
from django.contrib.auth import login, logout
from django.db import DatabaseError
from django.http import HttpRequest
from django.utils import timezone

from garden.certificates import Damaged, read_authority
from garden.certificates.scope import within
from garden.hosts import home_addresses, local_name
from garden.models import Device, Pairing, Person
from garden.records.doors import end_devices, follow_session, open_device, seen
from garden.turns import Busy, writing

DEVICES = (
    ("iPhone", "iPhone"),
    ("iPad", "iPad"),
    ("Android", "Android phone"),
    ("Windows", "Windows computer"),
    ("Macintosh", "Mac"),
    ("Linux", "Linux computer"),
)
# In the session: which device it is, and what the journal calls it.
DEVICE, NAME = "device", "device_name"
NAME_LENGTH = 60
SEEN_EVERY = timedelta(minutes=10).total_seconds()
# Device -> when this process last noted it.
_noted: dict[int, float] = {}
_one_notes = threading.Lock()


def device_name(agent: str) -> str:
    """A gardener's word for the device that sent a browser's self-description."""
    return next((name for mark, name in DEVICES if mark in agent), "other device")


def device_of(request: HttpRequest) -> str:
    """What the journal calls the device that asks: the name it was given when it came in."""
    named = request.session.get(NAME)
    return named or device_name(request.headers.get("User-Agent", ""))


def come_in(
    request: HttpRequest, person: Person, name: str, way: str, pairing: Pairing | None = None
) -> Device:
    """Sign somebody in on the device that asks; its session gets a new key."""
    with writing():
        go_out(request)
        login(request, person)
        name = numbered(person, name)
        device = open_device(person, name, way, request.session.session_key, pairing)
        request.session[DEVICE], request.session[NAME] = device.pk, device.name
    return device


def numbered(person: Person, name: str) -> str:
    """A name that no other device of this person is in under: 'Emil's phone 2'. One query."""
    taken = set(Device.objects.inside().filter(person=person).values_list("name", flat=True))
    name = name[:NAME_LENGTH]
    if name not in taken:
        return name
    ways = (f"{name[: NAME_LENGTH - 5]} {number}" for number in range(2, len(taken) + 3))
    return next(each for each in ways if each not in taken)


def go_out(request: HttpRequest) -> None:
    """Sign out whoever is in on this device, if anybody."""
    if not request.user.is_authenticated:
        return
    with writing():
        mine = Device.objects.filter(pk=request.session.get(DEVICE))
        end_devices(mine, Device.End.LEFT, request.user)
        logout(request)


def end_others(request: HttpRequest, person: Person) -> None:
    """After a new password, or when somebody may not sign in any more: all but this device."""
    with writing():
        follow_session(request.session.get(DEVICE), request.session.session_key or "")
        others = Device.objects.filter(person=person).exclude(pk=request.session.get(DEVICE))
        end_devices(others, Device.End.PASSWORD, request.user)


def note_seen(device_pk: int | None) -> None:
    """Note now and then that a device is here; most requests cost nothing."""
    if device_pk is None:
        return
    now = time.time()
    with _one_notes:
        if 0 <= now - _noted.get(device_pk, 0.0) < SEEN_EVERY:
            return
        _noted[device_pk] = now
    try:
        seen(device_pk, timezone.now())
    except (Busy, DatabaseError):
        # What somebody came for is more than when they came.
        _noted.pop(device_pk, None)


def sites_for_a_phone(request: HttpRequest) -> list[str]:
    """This site as a phone may reach it, the likeliest first; [] when it can not.

    A loopback address means another device on each device: the home network's stand instead.
    """
    asked, covered = urlsplit(request.build_absolute_uri("/")), _covered(request)
    if not is_loopback(asked.hostname or "") and covered(asked.hostname or ""):
        return [f"{asked.scheme}://{asked.netloc}"]
    port = f":{asked.port}" if asked.port else ""
    # Over https the name comes first: it stays when the address changes.
    names, secure = [name for name in [local_name()] if name], request.is_secure()
    hosts = [*names, *home_addresses()] if secure else [*home_addresses(), *names]
    if not home_addresses():
        return []
    return [f"{asked.scheme}://{host}{port}" for host in hosts if covered(host)]


def _covered(request: HttpRequest) -> Callable[[str], bool]:
    """Whether a phone would trust this garden under a name or address."""
    if not (request.is_secure() and settings.TRUST_PORT):
        return lambda host: True
    try:
        name = read_authority(Path(settings.DATA_DIR)).name
    except Damaged:
        # The page says so itself.
        return lambda host: True
    return lambda host: host == name or within(host)


def only_by_name(sites: list[str]) -> bool:
    """Whether no address is left to reach this site by, only its name."""
    return bool(sites) and not any(_is_address(urlsplit(site).hostname or "") for site in sites)


def _is_address(host: str) -> bool:
    try:
        return bool(ipaddress.ip_address(host))
    except ValueError:
        return False


def is_loopback(host: str) -> bool:
    """Whether a host's name or address means the device itself."""
    try:
        return host == "localhost" or ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False
