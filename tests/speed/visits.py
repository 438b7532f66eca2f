"""What is asked of a garden: its things of middling size, its pages, and somebody who asks them."""

from __future__ import annotations

import gzip
import re
import statistics
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime
from datetime import time as clock
from typing import Any

from tests.speed.archive import ROW_LENGTH, TODAY

NOW = datetime.combine(TODAY, clock(12), UTC)


@dataclass
class Asked:
    """One page or one post, with what it sends; a kept post is undone at once."""

    name: str
    path: str
    post: Callable[[], dict[str, Any]] | None = None
    htmx: bool = False


@dataclass
class Seen:
    """What was measured of one page in one garden."""

    times: list[float] = field(default_factory=list)
    queries: int = 0
    size: int = 0

    @property
    def median(self) -> float:
        return statistics.median(self.times)

    @property
    def p95(self) -> float:
        return sorted(self.times)[int(len(self.times) * 0.95)]


def things() -> dict[str, Any]:
    """Things of middling size that every garden has, however large it is."""
    from django.db.models import Count, F, Func

    from breeding.models import Cross, Pollination, Pot, Row, SeedCup, Tag
    from garden.models import Bed, Person, Plant
    from garden.records import add_bed
    from garden.verbs import Act

    def nearest(rows: Any, name: str, size: int) -> Any:
        return rows.order_by(Func(F(name) - size, function="ABS"), "-pk").first()

    if not Bed.live.filter(name="Spare bed").exists():
        add_bed(
            Act(Person.objects.filter(role="owner").first()),
            name="Spare bed",
            rows=1,
            positions=ROW_LENGTH,
        )
    season = Cross.live.filter(season=TODAY.year)
    named = Plant.live.exclude(name="")
    few_up = Pot.live.filter(closed_on=None, up__gt=F("lined_out"), seeds__gt=F("up"))
    done = Pollination.live.filter(state="harvested", cup__pots__isnull=False)
    return {
        "bed": Bed.live.get(name="Spare bed"),
        "fresh": nearest(season.exclude(pollen_parent=None), "flowers", 6),
        "cross": nearest(Cross.live.filter(season=TODAY.year - 2, lined_out__gt=0), "flowers", 8),
        "flower": done.select_related("tag").order_by("-pk").first(),
        "cup": nearest(SeedCup.live.filter(pots__isnull=False, closed_on=None), "seeds", 60),
        "pot": nearest(Pot.live.filter(rows__isnull=False), "seeds", 40),
        "row": nearest(Row.live.filter(closed_on=None).annotate(size=F("last") - F("first")),
                       "size", 20),
        "unlooked": Pollination.live.filter(state="worked", day__year=TODAY.year).first(),
        "ripe": Pollination.live.filter(state="set", day__year=TODAY.year).first(),
        "unsown": SeedCup.live.filter(closed_on=None, seeds__gt=F("sown")).last(),
        "standing": few_up.last(),
        "favourite": named.annotate(n=Count("crosses_as_seed")).order_by("-n").first(),
        "free": Tag.live.filter(pollinations=None, spoiled="").order_by("-pk").first(),
    }  # fmt: skip


def pages(at: dict[str, Any]) -> Iterator[Asked]:
    """Everything that is measured."""
    yield Asked("Today", "/")
    for key in ("look", "harvest", "sow", "count", "line-out", "bloom"):
        yield Asked(f"due: {key}", f"/due/{key}/")
    yield Asked("new cross", "/new-cross/")
    label = at["favourite"].label
    for kind, typed in (("exact", label[:4]), ("slip", label[:3] + label[4:]), ("none", "zwqvxk")):
        yield Asked(f"answers {kind}", f"/new-cross/answers/seed/?seed_text={typed}", htmx=True)
    yield Asked("tag said", f"/new-cross/tag/?tag={at['free'].code}", htmx=True)
    yield from _posts(at)
    for name, key in (("cross", "cross"), ("cup", "cup"), ("pot", "pot")):
        yield Asked(name, f"/{key}{'es' if key == 'cross' else 's'}/{at[key].code}/")
    row, tag = at["row"], at["flower"].tag
    yield Asked("tag", f"/tags/{tag.code}/")
    yield Asked("tag sheets", "/tags/")
    yield Asked("row", f"/rows/{row.pk}/")
    yield Asked("bed row", f"/beds/{row.bed_id}/row/{row.row}/")
    yield Asked("bed", f"/beds/{row.bed_id}/")
    yield Asked("beds", "/beds/")
    yield Asked("plant, a favourite", f"/plants/{at['favourite'].pk}/")
    yield Asked("plants", "/plants/")
    yield Asked("plants by year", "/plants/?sort=-year")
    yield Asked("seasons", "/seasons/")
    yield Asked("season", f"/seasons/{TODAY.year - 2}/")
    yield Asked("season, next", f"/seasons/{TODAY.year - 2}/?after=50", htmx=True)
    for name, text in (("name", label), ("letters", label[:3]), ("cross", at["cross"].code[:4])):
        yield Asked(f"look up {name}", f"/look-up/?q={text}", htmx=True)
    yield Asked("look up tag", f"/look-up/?q={tag.code}", htmx=True)
    yield Asked("journal", "/journal/")
    yield Asked("journal of one", "/journal/?person=2")
    yield Asked("book", "/book/")


