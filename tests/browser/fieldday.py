"""A day in the far beds, out of reach: what two people record there, and how it stood before.

Wanda and Emil work the same garden, each with a phone: flowers of the same pairs, pods on the tags
that they tied on an hour before and on older ones, a look-over of one row, plants that open, photos
of the same plants. One tag is tied on two flowers. All names are invented.
"""

from __future__ import annotations

import base64
import io
import random
from dataclasses import asdict, dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Any

from PIL import Image, ImageDraw

ROW = 70
FLOWERS, PODS, OLD_PODS, LOOKS, BLOOMS, PHOTOS = 89, 50, 5, 60, 21, 19
BULK = 1 + FLOWERS + PODS + OLD_PODS + LOOKS + BLOOMS + PHOTOS
PLANTS = 2 * BLOOMS

# The garden before that day, told within its own process; rows that bloom on any day of the year.
BEFORE = f"""
import json
from datetime import date, datetime, time, timedelta
from breeding.models import Row, Tag
from breeding.records import (harvest, line_out, note_bloom, note_pod, print_tags,
    record_pollination, sow)
from garden.models import Garden, Person
from garden.records import add_bed, add_plant
from tests.cast import HARVESTED, PASSWORD, PRINTED, SOWN, WORKED, act_of, plant_the_stock

owner = Person.objects.get(role="owner")
owner.set_password(PASSWORD)
owner.save()
Person.objects.create_user("Emil", PASSWORD, role="helper")
today = Garden.get().today()
Garden.objects.update(bloom_from=f"{{today:%m-%d}}".replace("02-29", "02-28"))
stock = plant_the_stock(owner)
plants = [add_plant(act_of(owner, PRINTED), name=f"Lantern Song {{n}}").thing.pk
          for n in range({PLANTS})]
print_tags(act_of(owner, PRINTED), count=400)
tags = list(Tag.objects.order_by("pk").values_list("code", flat=True))
pair = {{"seed_parent": stock.teapot, "pollen_parent": stock.ledger}}
pod = record_pollination(act_of(owner, WORKED), **pair, tag=tags[0]).thing
note_pod(act_of(owner, WORKED), pollination=pod, pod_set=True)
cup = harvest(act_of(owner, HARVESTED), pollination=pod, seeds=99).thing
pot = sow(act_of(owner, SOWN), cup=cup, seeds=90).thing
bed = add_bed(act_of(owner, PRINTED), name="Far Bed", rows=2, positions=80).thing
row = line_out(act_of(owner, today - timedelta(days=400)), pot=pot, bed=bed, row=1, first=1,
               seedlings={ROW}).thing
old = tags[1:{OLD_PODS + 1}]
for tag in old:
    record_pollination(act_of(owner, today - timedelta(days=40)), **pair, tag=tag)
for plant in (stock.teapot, stock.ledger):
    note_bloom(act_of(owner, today - timedelta(days=3)), plant=plant, stage="first")
midnight = datetime.combine(today, time(0), Garden.get().zone)
print("TOLD", json.dumps({{
    "parents": [one.pk for one in (stock.teapot, stock.ledger, stock.postman, stock.oboe)],
    "plants": plants, "old": old, "free": tags[{OLD_PODS + 1}:], "row": row.pk,
    "midnight": midnight.isoformat()}}))
"""
# The record afterwards.
AFTER = """
import hashlib, json
from django.db import connection
from breeding.invariants import violations
from breeding.models import Cross
from garden.models import JournalLine, Photo
from garden.models.photos import the_shelf

lines = [[str(line.entry), line.person.name, line.verb, line.happened_at.isoformat(), line.text]
         for line in JournalLine.objects.select_related("person").order_by("pk")]
photos = {}
for photo in Photo.live.all():
    files = [the_shelf().find(photo.digest, size) for size in ("large", "middle", "small")]
    whole = all(files) and hashlib.sha256(files[0].read_bytes()).hexdigest() == photo.digest
    photos.setdefault(photo.caption, []).append(photo.digest if whole else "broken")
with connection.cursor() as cursor:
    cursor.execute("PRAGMA integrity_check")
    sound = cursor.fetchall()
print("TOLD", json.dumps({"lines": lines, "photos": photos, "sound": sound,
    "wrong": [told for cross in Cross.objects.all() for told in violations(cross)]}))
"""


