"""One plant at every locus: what it probably carries, on what that rests, what would tell more."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from breeding.heredity import GardenCopies, Working
from breeding.pages.expectwords import LIKELY_COPIES, listed
from breeding.pages.locirows import at_most, bar, error_words, evidence, hedged, told_words, unsure
from breeding.pages.testcrosses import testers
from garden.models import Garden, Plant

if TYPE_CHECKING:
    from breeding.inheritance.copies import Copies
    from breeding.inheritance.loci import Locus

# Bits that must be open before a test cross is spoken of.
OPEN = 0.1


def plant_page(
    held: GardenCopies, garden: Garden, plant: Plant, testers_at: str = "", patient: bool = False
) -> dict[str, Any]:
    """All loci of a plant; those whose copies are not in memory wait, unless somebody is patient.

    A query where testers are asked for, and those of the bloom.
    """
    found = [at_locus(held, plant, working, patient) for working in held.working]
    for each in found:
        if testers_at and testers_at == each["locus"].symbol and not each["waiting"]:
            each |= testers_of(held, garden, plant, testers_at)
    return {
        "plant": plant,
        "loci": found,
        "waiting": any(each["waiting"] for each in found),
        "notes": list(held.kin.notes_of((plant.pk,))),
    }


def testers_of(held: GardenCopies, garden: Garden, plant: Plant, symbol: str) -> dict[str, Any]:
    """The test crosses of a plant, if it is one that copies are worked out of."""
    known = plant.pk in held.kin.lines
    return {"testers": testers(held, garden, plant, symbol)} if known else {}


def at_locus(held: GardenCopies, plant: Plant, working: Working, patient: bool) -> dict[str, Any]:
    """One plant at one locus: its own flower, its copies, what they rest on."""
    locus = working.locus
    seen = held.type_seen(plant.pk, working)
    context: dict[str, Any] = {
        "plant": plant,
        "locus": locus,
        "seen": locus.type_named(seen).name if seen else "",
        "noted": plant.pk in held.noted.get(working.pk, {}),
        "waiting": not (patient or held.known(locus.symbol)),
    }
    if context["waiting"] or plant.pk not in held.kin.lines:
        return context
    copies = held.of(locus.symbol)
    chances, support = copies.copies(plant.pk), copies.support(plant.pk)
    return context | {
        "bar": bar(chances),
        "sets": len(chances) - 1,
        "words": hedged(chances, locus.counted),
        "others": others(copies, plant.pk),
        "each": [(at, at_most(chance)) for at, chance in enumerate(chances) if chance > 0],
        "rests": evidence(support),
        "tells": told_words(support.bits),
        "bits": f"{support.bits:.1f}",
        "error": error_words(copies, plant.pk),
        "open": f"{unsure(chances):.1f}" if unsure(chances) > OPEN else "",
    }


def others(copies: Copies, plant: int) -> str:
    """Where there are more than two alleles: what the copies are that are not counted.

    'pl-a (glaciata) or pl-lu (luminata)', the likeliest first; nothing where all are counted.
    """
    from breeding.inheritance.sets import totals

    locus = copies.locus
    if len(locus.alleles) < 3:
        return ""
    means, there = [0.0] * len(locus.alleles), [0.0] * len(locus.alleles)
    for genotype, chance in copies.genotypes(plant).items():
        for at, count in enumerate(totals(genotype)):
            means[at] += chance * count
            there[at] += chance * bool(count)
    order = sorted(range(len(means)), key=lambda at: -means[at])
    said = [named(locus, locus.alleles[at]) for at in order
            if locus.alleles[at] != locus.counted and there[at] >= LIKELY_COPIES]  # fmt: skip
    return listed(said, "or")


def named(locus: Locus, allele: str) -> str:
    """An allele with the type that it makes: 'pl-a (glaciata)'."""
    makes: Sequence[str] = [
        each.name for each in locus.types if [name for name, _ in each.needs] == [allele]
    ]
    asked = {name for each in locus.types for name, _ in each.needs}
    left = [other for other in locus.alleles if other not in asked]
    if left == [allele] and not locus.types[-1].needs:
        makes = [locus.types[-1].name]
    return f"{allele} ({makes[0]})" if makes else allele
