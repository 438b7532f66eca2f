"""After judging in the story: decisions, seedlings that become plants, the spade. No Django."""

from __future__ import annotations

from collections.abc import Iterator

from evaluation.demo.cast import COLOUR_FIELDS, Parent
from evaluation.demo.counts import Counting
from evaluation.demo.diary import DESK
from evaluation.demo.looks import REASONS
from evaluation.demo.steps import Ref, Step
from evaluation.demo.things import Judged, Planting

CHOSEN_A_SEASON = 14
ROWS_CLEARED = 2
WATCHED = (
    "one more year", "young plant, judge the second bloom", "stalk short this year",
    "compare with its sister", "good in a bad spring",
)  # fmt: skip
DISCARDED = (
    "not better than its parents", "nothing that is not here already", "weak stalk",
    "spotted leaves", "colour fades",
)  # fmt: skip
OUTCLASSED = "outclassed since"
NEW_WEIGHTS = {"buds": 15.0, "branching": 11.0, "strength": 9.0}
WHY_NEW_WEIGHTS = "buds decide how long a clump blooms; they count for more from now on"


class Choosing(Counting):
    """What is decided when the season's scores lie side by side."""

    def weigh_anew(self) -> Iterator[Step]:
        yield self.step(
            "revise_rubric", at=DESK, by=self.owner, rubric=Ref("rubric:full"),
            weights=NEW_WEIGHTS, reason=WHY_NEW_WEIGHTS,
        )  # fmt: skip

    def decide_on_some(self, season: int) -> Iterator[Step]:
        """Before bloom is over, the clear cases at both ends."""
        ranked = self.undecided(season)
        best = self.how_many()
        yield from self.choose_all(ranked[:best], season)
        yield from self.discard(ranked[best:][-(len(ranked) // 5) :])

    def decide_on_the_rest(self, season: int) -> Iterator[Step]:
        """After bloom: the other half is chosen, most are watched or discarded, some left open."""
        ranked = self.undecided(season)
        best = self.how_many()
        yield from self.choose_all(ranked[:best], season)
        last_summer = [judged for judged in ranked[best:] if self.age(judged, season) >= 3]
        rest = [j for j in ranked[best:] if j not in last_summer and self.chance(0.85)]
        middle = len(rest) * 3 // 5
        for judged in rest[:middle]:
            yield self.decision(judged, "watch", self.dice.choice(WATCHED))
        yield from self.discard(rest[middle:] + last_summer)
        yield from self.look_back(season)

    def age(self, judged: Judged, season: int) -> int:
        """Summers since it was lined out; after the third its row is dug."""
        return season - judged.planting.lined_out.year

    def how_many(self) -> int:
        share = CHOSEN_A_SEASON * self.scale / 2
        return max(1, int(share) + self.some_of(1, share % 1))

    def undecided(self, season: int) -> list[Judged]:
        """Seedlings of the rows scored this season about which nobody has decided, best first.

        Somebody who was seen more often is trusted more: the mean leans towards 50 otherwise.
        """
        waiting = [
            judged for judged in self.noted
            if judged.seen and judged.last_season() == season and judged.verdict in ("", "watch")
            and judged.planting in self.plantings
        ]  # fmt: skip

        def trusted(judged: Judged) -> float:
            return (judged.percent() - 50) * len(judged.seen) / (len(judged.seen) + 1)

        return sorted(waiting, key=trusted, reverse=True)

    def decision(self, judged: Judged, verdict: str, reason: str) -> Step:
        judged.verdict = verdict
        return self.step(
            "decide_at", at=DESK, by=self.owner, verdict=verdict, reason=reason,
            **self.where(judged),
        )  # fmt: skip

    def choose_all(self, best: list[Judged], season: int) -> Iterator[Step]:
        for judged in best:
            yield from self.choose(judged, season)

    def choose(self, judged: Judged, season: int) -> Iterator[Step]:
        """Select one seedling; every other one is a parent from the next season on."""
        planting, looks = judged.planting, judged.looks
        planting.chosen.append(judged.position)
        reason = self.dice.choice(REASONS)
        key = self.new_key("seedling")
        yield self.step(
            "select_seedling", key, row=Ref(planting.key), position=judged.position,
            reason=reason, **looks,
        )  # fmt: skip
        judged.key = key
        self.truths.known[key] = judged.truth
        self.copies.known[key] = judged.genes
        self.chosen.setdefault(season, []).append(key)
        verdict = "parent" if self.chance(0.5) else "keep"
        yield self.decision(judged, verdict, reason)
        if verdict == "parent":
            self.parents[key] = self.parent_of(judged, season)

    def parent_of(self, judged: Judged, season: int) -> Parent:
        brood, looks = judged.planting.brood, judged.looks
        same_class = brood.pollen and brood.pollen.iris_class == brood.seed.iris_class
        return Parent(
            key=judged.key,
            iris_class=looks.get("iris_class", brood.seed.iris_class),
            season=looks["season"],
            height_cm=looks["height_cm"],
            ploidy=looks.get("ploidy"),
            colours={name: str(looks[name]) for name in COLOUR_FIELDS if name in looks},
            line=brood.seed.line,
            used_from=season + 1,
            year=season,
            sets=self.dice.uniform(0.8, 1.2) * (1.0 if same_class else 0.4),
            sires=self.dice.uniform(0.8, 1.15) * (1.0 if same_class else 0.5),
        )

    def discard(self, worst: list[Judged]) -> Iterator[Step]:
        """Several at once, with one reason."""
        if not worst:
            return
        for judged in worst:
            judged.verdict = "discard"
        yield self.step(
            "decide", at=DESK, by=self.owner, verdict="discard",
            candidates=[Ref(judged.candidate, "candidate") for judged in worst],
            reason=self.dice.choice(DISCARDED),
        )  # fmt: skip

    def look_back(self, season: int) -> Iterator[Step]:
        """Of what was kept in earlier years the weakest of those seen again goes."""
        again = [
            judged for judged in self.noted
            if judged.verdict == "keep" and judged.last_season() == season
            and min(year for year, _ in judged.seen) < season
        ]  # fmt: skip
        if len(again) > 2:
            weakest = min(again, key=Judged.percent)
            yield self.decision(weakest, "discard", OUTCLASSED)

    def dig_out_the_rest(self, season: int) -> Iterator[Step]:
        """Of rows walked in their second bloom only what is watched or kept stays."""
        walked = [
            planting for planting in self.plantings
            if season in planting.walked and planting.lined_out.year <= season - 2
        ]  # fmt: skip
        for planting in walked[:ROWS_CLEARED]:
            if dug := self.worthless(planting):
                planting.gone.update(dug)
                yield self.step(
                    "clear_out", row=Ref(planting.key), positions=dug, reason="seen two years"
                )

    def worthless(self, planting: Planting) -> list[int]:
        """Positions where something stands that nobody wants."""
        wanted = {at for at, judged in planting.judged.items() if judged.verdict != "discard"}
        return [
            at for at in self.positions(planting)
            if at not in wanted and at not in planting.gone and at not in planting.chosen
        ]  # fmt: skip
