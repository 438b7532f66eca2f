"""Wrong tries at the door: counted before the answer is looked at, then slowed.

A try is written down first and taken out again when it was right, so that many at once are no
way round the count. What was typed is not kept: a password typed into the field of the name would
stand there for good.
"""

from __future__ import annotations

import hashlib
import hmac
import ipaddress
import secrets
from datetime import datetime, timedelta

from django.db.models import QuerySet
from django.utils import timezone

from garden.models import Knock, Person, fold
from garden.turns import writing

# By name and address for a password, by address for what a laptop shows.
MOST_TRIES = 5
# Whatever is tried: from one address, and for one name from everywhere but this computer.
MOST_IN_ALL = 30
COUNTED_FOR = timedelta(minutes=15)
SHUT_FOR = timedelta(minutes=15)
# Whoever sits at the computer itself is slowed, and not sent away for so long.
SHUT_HERE_FOR = timedelta(minutes=1)
# A try at a shut door is worth a line no more often than this.
TOLD_EVERY = timedelta(seconds=10)
MOST_KEPT, KEPT_FOR, SWEPT_EVERY = 1000, timedelta(days=90), 50
# Names that are nobody's are told apart by this alone; it is forgotten when the garden closes.
_forgotten = secrets.token_bytes(32)


class Shut(Exception):
    """The door stays shut for now, to the right word as well."""

    def __init__(self, until: datetime) -> None:
        self.until = until
        super().__init__(until)


def place_of(address: str) -> str:
    """The address that is counted: of IPv6 the network, since one house has 2**64 of them."""
    try:
        known = ipaddress.ip_address(address)
    except ValueError:
        return ""
    if known.version == 6:
        if known.ipv4_mapped:
            return str(known.ipv4_mapped)
        if not known.is_loopback:
            return str(ipaddress.ip_network((known, 64), strict=False))
    return str(known)


def is_here(place: str) -> bool:
    """Whether a try came from this computer itself."""
    return place == "::1" or place.startswith("127.")


def _mark(name: str, person: Person | None) -> str:
    if person is not None:
        return f"p{person.pk}"
    return hmac.new(_forgotten, fold(name).encode("utf-8", "replace"), hashlib.sha256).hexdigest()


def knock(
    way: str, address: str, *, name: str = "", person: Person | None = None, now: datetime
) -> Knock:
    """Write a try down before it is looked at.

    Raises
    ------
    Shut
        After too many wrong ones; nothing is looked at then.
    """
    place = place_of(address)
    mark = _mark(name, person) if way == Knock.Way.PASSWORD else ""
    try_ = Knock(at=now, last_at=now, address=place, way=way, person=person, mark=mark)
    shut_for = SHUT_HERE_FOR if is_here(place) else SHUT_FOR
    with writing():
        same = _same_door(try_)
        shut = same.filter(shut_until__gt=now).first() or _worn_out(try_, shut_for)
        if shut is not None:
            _tried_on(shut, now)
        else:
            earlier = same.filter(counts=True, at__gt=now - COUNTED_FOR)
            if earlier.count() + 1 >= MOST_TRIES:
                earlier.update(counts=False)
                try_.counts, try_.shut_until = False, now + shut_for
            try_.save()
            _sweep(try_, now)
    # Raised out here, so that the line that somebody tried on stays written.
    if shut is not None:
        raise Shut(shut.shut_until or shut.at + shut_for)
    return try_


def let_in(try_: Knock) -> None:
    """The try was right: it and those before it count no more."""
    with writing():
        _same_door(try_).filter(counts=True).update(counts=False)
        try_.delete()


def _same_door(try_: Knock) -> QuerySet[Knock]:
    """The tries of one name from one address; all tries at what the laptop shows from one."""
    here = Knock.objects.filter(address=try_.address)
    if try_.way == Knock.Way.PASSWORD:
        return here.filter(way=try_.way, mark=try_.mark)
    return here.exclude(way=Knock.Way.PASSWORD)


def _worn_out(try_: Knock, shut_for: timedelta) -> Knock | None:
    """The try whose age opens the door again, when too many came in all; None when not."""
    since = {"at__gt": try_.at - shut_for}
    doors = [Knock.objects.filter(address=try_.address, **since)]
    if try_.mark and not is_here(try_.address):
        doors.append(
            Knock.objects.filter(mark=try_.mark, **since)
            .exclude(address__startswith="127.")
            .exclude(address="::1")
        )
    for door in doors:
        if oldest := door.order_by("-at", "-id")[MOST_IN_ALL - 1 : MOST_IN_ALL].first():
            return oldest
    return None


def _tried_on(shut: Knock, now: datetime) -> None:
    if now - shut.last_at > TOLD_EVERY:
        Knock.objects.filter(pk=shut.pk).update(last_at=now)


def _sweep(newest: Knock, now: datetime) -> None:
    """Keep the newest thousand of three months."""
    if newest.pk % SWEPT_EVERY:
        return
    Knock.objects.filter(at__lt=now - KEPT_FOR).delete()
    if last := Knock.objects.order_by("-id")[MOST_KEPT : MOST_KEPT + 1].first():
        Knock.objects.filter(pk__lte=last.pk).delete()


def newest_knocks(most: int) -> list[Knock]:
    """The newest wrong tries with whose name was given. One query."""
    return list(Knock.objects.select_related("person").order_by("-id")[:most])


def tries_since(days: int) -> int:
    """How many wrong tries there were in so many days. One query."""
    return Knock.objects.filter(at__gt=timezone.now() - timedelta(days=days)).count()
