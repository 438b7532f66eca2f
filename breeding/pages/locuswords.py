"""A locus as it is said and drawn: which copies show what, flowers of its types, ratios."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from math import lcm

from breeding.inheritance.drawing import gametes
from breeding.inheritance.loci import Confidence, Locus, Type, types_of
from breeding.inheritance.painting import paint
from breeding.inheritance.parents import Mating, exact_types
from breeding.inheritance.sets import Genotype, Sets, genotypes, totals
from breeding.pages.expected import Look
from breeding.pages.expectwords import THIN, listed

FOUR = Sets((4,))
USUAL_GROUND, USUAL_PIGMENT = "white", "violet"
# Larger numbers in a ratio say nothing to the eye; then the smallest one is 1.
LARGEST_PART = 9999


@dataclass(frozen=True, slots=True)
class Shown:
    """A type with its flower, its rule in words, and what cannot be told from it or beside it."""

    type: Type
    look: Look
    rule: str
    alike: str
    hides: str


def flower_of(painted: Mapping[str, str], on_ground: bool) -> Look:
    """What one type paints, alone: over pigment, or over the usual ground where the locus speaks
    of grounds."""
    types = (Type("this", "this", (("A", 1),), dict(painted)), Type("rest", "rest"))
    alone = Locus("A", "alone", ("A", "a"), types, "", Confidence.SUPPOSED)
    fields = paint([alone], {"A": "this"}, {} if on_ground else {"pigment": USUAL_PIGMENT})
    return Look({"standards": USUAL_GROUND, "falls": USUAL_GROUND, **fields})


def speaks_of_ground(paints: Sequence[Mapping[str, str]]) -> bool:
    return any("ground" in each for each in paints)


def looks_of(locus: Locus) -> dict[str, Look]:
    """The flower of each type, by its key."""
    on_ground = speaks_of_ground([each.paint for each in locus.types])
    return {each.key: flower_of(each.paint, on_ground) for each in locus.types}


def types_shown(locus: Locus, loci: Sequence[Locus]) -> list[Shown]:
    """The types of a locus, each as the pages show it; look-alikes are looked for in `loci`."""
    looks = {(other.symbol, key): look for other in (locus, *loci)
             for key, look in looks_of(other).items()}  # fmt: skip
    others = {each.symbol: each for each in (*loci, locus)}
    return [
        Shown(
            each,
            looks[locus.symbol, each.key],
            rule_words(locus, each),
            listed(_alike(locus, each, others, looks)),
            listed(each.hides),
        )
        for each in locus.types
    ]


def _alike(
    locus: Locus, shown: Type, others: Mapping[str, Locus], looks: Mapping[tuple[str, str], Look]
) -> list[str]:
    """Types that nobody can tell from this one by the flower, in words."""
    mine, found = _drawn(looks[locus.symbol, shown.key]), []
    for (symbol, key), look in looks.items():
        if (symbol, key) == (locus.symbol, shown.key) or _drawn(look) != mine:
            continue
        other = others[symbol].type_named(key)
        if symbol == locus.symbol:
            found.append(f"‘{other.name}’")
        elif symbol in shown.hides or locus.symbol in other.hides:
            found.append(f"‘{other.name}’ of {symbol}")
    return found


def _drawn(look: Look) -> dict[str, str]:
    """What the eye sees: a glaciata is a clean self, and a beard tells nothing here."""
    plain = {name: word for name, word in look.fields.items() if name != "beard" and word}
    return plain | {"pattern": plain.get("pattern", "self").replace("glaciata", "self")}


def rule_words(locus: Locus, shown: Type) -> str:
    """Which copies show a type, in a plant with four sets: '2 or more copies of Is'."""
    if len(locus.alleles) == 2:
        return _range_words(locus, shown)
    before = locus.types[: locus.types.index(shown)]
    without = [allele for each in before for allele, least in each.needs
               if len(each.needs) == 1 and least == 1]  # fmt: skip
    if not shown.needs:
        left = [allele for allele in locus.alleles if allele not in without]
        return f"only {left[0]}, in all copies" if len(left) == 1 else "what is left"
    needs = listed([f"{_least(least)} of {allele}" for allele, least in shown.needs])
    return f"{needs}, and no {listed(without, 'or')}" if without else needs


def _least(least: int) -> str:
    return "1 copy or more" if least == 1 else f"{least} or more copies"


def _range_words(locus: Locus, shown: Type) -> str:
    counted = locus.alleles.index(locus.counted)
    place = locus.types.index(shown)
    told = zip(genotypes(FOUR, 2), types_of(locus, FOUR), strict=True)
    counts = sorted(totals(genotype)[counted] for genotype, at in told if at == place)
    of = f"of {locus.counted}"
    if not counts:
        return "no plant with four sets"
    if counts == [0]:
        return f"no copy {of}"
    if counts == [4]:
        return f"all 4 copies {of}"
    if len(counts) == 1:
        return f"{counts[0]} cop{'y' if counts[0] == 1 else 'ies'} {of}"
    if counts[-1] == 4 and counts[0]:
        return f"{_least(counts[0])} {of}"
    if not counts[0]:
        return f"up to {counts[-1]} cop{'y' if counts[-1] == 1 else 'ies'} {of}"
    return f"{counts[0]} {'or' if len(counts) == 2 else 'to'} {counts[-1]} copies {of}"


@dataclass(frozen=True, slots=True)
class Ratio:
    """What a plant with so many copies gives: its gametes, selfed, and with a tester."""

    copies: int
    gametes: str
    selfed: str
    tested: str


@dataclass(frozen=True, slots=True)
class Ratios:
    """The expected ratios at a locus; `rest` is the allele that fills the other copies."""

    rows: tuple[Ratio, ...]
    types: str
    rest: str
    tester: str


@lru_cache(maxsize=64)
def ratios(locus: Locus, double_reduction: float) -> Ratios:
    """By the copies of a plant with four sets, exactly at this rate of double reduction.

    The tester is the plant of the last type with no copy at all, or with nothing else.
    """
    rate = Fraction(str(double_reduction))
    counted = locus.alleles.index(locus.counted)
    rest = len(locus.alleles) - 1 if counted < len(locus.alleles) - 1 else 0
    plants = [_plant(locus, counted, rest, copies) for copies in range(5)]
    last = locus.types[-1]
    full = locus.type_of(totals(plants[4])) == last and locus.type_of(totals(plants[0])) != last
    tester = plants[4 if full else 0]
    mating = Mating(FOUR, FOUR, FOUR, rate)
    rows = tuple(
        Ratio(
            copies,
            _gametes(plant, counted, rate),
            _seedlings(locus, plant, plant, mating),
            _seedlings(locus, plant, tester, mating),
        )
        for copies, plant in enumerate(plants)
    )
    types = " : ".join(each.name for each in locus.types)
    return Ratios(rows, types, locus.alleles[rest], "4 copies" if full else "no copy")


def _plant(locus: Locus, counted: int, rest: int, copies: int) -> Genotype:
    part = [0] * len(locus.alleles)
    part[counted], part[rest] = copies, 4 - copies
    return (tuple(part),)


def _seedlings(locus: Locus, one: Genotype, other: Genotype, mating: Mating) -> str:
    shares = exact_types(locus, one, other, mating)
    there = [key for key, share in shares.items() if share]
    if len(there) == 1:
        return f"all {locus.type_named(there[0]).name}"
    return ratio_words(list(shares.values()))


def _gametes(plant: Genotype, counted: int, rate: Fraction) -> str:
    sums = [Fraction(0)] * 3
    for gamete, share in gametes(plant, rate).items():
        sums[totals(gamete)[counted]] += share
    return ratio_words(sums)


def ratio_words(shares: Sequence[Fraction]) -> str:
    """Shares as a ratio of whole numbers, or of the smallest one where those grow too large.

    >>> ratio_words([Fraction(35, 36), Fraction(1, 36)]).replace(THIN, " ")
    '35 : 1'
    """
    whole = lcm(*(share.denominator for share in shares))
    parts = [int(share * whole) for share in shares]
    if max(parts) <= LARGEST_PART:
        return f"{THIN}:{THIN}".join(map(str, parts))
    least = min(part for part in parts if part)
    return f"{THIN}:{THIN}".join(f"{part / least:.1f}" if part else "0" for part in parts)
