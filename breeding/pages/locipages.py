"""What the pages of loci show: hypotheses and their flowers, contradictions, a quiet line."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

from breeding.heredity import GardenCopies, as_locus, in_memory, the_copies
from breeding.inheritance.loci import Locus as PlainLocus
from breeding.models import Cross, Locus
from breeding.pages.expectwords import causes, listed, odds
from breeding.pages.locirows import PlantsForm, rows, span_words
from breeding.pages.locuswords import ratios, types_shown
from garden.models import Garden, Plant

if TYPE_CHECKING:
    from breeding.inheritance.copies import Contradiction, Family

MOST_CONTRADICTIONS = 12
# Bits that must be gained before the plant's page speaks of a locus.
WORTH_SAYING = 0.3
# Rarer than this nobody will ever see it.
NEVER = 1e-6
CONFIDENCE = {
    Locus.Confidence.SUPPOSED: "somebody’s guess, hardly tested",
    Locus.Confidence.SUPPORTED: "supported by growers’ crosses",
    Locus.Confidence.ESTABLISHED: "well supported",
}


def every_locus(garden: Garden) -> list[dict[str, Any]]:
    """The garden's hypotheses with their flowers and what was seen so far; no copies are worked
    out. A query besides those of the copies' record."""
    held, records = the_copies(garden), list(Locus.live.all())
    plain = {record.pk: as_locus(record) for record in records}
    return [
        {
            "record": record,
            "types": types_shown(plain[record.pk], list(plain.values())),
            "confidence": CONFIDENCE[record.confidence],
            **seen_so_far(held, record),
        }
        for record in records
    ]


def seen_so_far(held: GardenCopies, record: Locus) -> dict[str, int]:
    """Plants whose type is known, how many of them by hand, and seedlings counted by type."""
    working = next((each for each in held.working if each.pk == record.pk), None)
    noted = held.noted.get(record.pk, {})
    seen = held.seen(working).values() if working else ()
    counted = [tally for tally in held.tallies if tally.locus == record.pk]
    return {
        "read": sum(isinstance(each, tuple) for each in seen) if working else len(noted),
        "noted": len(noted),
        "counted": sum(sum(tally.counts.values()) for tally in counted),
        "crosses": len({tally.place[0] for tally in counted}),
    }


def rule(garden: Garden, record: Locus) -> dict[str, Any]:
    """The hypothesis itself, and what follows from it. A query besides those of the record."""
    held, locus = the_copies(garden), as_locus(record)
    every = [as_locus(each) for each in Locus.live.all()]
    return {
        "record": record,
        "locus": locus,
        "types": types_shown(locus, every),
        "ratios": ratios(locus, garden.double_reduction),
        "double_reduction": garden.double_reduction,
        "confidence": CONFIDENCE[record.confidence],
        "wrong": f"{100 * locus.wrong_odds:.0f}",
        "used": record.used,
        "known": record.used and held.known(record.symbol),
        "seen": seen_so_far(held, record),
    }


def plants(garden: Garden, record: Locus, form: PlantsForm, first: int) -> dict[str, Any]:
    """The plants at a locus and what contradicts it; seconds where the copies are not in memory.
    Four queries besides those of the record."""
    held = the_copies(garden)
    copies = held.of(record.symbol)
    shares = [(allele, share) for allele, share in copies.frequencies.items()]
    return {
        # How well, and behind a fold by what means.
        "method": copies.method.partition(". "),
        "shares": [(allele, f"{100 * share:.0f}") for allele, share in shares],
        "against": against(held, record.symbol),
        "more_against": max(0, len(copies.contradictions) - MOST_CONTRADICTIONS),
        **rows(held, record.symbol, form, first),
    }


def against(held: GardenCopies, symbol: str) -> list[dict[str, Any]]:
    """What was seen that the hypothesis can hardly explain. At most two queries."""
    copies, working = held.of(symbol), held.locus(symbol)
    found = copies.contradictions[:MOST_CONTRADICTIONS]
    if not found:
        return []
    families = held.families_of_crosses(working)
    pairs = [_pair(held, each, families) for each in found]
    plants = Plant.live.in_bulk(
        {key for each, pair in zip(found, pairs, strict=True) for key in (each.plant, *pair) if key}
    )
    of_families = [() if each.family is None else families[each.family][1] for each in found]
    crosses = _crosses(key for keys in of_families for key in keys)
    return [
        {
            "plant": plants.get(each.plant),
            "seed": plants.get(pair[0]),
            "pollen": plants.get(pair[1]),
            "crosses": [cross for key, cross in crosses.items() if key in keys],
            "types": listed([f"‘{working.locus.type_named(key).name}’" for key in each.types],
                            "or"),
            "seedlings": each.seedlings,
            "by_offspring": each.by_offspring,
            "never": each.chance < NEVER,
            "chance": odds(each.chance),
            "causes": causes(each.odds),
        }
        for each, pair, keys in zip(found, pairs, of_families, strict=True)
    ]  # fmt: skip


def _pair(
    held: GardenCopies, told: Contradiction, families: Sequence[tuple[Family, tuple[int, ...]]]
) -> tuple[int | None, int | None]:
    """The recorded parents of a plant or of a family."""
    if told.plant is not None:
        seed, pollen = held.kin.pedigree.parents(told.plant)
        return seed, pollen
    family, _ = families[told.family or 0]
    return family.seed, family.pollen


def _crosses(keys: Iterable[int]) -> dict[int, Cross]:
    """The crosses that stand, in their order. A query, if there are any."""
    asked = set(keys)
    if not asked:
        return {}
    return {cross.pk: cross
            for cross in Cross.live.filter(pk__in=asked).order_by("season", "number")}  # fmt: skip


def copies_line(garden: Garden, plant: Plant, patient: bool = False) -> dict[str, Any] | None:
    """The quiet line of a plant's page, for `breeding/_copies_line.html`.

    Only loci of which something is known. Where the copies are not in memory yet the line is asked
    for once more after the page has come, unless somebody is `patient`. One query.

    Returns
    -------
    dict or None
        `plant`, `waiting`, `told`: (symbol, allele, '2–3 of 4'); None when there is nothing to say.
    """
    held = the_copies(garden) if patient else in_memory(garden)
    if held is None or not (patient or all(map(held.known, _symbols(held.loci)))):
        return {"plant": plant, "waiting": True, "told": []}
    told = []
    for locus in held.loci:
        copies = held.of(locus.symbol)
        if plant.pk in held.kin.lines and copies.support(plant.pk).bits > WORTH_SAYING:
            chances = copies.copies(plant.pk)
            words = f"{span_words(chances)} of {len(chances) - 1}"
            told.append((locus.symbol, locus.counted, words))
    return {"plant": plant, "waiting": False, "told": told} if told else None


def _symbols(loci: Sequence[PlainLocus]) -> list[str]:
    return [locus.symbol for locus in loci]
