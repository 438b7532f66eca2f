"""Verbs and writings of the door: phones let in, devices sent out, a new address of a calendar.

Nothing of it can be undone, so no line says that it made or changed something: what is open is
closed by another act.
"""

from __future__ import annotations

from datetime import datetime

from django.contrib.sessions.models import Session
from django.utils import timezone

from garden.models import Device, Pairing, Person, tidy
from garden.models.doors import GOOD_FOR, DeviceQuerySet
from garden.models.people import new_feed_key
from garden.turns import writing
from garden.verbs import Act, Refused, verb


@verb
def offer_pairing(
    act: Act, *, person: Person, name: str, token_digest: str, code_digest: str
) -> tuple[Pairing, str]:
    """Hold the door open for one phone, for five minutes; of one's earlier offers none holds."""
    if person.pk != act.person.pk and not act.person.is_owner:
        raise Refused("Only the owner lets in phones of other people.", "person")
    if not person.is_active:
        raise Refused(f"{person} may not sign in.", "person")
    name = tidy(name)
    if not name:
        raise Refused("Give the phone a name.", "name")
    now = timezone.now()
    take_back_offers(now, made_by=act.person)
    pairing = Pairing(person=person, made_by=act.person, name=name, token_digest=token_digest,
                      code_digest=code_digest, made_at=now, good_until=now + GOOD_FOR)  # fmt: skip
    pairing.save()
    return pairing, f"Held the door open for {name}, a phone of {person}"


def take_back_offers(now: datetime, **whose: object) -> None:
    """No phone comes in any more by the offers of these."""
    Pairing.objects.filter(used_at=None, good_until__gt=now, **whose).update(good_until=now)


def redeem(now: datetime, **digest: str) -> Pairing:
    """Use an offer up, by `token_digest` or `code_digest`: once, however many ask at a time.

    Raises
    ------
    Refused
        Unknown, used, too old, or of somebody who may not sign in any more.
    """
    with writing():
        pairing = (
            Pairing.objects.filter(**digest)
            .select_related("person", "made_by")
            .order_by("id")
            .last()
        )
        if pairing is None:
            raise Refused("No phone is waited for under this code. Compare it with the laptop.")
        if not (pairing.person.is_active and pairing.made_by.is_active):
            raise Refused("Nobody may sign in by this code.")
        still_good = Pairing.objects.filter(pk=pairing.pk, used_at=None, good_until__gt=now)
        if still_good.update(used_at=now):
            return pairing
    if pairing.used_at:
        raise Refused("This code was used already. Let the laptop make a new one.")
    raise Refused("This code is too old. Let the laptop make a new one.")


def open_device(
    person: Person, name: str, way: str, session_key: str, pairing: Pairing | None = None
) -> Device:
    """Write down a device that has just come in; sessions that have run out are cleared away."""
    now = timezone.now()
    device = Device(person=person, name=name[:60], way=way, session_key=session_key,
                    came_in_at=now, seen_at=now)  # fmt: skip
    device.save()
    if pairing is not None:
        Pairing.objects.filter(pk=pairing.pk).update(device=device)
    Session.objects.filter(expire_date__lt=now).delete()
    return device


def end_devices(devices: DeviceQuerySet, how: str, by: Person) -> int:
    """Sign devices out: their sessions are gone with the next request. How many they were."""
    standing = list(devices.filter(ended_at=None).values_list("pk", "session_key"))
    Session.objects.filter(session_key__in=[key for _, key in standing if key]).delete()
    return Device.objects.filter(pk__in=[pk for pk, _ in standing]).update(
        session_key="", ended_at=timezone.now(), ended_how=how, ended_by=by
    )


def may_send_out(person: Person, device: Device) -> bool:
    """One's own devices; the owner everybody's."""
    return person.is_owner or device.person_id == person.pk


def send_out(person: Person, device: Device) -> str:
    """Sign a device out from elsewhere, with whatever it was just letting in; the sentence."""
    if not may_send_out(person, device):
        raise Refused("Only the owner signs out devices of other people.")
    found = Device.objects.filter(pk=device.pk)
    if not end_devices(found, Device.End.SENT, person):
        raise Refused(f"{device} is out already.")
    take_back_offers(timezone.now(), made_by=device.person)
    return f"Signed out {device}, a device of {device.person}"


@verb
def sign_out_device(act: Act, *, device: Device) -> tuple[Device, str]:
    """Sign a device out from elsewhere."""
    told = send_out(act.person, device)
    act.mention(device.person)
    return device, told


def seen(device_pk: int, now: datetime) -> None:
    """Note that a device was here."""
    with writing():
        Device.objects.filter(pk=device_pk, ended_at=None).update(seen_at=now)


def follow_session(device_pk: int | None, session_key: str) -> None:
    """A device's session got another key."""
    Device.objects.filter(pk=device_pk, ended_at=None).update(session_key=session_key)


@verb
def renew_feed_key(act: Act, *, person: Person) -> tuple[Person, str]:
    """A new address for somebody's calendar; the old one answers no more. Neither is written."""
    if person.pk != act.person.pk and not act.person.is_owner:
        raise Refused("Only the owner changes the calendar of other people.")
    person.feed_key = new_feed_key()
    person.save(update_fields=["feed_key"])
    act.mention(person)
    return person, f"Gave {person}'s calendar a new address"
