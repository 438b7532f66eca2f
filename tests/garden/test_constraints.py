"""What the database itself refuses in the garden's tables, below all verbs and forms."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from datetime import date

import pytest
from django.db import models
from django.db.models import ProtectedError
from django.utils import timezone

from garden.models import Bed, Garden, JournalLine, JournalMention, Person, Photo, Placing, Plant
from tests.refusals import breaks


def setting(thing: models.Model, **values: object) -> Callable[[], object]:
    """A write that goes past the model: one UPDATE."""
    return lambda: type(thing).objects.filter(pk=thing.pk).update(**values)


def test_garden__only_one(garden_row) -> None:
    breaks("garden_only_one", lambda: Garden.objects.create(pk=2))


def test_garden__pods_ripen_after_the_check(garden_row) -> None:
    breaks("garden_pods_ripen_after_check", setting(garden_row, pod_check_days=56))
    breaks("CHECK", setting(garden_row, pod_check_days=-1))


def test_person__name_once_in_any_case(owner) -> None:
    breaks("person_name_once", lambda: Person.objects.create_user("WANDA"))


def test_person__feed_key_once(owner, helper_person) -> None:
    breaks("feed_key", setting(helper_person, feed_key=owner.feed_key))


def test_plant__name_once(stock) -> None:
    breaks("UNIQUE.*folded", lambda: Plant.objects.create(name="quillon TEAPOT"))


def test_plant__name_of_a_struck_one_is_free(stock) -> None:
    Plant.objects.filter(pk=stock.guest.pk).update(struck=True)
    assert Plant.objects.create(number="Q 17-3").pk


def test_plant__name_or_number(db) -> None:
    breaks("plant_has_name_or_number", lambda: Plant.objects.create())
    breaks("plant_has_name_or_number", lambda: Plant.objects.create(name="'"))


@pytest.mark.parametrize("side", ["seed_parent", "pollen_parent"])
def test_plant__not_its_own_parent(stock, side: str) -> None:
    breaks("plant_not_its_own_parent", setting(stock.guest, **{side: stock.guest}))


@pytest.mark.parametrize("side", ["seed_parent", "pollen_parent"])
def test_plant__parent_linked_or_text(stock, side: str) -> None:
    breaks("plant_parent_linked_or_text", setting(stock.oboe, **{f"{side}_text": "somebody"}))


@pytest.mark.parametrize("ploidy", [0, 9])
def test_plant__ploidy_possible(stock, ploidy: int) -> None:
    breaks("plant_ploidy_possible", setting(stock.guest, ploidy=ploidy))


@pytest.mark.parametrize("height", [0, 251])
def test_plant__height_possible(stock, height: int) -> None:
    breaks("plant_height_possible", setting(stock.guest, height_cm=height))


def test_plant__parents_cannot_be_erased(stock) -> None:
    with pytest.raises(ProtectedError):
        stock.teapot.delete()


def test_bed__name_once(stock) -> None:
    breaks("UNIQUE.*folded", lambda: Bed.objects.create(name="LONG  bed"))


def test_bed__has_a_name(db) -> None:
    breaks("bed_has_name", lambda: Bed.objects.create(name="  "))


@pytest.mark.parametrize(
    "size", [{"rows": 0}, {"rows": 501}, {"positions": 0}, {"positions": 5001}]
)
def test_bed__size_possible(stock, size: dict) -> None:
    breaks("bed_size_possible", setting(stock.bed, **size))


def test_placing__ends_after_its_start(stock) -> None:
    since = date(2026, 5, 1)
    placing = Placing.objects.create(plant=stock.guest, bed=stock.bed, since=since)
    breaks("placing_ends_after_start", setting(placing, until=date(2026, 4, 30)))
    assert setting(placing, until=since)() == 1


def line(person: Person, **values: object) -> JournalLine:
    now = timezone.now()
    plain = {"digest": "0", "verb": "sow", "subject_kind": "garden.bed", "subject_id": 1}
    return JournalLine.objects.create(
        person=person, happened_at=now, received_at=now, **plain, **values
    )


def test_journal__entry_once(owner) -> None:
    entry = uuid.uuid4()
    line(owner, entry=entry)
    breaks("entry", lambda: line(owner, entry=entry))


def test_journal__undone_once(owner) -> None:
    first = line(owner)
    line(owner, undoes=first)
    breaks("undoes", lambda: line(owner, undoes=first))


def test_journal__people_who_wrote_cannot_be_erased(owner) -> None:
    line(owner)
    with pytest.raises(ProtectedError):
        owner.delete()


def test_journal__mention_once(owner) -> None:
    written = line(owner)
    again = {"line": written, "kind": "garden.bed", "thing_id": 1}
    JournalMention.objects.create(**again)
    breaks("UNIQUE.*mention", lambda: JournalMention.objects.create(**again))


def test_photo__of_a_plant_once(stock) -> None:
    known = {"digest": "0" * 64, "width": 400, "height": 300}
    photo = Photo.objects.create(plant=stock.teapot, **known)
    breaks("UNIQUE.*digest", lambda: Photo.objects.create(plant=stock.teapot, **known))
    for other in ({"plant": stock.ledger}, {"plant": None}, {"plant": None}):
        assert Photo.objects.create(**other, **known).pk
    Photo.objects.filter(pk=photo.pk).update(struck=True)
    assert Photo.objects.create(plant=stock.teapot, **known).pk


def test_photo__has_files_and_a_size(stock) -> None:
    photo = Photo.objects.create(digest="0" * 64, width=400, height=300)
    breaks("photo_has_files", setting(photo, digest=""))
    breaks("photo_has_a_size", setting(photo, width=0))