def _posts(at: dict[str, Any]) -> Iterator[Asked]:
    fresh, pot = at["fresh"], at["standing"]
    yield Asked("keep a pollination", "/new-cross/", lambda: {
        "seed": fresh.seed_parent_id, "pollen": fresh.pollen_parent_id, "tag": at["free"].code,
        "stigmas": 3})  # fmt: skip
    yield Asked("look", f"/flowers/{at['unlooked'].pk}/look/")
    yield Asked("keep a look", f"/flowers/{at['unlooked'].pk}/look/", lambda: {"outcome": "set"},
                htmx=True)  # fmt: skip
    yield Asked("harvest", f"/flowers/{at['ripe'].pk}/harvest/")
    yield Asked("keep a harvest", f"/flowers/{at['ripe'].pk}/harvest/", lambda: {"seeds": 31})
    yield Asked("sow", f"/cups/{at['unsown'].code}/sow/")
    yield Asked("keep a sowing", f"/cups/{at['unsown'].code}/sow/", lambda: {"seeds": 1})
    yield Asked("count", f"/pots/{pot.code}/count/")
    yield Asked("keep a count", f"/pots/{pot.code}/count/", lambda: {"standing_now": pot.standing})
    yield Asked("line out", f"/pots/{pot.code}/line-out/")
    yield Asked(
        "keep a row",
        f"/pots/{pot.code}/line-out/",
        lambda: {"bed": at["bed"].pk, "row": 1, "first": 1, "seedlings": 1},
    )
    ripe = at["ripe"]
    corrected = {"tag": ripe.tag.code, "day": ripe.day.isoformat(), "stigmas": 1,
                 "looked_on": ripe.looked_on.isoformat(), "reason": "slip"}  # fmt: skip
    yield Asked("keep a correction", f"/correct/flower/{ripe.pk}/", lambda: corrected)


def _wrong(answer: Any) -> list[str]:
    """What the page says is wrong."""
    return re.findall(r'class="err[^>]*>([^<]*)', gzip.decompress(answer.content).decode())


class Visitor:
    """Somebody signed in who asks and measures."""

    def __init__(self) -> None:
        from django.test import Client

        from garden.models import Person

        self.client = Client(
            enforce_csrf_checks=True, headers={"accept-encoding": "gzip"}, SERVER_NAME="127.0.0.1"
        )
        self.client.force_login(Person.objects.filter(role="owner").first())
        self.client.get("/new-cross/")
        self.seen: dict[str, Seen] = {}

    def ask(self, asked: Asked) -> None:
        """Ask once; a post that was kept is taken back again."""
        answer = self._send(asked.name, asked.path, asked.post and asked.post(), asked.htmx)
        if asked.post is None:
            assert answer.status_code == 200, (asked, answer.status_code)
            return
        from garden.models import JournalLine

        assert answer.status_code == (200 if asked.htmx else 303), (asked, _wrong(answer))
        line = JournalLine.objects.latest("pk")
        answer = self._send(f"{asked.name}: undo", f"/lines/{line.pk}/undo/", {}, False)
        assert answer.status_code == 303, (asked, _wrong(answer))

    def _send(self, name: str, path: str, post: dict | None, htmx: bool) -> Any:
        headers = {"HX-Request": "true"} if htmx else {}
        began = time.perf_counter()
        if post is None:
            answer = self.client.get(path, headers=headers)
        else:
            token = self.client.cookies["csrftoken"].value
            answer = self.client.post(path, post, headers=headers | {"X-CSRFToken": token})
        seen = self.seen.setdefault(name, Seen())
        seen.times.append((time.perf_counter() - began) * 1000)
        seen.size = len(answer.content)
        return answer

    def count_queries(self, asked: Asked) -> None:
        from django.db import connection
        from django.test.utils import CaptureQueriesContext

        plain = self._send

        def counted(name: str, *rest: Any) -> Any:
            with CaptureQueriesContext(connection) as context:
                answer = plain(name, *rest)
            self.seen[name].queries = len(context)
            return answer

        self._send = counted
        self.ask(asked)
        self._send = plain