@dataclass
class Work:
    """One form of the page in the bed, filled in."""

    kind: str
    template: str
    action: str
    title: str
    values: dict[str, Any]
    at: str = ""
    button: str = ""
    photo: str = ""
    off: list[str] = field(default_factory=list)

    def told(self) -> dict[str, Any]:
        return asdict(self)


def photo_of(number: int) -> bytes:
    """A flower on its ground with the grain of a camera, 100 to 300 kB; no two alike."""
    chance, size = random.Random(number), (1000, 750)
    grain = Image.frombytes("RGB", (500, 375), chance.randbytes(500 * 375 * 3)).resize(size)
    picture = Image.new("RGB", size, (60, 100 + chance.randrange(60), 60))
    pen, middle = ImageDraw.Draw(picture), (500, 380)
    for _ in range(6):
        x, y = (at + chance.randrange(-180, 180) for at in middle)
        fall = tuple(chance.randrange(60, 240) for _ in range(3))
        pen.ellipse((x - 130, y - 90, x + 130, y + 90), fill=fall)
    written = io.BytesIO()
    Image.blend(picture, grain, 0.22).save(written, "JPEG", quality=80)
    return written.getvalue()


def flower(pair: list[int], tag: str) -> Work:
    values = {"seed": pair[0], "pollen": pair[1], "tag": tag, "note": f"tag {tag} in the rain"}
    return Work("Pollination", "bed-cross", "/new-cross/", f"Tag {tag}", values)


def pod(tag: str, chance: random.Random) -> Work:
    button = chance.choice(["set", "set", "dried up"])
    return Work("Pod", "bed-look", f"/tags/{tag}/look/", f"Tag {tag}", {}, button=button)


def day_of(before: dict[str, Any], person: int, chance: random.Random) -> list[Work]:
    """What person 0 or 1 records, in order; the tag that both tie on is early and in the middle."""
    tags = before["free"][5 + person * FLOWERS :][:FLOWERS]
    flowers = [flower(chance.sample(before["parents"], 2), tag) for tag in tags]
    looks = [
        Work("Look-over", "bed-walk", f"/rows/{before['row']}/walk/", f"position {at}",
             {"position": at, "note": f"seen by {person}" if at % 7 == 0 else ""},
             button=chance.choice(["nothing", "again", "gap", "dead"]), off=["backward", "anew"])
        for at in range(1, LOOKS + 1)
    ]  # fmt: skip
    blooms = [
        Work("Bloom", "bed-bloom-stop", f"/plants/{pk}/bloom/note/", f"plant {pk}", {},
             button="first")
        for pk in before["plants"][person * BLOOMS :][:BLOOMS]
    ]  # fmt: skip
    photos = [
        Work("Photo", "bed-photo", f"/plants/{before['plants'][at]}/photo/", "a photo",
             {"caption": f"photo {at} of {person}"},
             photo=base64.b64encode(photo_of(at * 2 + person)).decode())
        for at in range(PHOTOS)
    ]  # fmt: skip
    # Each kind keeps its order; the kinds are mixed as a day mixes them.
    kinds = [flowers, looks, blooms, photos, [pod(tag, chance) for tag in before["old"]]]
    turns = [at for at, works in enumerate(kinds) for _ in works]
    chance.shuffle(turns)
    day = [kinds[at].pop(0) for at in turns]
    for tag in chance.sample(tags, PODS):
        worked = next(at for at, work in enumerate(day) if work.values.get("tag") == tag)
        day.insert(chance.randint(worked + 1, len(day)), pod(tag, chance))
    twice = flower(before["parents"][:2], before["free"][0])
    day.insert(len(day) // 2 if person else 2, twice)
    return timed(day, datetime.fromisoformat(before["midnight"]))


def timed(day: list[Work], midnight: datetime) -> list[Work]:
    """Spread over the hours before now, but all of them today."""
    now = datetime.now(UTC)
    began = max(midnight.astimezone(UTC), now - timedelta(hours=14))
    step = (now - began) / (len(day) + 1)
    for at, work in enumerate(day, start=1):
        moment = began + at * step
        work.at = moment.isoformat(timespec="milliseconds").replace("+00:00", "Z")
    return day
