"""The story of six seasons, from opening the notebook to the day before today. Free of Django.

Nothing is placed by hand: each flower, pod, cup, pot and row puts what follows from it on a later
day of the diary, and the telling stops at `today`. So the garden is as far on as the year is,
with some of the work left undone.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from functools import partial
from typing import Any

from evaluation.demo.cast import Cast, Parent
from evaluation.demo.diary import DESK
from evaluation.demo.naming import Naming
from evaluation.demo.steps import Ref, Step

SEASONS = 6
BLOOM_BEGINS = (4, 22)
TAGS_A_SHEET = 60


def first_season(today: date) -> int:
    """The first of the six seasons; the current one counts once its bloom has begun."""
    last = today.year if today > date(today.year, *BLOOM_BEGINS) else today.year - 1
    return last - SEASONS + 1


class History(Naming):
    """Everything that the people of the garden did, step by step."""

    @property
    def last(self) -> int:
        """The current season."""
        return self.first + SEASONS - 1

    def begin(self) -> None:
        """Put on the agenda what does not follow from anything else."""
        self.on(date(self.first, 3, 1), self.open_the_notebook)
        # After a season with the rubric as it came.
        self.on(date(self.first + 3, 2, 11), self.weigh_anew)
        for season in range(self.first, self.first + SEASONS):
            if season > self.first:
                self.on(date(season, 3, 2), partial(self.take_in, range(season, season + 1)))
            self.on(date(season, 4, 15), partial(self.open_season, season))
            self.on(date(season, 8, 27), self.count_increases)
        # What is bred for, and the crosses for it, are written down for the current season.
        self.on(date(self.last, 3, 14), self.set_goals)
        self.put_on_the_few(range(self.first, self.first + SEASONS))
        self.put_on_names(range(self.first, self.first + SEASONS))

    def open_the_notebook(self) -> Iterator[Step]:
        garden, owner = self.cast.garden, self.owner
        yield self.step(
            "change_garden",
            at=DESK,
            by=owner,
            name=garden["garden"]["name"],
            time_zone=garden["garden"]["timezone"],
            hemisphere=garden["garden"]["hemisphere"],
        )
        for person in garden["people"]:
            if person["name"] != owner:
                yield self.step("add_person", at=DESK, by=owner, **person)
        for bed in garden["beds"]:
            sizes = {name: bed[name] for name in ("name", "rows", "positions")}
            yield self.step("add_bed", at=DESK, by=owner, note=bed["what"], **sizes)
        yield from self.take_in(range(0, self.first + 1))
        yield from self.jars_before()

    def take_in(self, years: range) -> Iterator[Step]:
        """The plant list of these years."""
        if text := self.cast.list_text(years, self.first):
            yield self.step("import_plants", at=DESK, by=self.owner, text=text)
            rows = [row for row in self.cast.stock(self.first) if int(row["year"] or 0) in years]
            yield from self.note_known(row["name"] or row["number"] for row in rows)

    def set_goals(self) -> Iterator[Step]:
        """The goals of garden.json, each with its planned crosses; in spring they come first."""
        with self.aside("goals"):
            steps = []
            for goal in self.cast.garden.get("goals", []):
                fields = {name: value for name, value in goal.items() if name != "pairs"}
                key, pairs = f"goal:{goal['name']}", self.pairs_of(goal)
                steps.append(self.step("add_goal", key, at=DESK, by=self.owner, **fields))
                if pairs:
                    steps.append(self.step(
                        "plan_crosses", at=DESK, by=self.owner, goal=Ref(key), season=self.last,
                        pairs=[[seed.ref, pollen.ref, flowers] for seed, pollen, flowers in pairs],
                    ))  # fmt: skip
                self.wishes += [(seed, pollen) for seed, pollen, _ in pairs]
        yield from steps

    def pairs_of(self, goal: dict[str, Any]) -> list[tuple[Parent, Parent, int]]:
        """Its pairs of plants that are there by now."""
        found = [
            (self.parents.get(f"plant:{seed}"), self.parents.get(f"plant:{pollen}"), flowers)
            for seed, pollen, flowers in goal["pairs"]
        ]
        return [
            (seed, pollen, flowers) for seed, pollen, flowers in found
            if seed and pollen and max(seed.used_from, pollen.used_from) <= self.last
        ]  # fmt: skip

    def open_season(self, season: int) -> Iterator[Step]:
        """Print tags, look at what blooms, and put the season's flowers on their days."""
        planned = self.plan(season)
        flowers = sum(cross.flowers for cross in planned)
        sheets = -(-flowers * 11 // 10 // TAGS_A_SHEET) + 1
        for _ in range(sheets):
            yield self.print_sheet(TAGS_A_SHEET)
        for cross in planned:
            self.on(cross.day, partial(self.begin_cross, cross))
        self.on(date(season, 5, 6), partial(self.look_over, season, True))
        for day in (23, 26, 29, 32, 35, 38, 41):
            morning = date(season, 5, 1) + timedelta(days=day)
            self.on(morning, partial(self.look_over, season, False))
        self.on(date(season, 6, 17), partial(self.decide_on_some, season))
        self.on(date(season, 7, 4), partial(self.decide_on_the_rest, season))
        self.on(date(season, 7, 21), partial(self.dig_out_the_rest, season))
        self.on(date(season, 8, 20), partial(self.move_the_chosen, season))
        self.on(date(season, 9, 5), partial(self.dig_old_rows, season))

    def count_increases(self) -> Iterator[Step]:
        """After dividing, some plants are counted anew in their own place."""
        placed = [
            row
            for row in self.cast.rows
            if row["bed"] and 0 < int(row["year"] or 0) < self.first and row["kind"] == "cultivar"
        ]
        for row in self.dice.sample(placed, 3):
            yield self.step(
                "place_plant",
                plant=Ref(f"plant:{row['name']}"),
                bed=Ref(f"bed:{row['bed']}"),
                position=row["position"],
                increases=max(1, int(row["increases"]) + self.dice.randint(-2, 5)),
            )


def tell(
    cast: Cast, today: date, tags: Iterator[str], *, scale: float = 1.0, seed: int = 20
) -> Iterator[Step]:
    """Everything that people did before `today`.

    Parameters
    ----------
    cast : who takes part.
    today : the garden's day; the story ends in the evening before.
    tags : the numbers that the tags get, in the order in which they are printed.
    scale : share of the full number of crosses, above 0 to 1.
    seed : another one tells another story; the same one tells the same.
    """
    history = History(cast, first_season(today), tags, scale, seed)
    history.begin()
    return history.tell(today)
