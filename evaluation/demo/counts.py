"""Types of flowers in the story, noted of plants and counted in rows. Free of Django.

Counted is what can be seen: a seedling whose type another locus hides is left out, and where
flowers of a family may be without pigment for more than one reason, nobody counts them.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping

from breeding.inheritance.loci import Type, visible
from evaluation.demo.diary import DESK
from evaluation.demo.genes import types_of_genes
from evaluation.demo.judging import Judging
from evaluation.demo.steps import Ref, Step
from evaluation.demo.things import Planting

# Rows counted in a morning: of those that were walked, and of others seen from the path.
OF_THE_WALKED, OTHERS = 0.4, 0.8
SECOND_LOCUS = 0.35
FEWEST, MOST = 6, 45
# Of how many plants without pigment it is known why they have none.
KNOWN = 0.85
# A seedling that its parents cannot have, so often in the whole story, where one would be seen.
STRANGERS, STRANGE = 2, 0.35
# Depth of colour is hard to sort into classes.
SELDOM = {"Ae": 0.15}


class Counting(Judging):
    """What is counted in the rows, at one or two loci that are of interest in a cross."""

    def look_over(self, season: int, dwarfs: bool) -> Iterator[Step]:
        """A morning's walk and scores; then some rows are counted."""
        before = {planting.key for planting in self.plantings if season in planting.walked}
        yield from super().look_over(season, dwarfs)
        with self.aside(f"counts {season} {self.day}"):
            blooming = [each for each in self.blooming(season, dwarfs) if _worth_it(each)]
            rows = [
                each for each in blooming
                if season in each.walked and each.key not in before and self.chance(OF_THE_WALKED)
            ]  # fmt: skip
            fresh = [each for each in blooming if each not in rows]
            if fresh and self.chance(OTHERS * max(self.scale, 0.2)):
                rows.append(self.dice.choice(fresh))
            steps = [step for row in rows for step in self.count_types(row, season)]
        yield from steps

    def note_known(self, labels: Iterable[str]) -> Iterator[Step]:
        """What sort of white, yellow or pink a plant is: its colours cannot tell, its breeding
        did, before the notebook was opened."""
        for label in labels:
            types = types_of_genes(self.copies.loci, self.copies.known[f"plant:{label}"])
            shown = visible(self.copies.loci, types)
            reasons = [locus.symbol for locus in self.copies.loci if locus.symbol in shown
                       and _is_bare(locus.type_named(shown[locus.symbol]))]  # fmt: skip
            with self.aside(f"known {label}"):
                steps = [
                    self.step(
                        "note_type", at=DESK, by=self.owner, plant=Ref(f"plant:{label}"),
                        locus=Ref(f"locus:{symbol}"), type=shown[symbol],
                    )
                    for symbol in reasons[:1] if self.chance(KNOWN)
                ]  # fmt: skip
            yield from steps

    def count_types(self, planting: Planting, season: int) -> Iterator[Step]:
        """Count one row, at a locus or two; a later count stands instead of an earlier one."""
        standing = self.in_bloom(planting, season)
        strange = self.strange_one(planting, standing)
        seen = {at: visible(self.copies.loci, self.types(planting, at)) for at in standing}
        told = {locus.symbol: Counter(types[locus.symbol] for types in seen.values()
                                      if locus.symbol in types)
                for locus in self.copies.loci}  # fmt: skip
        weights = {
            symbol: 99.0 if symbol == strange else self.interest(planting, symbol, counts)
            for symbol, counts in told.items()
            if sum(counts.values()) >= FEWEST and self.can_be_told(planting, symbol)
        }
        for _ in range(2 if self.chance(SECOND_LOCUS) else 1):
            if any(weights.values()):
                symbol = self.dice.choices(list(weights), list(weights.values()))[0]
                del weights[symbol]
                yield self.step(
                    "count_types", cross=Ref(planting.key, "cross"), locus=Ref(f"locus:{symbol}"),
                    counts=dict(told[symbol]), row=Ref(planting.key),
                )  # fmt: skip

    def in_bloom(self, planting: Planting, season: int) -> list[int]:
        """Positions where a seedling stands that has bloomed by now."""
        first = season == planting.lined_out.year + 1
        return [
            at for at in self.positions(planting)
            if at not in planting.gone and at not in planting.chosen
            and not self.lost(planting, at, season)
            and (at in planting.judged or not (first and self.copies.is_late(planting.key, at)))
        ]  # fmt: skip

    def interest(self, planting: Planting, symbol: str, counts: Mapping[str, int]) -> float:
        """How gladly a locus is counted here: where types part, or something may be hidden."""
        seldom = SELDOM.get(symbol, 1.0)
        if len(counts) > 1:
            return seldom
        genes = [self.copies.known[parent.key][symbol] for parent in planting.brood.parents]
        mixed = any(sum(copies > 0 for copies in part) > 1 for each in genes for part in each)
        return seldom * (0.25 if mixed else 0.05)

    def can_be_told(self, planting: Planting, symbol: str) -> bool:
        """Whether no other locus makes flowers of this family that look like those counted here."""
        bare = [locus.symbol for locus in self.copies.loci if any(map(_is_bare, locus.types))]
        if symbol not in bare:
            return True
        brood = planting.brood
        if brood.pollen is None:
            return False
        possible = self.copies.possible(brood.seed, brood.pollen)
        reasons = [
            locus.symbol for locus in self.copies.loci
            if any(_is_bare(locus.type_named(key)) for key in possible[locus.symbol])
        ]  # fmt: skip
        return symbol not in reasons or reasons == [symbol]

    def strange_one(self, planting: Planting, standing: list[int]) -> str:
        """Now and then one seedling is a bee's, and shows it; returns the locus that tells."""
        brood = planting.brood
        free = [at for at in standing if at not in planting.judged]
        if len(self.copies.strangers) >= STRANGERS or not free or not brood.pollen:
            return ""
        possible = self.copies.possible(brood.seed, brood.pollen)
        uniform = [locus for locus in self.copies.loci
                   if possible[locus.symbol] == {locus.types[-1].key}
                   or (locus.symbol, *possible[locus.symbol]) == ("Pl", "plicata")]  # fmt: skip
        if not uniform or not self.chance(STRANGE):
            return ""
        at = self.dice.choice(free)
        like = brood.seed.iris_class, brood.seed.ploidy
        fathers = [each for each in self.parents.values() if (each.iris_class, each.ploidy) == like]
        for father in self.dice.sample(fathers, min(12, len(fathers))):
            self.copies.be_strange(planting.key, at, father)
            types = visible(self.copies.loci, self.types(planting, at))
            for locus in uniform:
                symbol = locus.symbol
                odd = symbol in types and types[symbol] not in possible[symbol]
                if odd and symbol not in SELDOM and self.can_be_told(planting, symbol):
                    return symbol
        self.copies.be_none(planting.key, at)
        return ""


def _worth_it(planting: Planting) -> bool:
    return FEWEST <= planting.stretch.seedlings - len(planting.gone) <= MOST


def _is_bare(type_: Type) -> bool:
    """Whether such a flower shows no pigment at all, for whichever reason."""
    petals = {type_.paint.get("standards"), type_.paint.get("falls")}
    return petals == {"ground"} and "rim" not in type_.paint
