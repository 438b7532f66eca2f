"""Judging in the story: walks along the rows in bloom, scores by several people. Free of Django."""

from __future__ import annotations

import random
from collections.abc import Iterator
from functools import partial
from typing import Any

import evaluation.demo.scorers as eyes
from evaluation.demo.diary import DESK
from evaluation.demo.genes import Genes, types_of_genes
from evaluation.demo.looks import child_of
from evaluation.demo.scorers import Scorer, Sight
from evaluation.demo.seedbench import SeedBench
from evaluation.demo.steps import Ref, Step
from evaluation.demo.things import Judged, Planting
from evaluation.demo.truth import TRAITS, Sockets

# How good a plant must look, in standard deviations, to be called or to catch the eye.
WANTED = 0.65
EYE_CATCHERS = 3
LONGEST_WALK = 34
# Nobody scores more in a morning; the rest was called for another day.
MOST_A_MORNING = 12
PHOTOS, PHOTOS_A_SEASON = 0.22, 9
DWARFS = ("SDB", "MDB", "SPECIES")
LOOK_NOTES = (
    "two open at once", "stalk like a pencil", "colour!", "wide falls", "late", "low, but look",
    "clean leaves", "nine buds",
)  # fmt: skip
SCORE_NOTES = (
    "Falls hold level on the third day.",
    "Leaves spotted from below.",
    "Haft veined, colour worn by noon.",
    "Stood through the storm without a stake.",
    "Bunched at the top.",
    "Scent of cloves.",
    "Its sister in the next place is better.",
    "First stalk broken, the second one judged.",
)
QUALITY = ("vigour", "foliage", "increase", "strength", "form", "colour", "substance", "novelty")


