"""From pod to row in the story: harvest, cups, pots, counts, lining out. Free of Django."""

from __future__ import annotations

import itertools
from collections import Counter, deque
from collections.abc import Iterator, Mapping
from datetime import date, timedelta
from functools import partial

from evaluation.demo.cast import Cast, Parent
from evaluation.demo.copies import Copies
from evaluation.demo.diary import DESK, Diary
from evaluation.demo.field import Field
from evaluation.demo.scorers import the_scorers
from evaluation.demo.steps import Picture, Ref, Step
from evaluation.demo.things import Cup, Flower, Judged, Planting, Pot
from evaluation.demo.truth import Truths
from garden.flower import Recipe

LOST_LATER = (
    ("rotted", 4), ("empty pod", 4), ("eaten", 3), ("broken off", 1),
    ("cracked open, seed lost", 2),
)  # fmt: skip
SEEDS_IN_A_POD = (5, 60)
RECIPE_WORDS = tuple(Recipe.__dataclass_fields__)
MOST_IN_A_POT = 60
ROW_NOTES = ("Frost in the night after.", "Watered in.", "Heavy ground here.")


class SeedBench(Diary):
    """What is done with pods, seed and seedlings."""

    def __init__(
        self, cast: Cast, first: int, tags: Iterator[str], scale: float, seed: int
    ) -> None:
        super().__init__(
            cast.owner, cast.helpers, cast.garden["garden"]["timezone"], f"{seed}-{first}"
        )
        self.truths = Truths(cast, self.seed)
        self.copies = Copies(cast, self.seed, first)
        self.scorers = the_scorers(cast.owner, cast.helpers)
        self.cast = cast
        self.first = first
        self.scale = scale
        self.tags = tags
        self.printed: deque[str] = deque()
        self.parents = cast.parents(first)
        self.field = Field(cast.beds("field"))
        self.plantings: list[Planting] = []
        self.chosen: dict[int, list[str]] = {}
        self.trial_places = itertools.cycle(
            (bed["name"], f"{row}-{place}")
            for bed in cast.beds("trial")
            for row in range(1, bed["rows"] + 1)
            for place in range(1, bed["positions"] + 1)
        )
        self.noted: list[Judged] = []
        self.wishes: list[tuple[Parent, Parent]] = []
        self.photos: Counter[int] = Counter()
        self.left_unsown: set[int] = set()
        self._keys = 0

    def new_key(self, kind: str) -> str:
        self._keys += 1
        return f"{kind}:{self._keys}"

    def picture(self, looks: Mapping[str, object]) -> Picture:
        """A photo of a flower with these fields of `Plant`."""
        words = [(name, str(looks[name])) for name in RECIPE_WORDS if looks.get(name)]
        return Picture(tuple(words), f"{self.seed} {self.new_key('photo')}")

    def weighted(self, words: tuple[tuple[str, int], ...]) -> str:
        return self.dice.choices([word for word, _ in words], [weight for _, weight in words])[0]

    def sometimes(self, share: float, words: tuple[str, ...]) -> str:
        return self.dice.choice(words) if self.chance(share) else ""

    def failure(self, flower: Flower, reason: str) -> Step:
        return self.step("note_pod", pollination=Ref(flower.key), pod_set=False, reason=reason)

    def harvest(self, flower: Flower) -> Iterator[Step]:
        """A ripe pod: its seed goes into the cross's open cup or a new one, if there is seed."""
        if self.chance(0.06):
            yield self.failure(flower, self.weighted(LOST_LATER))
            return
        brood = flower.brood
        least, most = SEEDS_IN_A_POD
        seeds = min(max(round(self.dice.gauss(brood.seeds, 9)), least), most)
        cup = brood.cup if brood.cup and self.chance(0.85) else None
        key = self.new_key("cup")
        values = {"cup": Ref(cup.key)} if cup else {}
        yield self.step("harvest", key, pollination=Ref(flower.key), seeds=seeds, **values)
        if cup is None:
            brood.cup = cup = Cup(key, brood)
            self.put_by(cup)
        cup.seeds += seeds
        if self.chance(0.02):
            self.after(1, 4, partial(self.count_seeds_again, flower, cup, seeds))

    def count_seeds_again(self, flower: Flower, cup: Cup, seeds: int) -> Iterator[Step]:
        more = self.dice.choice([1, 2, 3])
        cup.seeds += more
        yield self.step(
            "correct",
            at=DESK,
            thing=Ref(flower.key),
            reason="counted again on the table",
            seeds=seeds + more,
        )

    def put_by(self, cup: Cup) -> None:
        """The sowing of a new cup: late autumn, sometimes winter, sometimes never."""
        year = self.day.year
        if year not in self.left_unsown:
            # One cup of each season waits a whole year, so that some work is always left.
            self.left_unsown.add(year)
            self.on(date(year + 1, 12, 20), partial(self.give_away, cup, "too old to sow"))
            return
        if self.chance(0.88):
            day = date(year, 11, 26) + timedelta(days=self.dice.randint(0, 18))
        elif self.chance(0.5):
            day = date(year + 1, 1, 20) + timedelta(days=self.dice.randint(0, 35))
        else:
            if self.chance(0.6):
                self.on(date(year + 1, 12, 20), partial(self.give_away, cup, "too old to sow"))
            return
        self.on(day, partial(self.sow, cup))

    def sow(self, cup: Cup) -> Iterator[Step]:
        """Sow a cup into one or several pots; of a full cup some seed is given away."""
        cup.brood.cup = None
        seeds = cup.seeds
        if seeds > 80:
            seeds = self.dice.randint(55, 70)
            self.after(10, 40, partial(self.give_away, cup, "rest to the seed exchange"))
        pots = -(-seeds // MOST_IN_A_POT)
        for number in range(pots):
            share = seeds // pots + (1 if number < seeds % pots else 0)
            pot = Pot(self.new_key("pot"), cup.brood, share)
            yield self.step("sow", pot.key, cup=Ref(cup.key), seeds=share)
            spring = date(self.day.year + (self.day.month > 6), 3, 26)
            if self.chance(0.95):
                self.on(
                    spring + timedelta(days=self.dice.randint(0, 18)),
                    partial(self.count_first, pot),
                )

    def give_away(self, cup: Cup, reason: str) -> Iterator[Step]:
        yield self.step("put_away", at=DESK, thing=Ref(cup.key), reason=reason)

    def count(self, pot: Pot, standing: int) -> Step:
        pot.up = max(pot.up, pot.lined_out + standing)
        return self.step("count_up", pot=Ref(pot.key), standing_now=standing)

    def count_first(self, pot: Pot) -> Iterator[Step]:
        """The first seedlings of the first spring; the rest is counted two weeks later.

        Some pots are looked at only once, when everything is up.
        """
        all_up = self.some_of(pot.seeds, pot.brood.first_spring)
        later = partial(self.count_rest, pot, all_up)
        if self.chance(0.65):
            yield self.count(pot, self.some_of(all_up, 0.7))
        self.after(13, 20, later)

    def count_rest(self, pot: Pot, all_up: int) -> Iterator[Step]:
        yield self.count(pot, all_up)
        spring = date(self.day.year + 1, 3, 28)
        keep = self.chance(0.25) or not all_up
        if all_up:
            self.on(self.lining_day(), partial(self.line_out, pot, keep))
        if keep:
            second = spring + timedelta(days=self.dice.randint(0, 20))
            self.on(second, partial(self.count_second, pot))

    def lining_day(self) -> date:
        """Before the tall ones bloom or after, as there is time."""
        year = self.day.year
        early = date(year, 5, 8) + timedelta(days=self.dice.randint(0, 14))
        late = date(year, 6, 14) + timedelta(days=self.dice.randint(0, 28))
        return early if self.chance(0.45) else late

    def count_second(self, pot: Pot) -> Iterator[Step]:
        """Second spring: some more come up, or the pot is given up."""
        more = self.some_of(pot.seeds - pot.up, pot.brood.second_spring)
        yield self.count(pot, pot.up - pot.lined_out + more)
        if pot.up > pot.lined_out:
            self.on(self.lining_day(), partial(self.line_out, pot, False))
        else:
            self.after(30, 60, partial(self.tip_out, pot, "nothing came in two springs"))

    def tip_out(self, pot: Pot, reason: str) -> Iterator[Step]:
        yield self.step("put_away", thing=Ref(pot.key), reason=reason)

    def line_out(self, pot: Pot, keep: bool) -> Iterator[Step]:
        """Set the seedlings of a pot out singly; the pot is kept for a second spring or emptied."""
        if self.chance(0.03):
            # A pot that stays behind the shed: somebody will find it on the list.
            return
        standing = pot.up - pot.lined_out
        weak = 0 if keep else self.some_of(standing, self.dice.choice((0, 0.1, 0.25)))
        pieces = 2 if standing > 12 and self.chance(0.3) else 1
        for stretch in self.field.take(standing - weak, pieces):
            planting = Planting(self.new_key("row"), pot.brood, stretch, self.day)
            yield self.step(
                "line_out",
                planting.key,
                pot=Ref(pot.key),
                bed=Ref(f"bed:{stretch.bed}"),
                row=stretch.row,
                first=stretch.first,
                seedlings=stretch.seedlings,
                note=self.sometimes(0.05, ROW_NOTES),
            )
            pot.lined_out += stretch.seedlings
            self.plantings.append(planting)
        if not keep:
            reason = f"{weak} weak ones composted" if weak else "emptied"
            self.after(0, 2, partial(self.tip_out, pot, reason))

    def move_the_chosen(self, season: int) -> Iterator[Step]:
        """After bloom the season's selected seedlings get a place of their own."""
        for key in self.chosen.get(season, []):
            bed, position = next(self.trial_places)
            yield self.step(
                "place_plant",
                plant=Ref(key, "plant"),
                bed=Ref(f"bed:{bed}"),
                position=position,
                increases=self.dice.randint(1, 4),
            )

    def dig_old_rows(self, season: int) -> Iterator[Step]:
        """Rows that have stood for three summers make room."""
        for planting in list(self.plantings):
            if season - planting.lined_out.year >= 3:
                self.plantings.remove(planting)
                self.field.free(planting.stretch)
                reason = "chosen ones moved, row dug" if planting.chosen else "seen, row dug"
                yield self.step("put_away", thing=Ref(planting.key), reason=reason)
