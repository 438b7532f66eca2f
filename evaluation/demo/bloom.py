"""Bloom time in the story: flowers worked, pods looked at. Free of Django."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from functools import partial
from itertools import islice

from evaluation.demo.diary import DESK
from evaluation.demo.plans import Planned, season_plan
from evaluation.demo.steps import Ref, Step
from evaluation.demo.taps import Taps
from evaluation.demo.things import Brood, Flower

FLOWER_NOTES = (
    "Pollen two days old.",
    "Last flower on the stalk.",
    "Rain an hour later.",
    "Worked at noon, very hot.",
    "Only one anther had pollen.",
)
PARENT_PHOTOS = 0.035
CAPTIONS = ("before it was worked", "first flower of the year", "in the evening", "", "second day")
SLIPS = (("", 97), ("undone", 1), ("corrected", 1))
FAILED = (
    ("dried up", 8), ("dropped", 6), ("broken off", 2), ("eaten", 2), ("rotted", 2),
    ("hit by hail", 1),
)  # fmt: skip


class BloomTime(Taps):
    """What is done while irises bloom, and the look at the pods some weeks later."""

    # How well pods set this season, beside an ordinary one.
    weather = 1.0

    def plan(self, season: int) -> list[Planned]:
        """The season's crosses, with the pollen that has to be put by for them."""
        self.weather, _ = self.spring.weather(season)
        parents, kept = list(self.parents.values()), self.kept(season - 1)
        planned = season_plan(
            self.dice, season, self.spring, parents, kept, self.scale, self.wishes
        )
        self.wishes = []
        self.plan_jars(season, planned)
        self.plan_taps(season)
        return planned

    def print_sheet(self, count: int) -> Step:
        self.printed.extend(islice(self.tags, count))
        return self.step("print_tags", at=DESK, by=self.owner, count=count)

    def begin_cross(self, cross: Planned) -> Iterator[Step]:
        """Its first flowers today; the others within a few days."""
        brood = self.conceive(cross)
        today = cross.flowers if self.chance(0.7) else 1 + cross.flowers // 2
        yield from self.work(brood, today, cross.note)
        if cross.jar:
            self.jar_opened(cross)
        if self.chance(PARENT_PHOTOS):
            yield self.step(
                "add_photo", plant=cross.seed.ref, photo=self.picture(cross.seed.colours),
                caption=self.dice.choice(CAPTIONS),
            )  # fmt: skip
        if rest := cross.flowers - today:
            self.after(1, 2, partial(self.work, brood, rest, ""))

    def conceive(self, cross: Planned) -> Brood:
        """What nature has in mind with this cross."""
        if cross.pollen is None:
            sets = 0.9
        else:
            wide = 0.5 if cross.seed.iris_class != cross.pollen.iris_class else 1.0
            sets = 0.62 * cross.seed.sets * cross.pollen.sires * self.weather * wide
        dice = self.dice
        return Brood(
            cross.seed,
            cross.pollen,
            sets=min(max(sets, 0.05), 0.85),
            seeds=max(8, dice.gauss(24, 5) * min(cross.seed.sets, 1.1)),
            first_spring=dice.uniform(0.28, 0.6),
            second_spring=dice.uniform(0.05, 0.22),
        )

    def work(self, brood: Brood, flowers: int, note: str) -> Iterator[Step]:
        """Work some flowers, each under its tag."""
        for _ in range(flowers):
            if self.chance(0.012):
                yield self.step(
                    "spoil_tag", tag=Ref(f"tag:{self.printed.popleft()}"), reason="torn in the wind"
                )
            flower = Flower(self.new_key("flower"), brood, self.day)
            tag = self.printed.popleft()
            note = note or self.sometimes(0.06, FLOWER_NOTES)
            slip = self.weighted(SLIPS) if brood.pollen else ""
            if slip == "undone":
                yield from self.write_and_undo(brood, tag)
            if slip == "corrected":
                yield self.pollination(replace(flower, brood=self.mistaken(brood)), tag, note)
                self.after(0, 3, partial(self.correct_pollen, flower))
            else:
                yield self.pollination(flower, tag, note)
            self.follow(flower)

    def pollination(self, flower: Flower, tag: str, note: str) -> Step:
        brood = flower.brood
        return self.step(
            "record_pollination",
            flower.key,
            seed_parent=brood.seed.ref,
            pollen_parent=brood.pollen.ref if brood.pollen else None,
            pollen_unknown=brood.pollen is None,
            tag=tag,
            stigmas=self.dice.choices((3, 2, 1), (8, 2, 1))[0],
            falls_removed=self.on_duty("record_pollination") == self.owner,
            note=note,
        )

    def write_and_undo(self, brood: Brood, tag: str) -> Iterator[Step]:
        """The wrong pollen is written, seen at once and undone; the tag stays in hand."""
        slip = Flower(self.new_key("slip"), self.mistaken(brood), self.day)
        yield self.pollination(slip, tag, "")
        by = self.on_duty("record_pollination")
        yield self.step("undo", by=by, line=Ref(slip.key, "line"))

    def mistaken(self, brood: Brood) -> Brood:
        """The cross with another pollen parent of its line."""
        others = [
            parent for parent in self.parents.values()
            if parent.line == brood.seed.line and parent.used_from <= self.day.year
            and parent is not brood.pollen
        ]  # fmt: skip
        return replace(brood, pollen=self.dice.choice(others))

    def correct_pollen(self, flower: Flower) -> Iterator[Step]:
        yield self.step(
            "correct_parents",
            at=DESK,
            pollination=Ref(flower.key),
            seed_parent=flower.brood.seed.ref,
            pollen_parent=flower.brood.pollen.ref,
            reason="the jar held other pollen",
        )

    def follow(self, flower: Flower) -> None:
        """Put the look at the pod on its day; some flowers nobody looks at again."""
        if self.chance(0.02):
            self.after(1, 2, partial(self.correct_day, flower))
        if self.chance(0.97):
            self.after(17, 25, partial(self.look, flower))

    def correct_day(self, flower: Flower) -> Iterator[Step]:
        yield self.step(
            "correct",
            at=DESK,
            thing=Ref(flower.key),
            reason="written down the morning after",
            day=flower.worked - timedelta(days=1),
        )

    def look(self, flower: Flower) -> Iterator[Step]:
        """Has the flower set a pod? Some ripe pods are forgotten later."""
        if self.chance(flower.brood.sets):
            yield self.step("note_pod", pollination=Ref(flower.key), pod_set=True)
            if self.chance(0.97):
                ripe = flower.worked + timedelta(days=self.dice.randint(55, 74))
                self.on(ripe, partial(self.harvest, flower))
        else:
            yield self.failure(flower, self.weighted(FAILED))