class Judging(SeedBench):
    """What is seen in the rows while they bloom, by eyes of different strictness."""

    def look_over(self, season: int, dwarfs: bool) -> Iterator[Step]:
        """One morning: a row is walked, what catches the eye is scored, others look later."""
        blooming = self.blooming(season, dwarfs)
        if not blooming:
            return
        walker = self.dice.choices(self.scorers, (4, 3, 2))[0]
        called: list[Judged] = []
        for planting in self.rows_to_walk(blooming, season):
            called += yield from self.walk(planting, season, walker)
        called += self.eye_catchers(blooming, season, walker)
        called += self.old_friends(season, dwarfs)
        for judged in called[:MOST_A_MORNING]:
            if self.chance(0.8):
                yield from self.score(judged, season, walker)
            for other in self.scorers:
                if other is not walker and self.chance(0.33):
                    self.after(0, 3, partial(self.score, judged, season, other))

    def blooming(self, season: int, dwarfs: bool) -> list[Planting]:
        """The rows that have been there for a winter, of dwarfs or of the others."""
        return [
            planting for planting in self.plantings
            if planting.lined_out.year < season
            and (planting.brood.seed.iris_class in DWARFS) == dwarfs
        ]  # fmt: skip

    def rows_to_walk(self, blooming: list[Planting], season: int) -> list[Planting]:
        """Mostly one row that nobody has walked this season, rather one in its first bloom."""
        rows = [
            planting for planting in blooming
            if season not in planting.walked and planting.stretch.seedlings <= LONGEST_WALK
            and len(planting.gone) * 2 < planting.stretch.seedlings
        ]  # fmt: skip
        if not rows or not self.chance(max(self.scale, 0.2)):
            return []
        weights = [
            planting.stretch.seedlings * (4 if planting.lined_out.year == season - 1 else 1)
            for planting in rows
        ]
        return self.dice.choices(rows, weights)

    def walk(self, planting: Planting, season: int, walker: Scorer) -> Iterator[Step]:
        """Position after position, from either end; returns what was called for another look."""
        planting.walked.add(season)
        called = []
        positions = [at for at in self.positions(planting) if at not in planting.gone]
        backward = self.chance(0.3)
        for position in reversed(positions) if backward else positions:
            found = self.at_a_glance(planting, position, season, walker)
            if found in ("gap", "dead"):
                planting.gone.add(position)
            if found == "again":
                called.append(self.judged(planting, position))
            note = self.sometimes(0.3, LOOK_NOTES) if found == "again" else ""
            yield self.step(
                "glance", by=walker.name, row=Ref(planting.key), position=position, found=found,
                note=note, backward=backward,
            )  # fmt: skip
        return called

    def at_a_glance(self, planting: Planting, position: int, season: int, walker: Scorer) -> str:
        truth = self.judged_truth(planting, position)
        if self.lost(planting, position, season):
            first_bloom = planting.lined_out.year + 1
            return "gap" if truth.lost_after == 0 or season > first_bloom + 1 else "dead"
        again = eyes.calls(self.dice, truth, self.sight(planting, season, walker), WANTED)
        return "again" if again or position in planting.judged else "nothing"

    def positions(self, planting: Planting) -> range:
        return range(planting.stretch.first, planting.stretch.last + 1)

    def lost(self, planting: Planting, position: int, season: int) -> bool:
        """Whether nothing lives there any more in this season's bloom."""
        after = self.judged_truth(planting, position).lost_after
        noted = planting.judged.get(position)
        # What was scored stays alive in this story; its place is looked after.
        return after is not None and not noted and planting.lined_out.year + 1 + after <= season

    def judged_truth(self, planting: Planting, position: int) -> Any:
        brood = planting.brood
        pollen = brood.pollen.key if brood.pollen else None
        return self.truths.of_seedling(brood.seed.key, pollen, planting.key, position)

    def genes(self, planting: Planting, position: int) -> Genes:
        brood = planting.brood
        return self.copies.of_seedling(brood.seed, brood.pollen, planting.key, position)

    def types(self, planting: Planting, position: int) -> dict[str, str]:
        """The types that its genes make, whether they are seen or not."""
        return types_of_genes(self.copies.loci, self.genes(planting, position))

    def judged(self, planting: Planting, position: int) -> Judged:
        """The seedling at a position, remembered from now on."""
        if position not in planting.judged:
            dice = random.Random(f"{self.seed} looks {planting.key} {position}")
            brood, types = planting.brood, self.types(planting, position)
            looks = child_of(dice, self.copies.loci, types, brood.seed, brood.pollen)
            truth, genes = self.judged_truth(planting, position), self.genes(planting, position)
            planting.judged[position] = Judged(planting, position, truth, genes, looks)
            self.noted.append(planting.judged[position])
        return planting.judged[position]

    def eye_catchers(self, blooming: list[Planting], season: int, walker: Scorer) -> list[Judged]:
        """Seedlings that are seen from the path, in rows that nobody walks this morning."""
        wanted = self.some_of(round(EYE_CATCHERS * 2), 0.5 * max(self.scale, 0.1))
        weights = [4 if p.lined_out.year == season - 1 else 1 for p in blooming]
        caught = []
        for planting in self.dice.choices(blooming, weights, k=wanted):
            seen = self.sight(planting, season, walker)
            free = [
                at for at in self.positions(planting)
                if at not in planting.gone and at not in planting.judged
                and not self.lost(planting, at, season)
            ]  # fmt: skip
            if free:
                best = max(
                    free,
                    key=lambda at: eyes.impression(
                        self.dice, self.judged_truth(planting, at), seen
                    ),
                )
                caught.append(self.judged(planting, best))
        return caught

    def old_friends(self, season: int, dwarfs: bool) -> list[Judged]:
        """Some of what was watched or kept in earlier seasons, seen once more."""
        waiting = [
            judged for judged in self.noted
            if judged.verdict != "discard" and judged.seen and judged.last_season() < season
            and (judged.stays or judged.planting in self.plantings)
            and (judged.planting.brood.seed.iris_class in DWARFS) == dwarfs
        ]  # fmt: skip
        some = self.some_of(4, 0.5 * max(self.scale, 0.1))
        return self.dice.sample(waiting, min(some, len(waiting)))

    def sight(self, planting: Planting, season: int, scorer: Scorer) -> Sight:
        place = planting.stretch.bed, planting.stretch.row
        return eyes.sight(self.dice, scorer, self.seed, season, place)

    def score(self, judged: Judged, season: int, scorer: Scorer) -> Iterator[Step]:
        """One person's score of one seedling; a first look takes the short rubric now and then."""
        if judged.verdict == "discard":
            return
        seen = self.sight(judged.planting, season, scorer)
        if judged.key:
            seen = eyes.sight(self.dice, scorer, self.seed, season, (judged.key, 0))
        short = not judged.seen and self.chance(0.3)
        keys = eyes.WALK_WEIGHTS if short else QUALITY
        given = eyes.marks(self.dice, judged.truth, keys, seen)
        stalk = eyes.counted_stalk(self.dice, judged.truth, seen) if self.chance(0.93) else None
        if short:
            given["buds_seen"], stalk = (float(stalk.buds) if stalk else None), None
        judged.seen.append((season, eyes.percent(given, stalk)))
        key = self.new_key("score")
        judged.candidate = key
        yield self.step(
            "score", key, by=scorer.name, rubric=Ref(f"rubric:{'walk' if short else 'full'}"),
            marks={name: value for name, value in given.items() if value is not None},
            stalk=str(stalk or ""), note=self.sometimes(0.12, SCORE_NOTES),
            **self.where(judged), **self.photo(judged, season),
        )  # fmt: skip
        if not short and self.chance(0.03):
            self.after(0, 1, partial(self.correct_score, key, scorer, given, stalk))

    def where(self, judged: Judged) -> dict[str, Any]:
        if judged.key:
            return {"plant": Ref(judged.key, "plant")}
        return {"row": Ref(judged.planting.key), "position": judged.position}

    def photo(self, judged: Judged, season: int) -> dict[str, Any]:
        """Now and then, until there are enough of this season."""
        if not self.chance(PHOTOS) or self.photos[season] >= PHOTOS_A_SEASON * self.scale:
            return {}
        self.photos[season] += 1
        return {"photo": self.picture(judged.looks)}

    def correct_score(
        self, key: str, scorer: Scorer, given: dict[str, float | None], stalk: Sockets | None
    ) -> Iterator[Step]:
        """A mark was meant one higher or lower; its scorer says so."""
        value = given["strength"]
        better = TRAITS["strength"].mean if value is None else value + (1 if value < 3 else -1)
        marks = {name: value for name, value in given.items() if value is not None}
        yield self.step(
            "correct_score", at=DESK, by=scorer.name, scoring=Ref(key),
            marks=marks | {"strength": float(better)}, stalk=str(stalk or ""),
            reason="the stalk was another one",
        )  # fmt: skip
