"""One plant at every locus: what it probably carries, on what that rests, what would tell more."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from breeding.expected import uneven
from breeding.expectwords import copies_words, percent, rests_on, width
from breeding.heredity import GardenCopies, Working
from breeding.locirows import bar, error_words, standings, unsure
from breeding.locuswords import looks_of
from garden.models import Plant

if TYPE_CHECKING:
    from breeding.inheritance.copies import Copies
    from breeding.inheritance.sets import Sets

# Bits that must be open before a test cross is spoken of.
OPEN = 0.1
SEEDLINGS, MOST_TESTERS = 20, 3
# Of more mates than this only those are tried whose own copies are best known.
MOST_MATES = 300
# Fewer bits than this no cross is made for.
LEAST_BITS = 0.005


def plant_page(
    held: GardenCopies, plant: Plant, testers_at: str = "", patient: bool = False
) -> dict[str, Any]:
    """All loci of a plant; those whose copies are not in memory wait, unless somebody is patient.

    A query where testers are asked for.
    """
    return {
        "plant": plant,
        "loci": [
            at_locus(held, plant, working, patient, testers_at == working.locus.symbol)
            for working in held.working
        ],
        "waiting": not (patient or all(held.known(each.locus.symbol) for each in held.working)),
        "notes": list(held.kin.notes_of((plant.pk,))),
    }


def at_locus(
    held: GardenCopies, plant: Plant, working: Working, patient: bool, testers_too: bool = False
) -> dict[str, Any]:
    """One plant at one locus: its own flower, its copies, what they rest on."""
    locus = working.locus
    seen = held.type_seen(plant.pk, working)
    context: dict[str, Any] = {
        "plant": plant,
        "locus": locus,
        "seen": locus.type_named(seen).name if seen else "",
        "look": looks_of(locus)[seen] if seen else None,
        "noted": plant.pk in held.noted.get(working.pk, {}),
        "waiting": not (patient or held.known(locus.symbol)),
    }
    if context["waiting"] or plant.pk not in held.kin.lines:
        return context
    copies = held.of(locus.symbol)
    chances, support = copies.copies(plant.pk), copies.support(plant.pk)
    if testers_too:
        context["testers"] = testers(held, plant, locus.symbol)
    return context | {
        "bar": bar(chances),
        "sets": len(chances) - 1,
        "words": copies_words(chances, locus.counted),
        "each": [(at, percent(chance)) for at, chance in enumerate(chances) if chance > 0],
        "rests": rests_on(support),
        "bits": f"{support.bits:.1f}",
        "error": error_words(copies, plant.pk),
        "open": f"{unsure(chances):.1f}" if unsure(chances) > OPEN else "",
    }


def testers(held: GardenCopies, plant: Plant, symbol: str) -> dict[str, Any]:
    """The plants of the same sets whose seedlings with this one would tell most. A query."""
    from breeding.inheritance.parents import Mating
    from breeding.inheritance.telling import best_testers, uncertainty

    copies = held.of(symbol)
    sets, mine = copies.sets(plant.pk), copies.genotypes(plant.pk)
    mates, tried_all = _mates(held, copies, symbol, plant.pk, sets)
    told = {key: copies.genotypes(key) for key in mates}
    kinds = {key: (uneven(held, plant.pk), uneven(held, key)) for key in mates}
    matings = {key: Mating(sets, sets, sets, held.key[2], kind) for key, kind in kinds.items()}
    ranked = best_testers(mine, told, copies.locus, matings, SEEDLINGS, itself=plant.pk)
    best = [(key, bits) for key, bits in ranked if bits > LEAST_BITS][:MOST_TESTERS]
    plants, unknown = Plant.live.in_bulk([key for key, _ in best]), uncertainty(mine, copies.locus)
    return {
        "allele": copies.locus.counted,
        "unknown": f"{unknown:.1f}",
        "seedlings": SEEDLINGS,
        "tried": len(mates),
        "tried_all": tried_all,
        "best": [
            {"plant": plants[key], "itself": key == plant.pk, "bits": f"{bits:.2f}",
             "part": percent(bits / unknown), "width": width(bits / unknown)}
            for key, bits in best if key in plants
        ],
    }  # fmt: skip


def _mates(
    held: GardenCopies, copies: Copies, symbol: str, target: int, sets: Sets
) -> tuple[list[int], bool]:
    """Growing plants with the same sets, and the plant itself; whether these are all there are."""
    same = [each for each in standings(held, symbol)
            if each.plant != target and copies.sets(each.plant) == sets]  # fmt: skip
    known = sorted(same, key=lambda each: each.unsure)[:MOST_MATES]
    return [target, *(each.plant for each in known)], len(known) == len(same)
