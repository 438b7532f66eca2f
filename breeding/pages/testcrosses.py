"""Test crosses for one plant at one locus: which mates would tell most of it, and why."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from breeding.blooming import the_bloom
from breeding.heredity import GardenCopies
from breeding.pages.expected import uneven
from breeding.pages.expectwords import percent, width
from breeding.pages.locirows import hedged, standings
from breeding.pages.planseason import coming_season
from garden.models import Garden, Plant

if TYPE_CHECKING:
    from breeding.inheritance.copies import Copies
    from breeding.inheritance.sets import Sets

SEEDLINGS, MOST_TESTERS = 20, 3
# Of more mates than this only those are tried whose own copies are best known.
MOST_MATES = 300
# Fewer bits than this no cross is made for.
LEAST_BITS = 0.005
# Shares of what is open that are settled: from here on much, from there on a part.
MUCH, SOME = 0.6, 0.25


def testers(held: GardenCopies, garden: Garden, plant: Plant, symbol: str) -> dict[str, Any]:
    """The plants of the same sets whose seedlings with this one would tell most. A query, and
    those of the bloom."""
    from breeding.inheritance.telling import uncertainty

    copies = held.of(symbol)
    mates, tried_all = _mates(held, copies, symbol, plant.pk, copies.sets(plant.pk))
    best = ranked(held, copies, plant.pk, mates)
    plants = Plant.live.in_bulk([key for key, _ in best])
    unknown = uncertainty(copies.genotypes(plant.pk), copies.locus)
    together = _together(garden, plant.pk, [key for key, _ in best if key != plant.pk])
    return {
        "allele": copies.locus.counted,
        "unknown": f"{unknown:.1f}",
        "seedlings": SEEDLINGS,
        "tried": len(mates),
        "tried_all": tried_all,
        "best": [
            {"plant": plants[key], "itself": key == plant.pk, "bits": f"{bits:.2f}",
             "part": percent(min(bits / unknown, 0.999)), "width": width(bits / unknown),
             "tells": settles(bits / unknown), "together": together.get(key, ""),
             "why": hedged(copies.copies(key), copies.locus.counted, 2)}
            for key, bits in best if key in plants
        ],
    }  # fmt: skip


def settles(part: float) -> str:
    """How much of what is open a cross would settle.

    >>> [settles(part) for part in (0.8, 0.3, 0.1)]
    ['tells much', 'tells a part', 'tells little']
    """
    return "tells much" if part >= MUCH else "tells a part" if part >= SOME else "tells little"


def ranked(
    held: GardenCopies, copies: Copies, target: int, mates: list[int]
) -> list[tuple[int, float]]:
    """The best of some mates with the bits that a cross with each is expected to tell."""
    from breeding.inheritance.parents import Mating
    from breeding.inheritance.telling import best_testers

    sets = copies.sets(target)
    told = {key: copies.genotypes(key) for key in mates}
    kinds = {key: (uneven(held, target), uneven(held, key)) for key in mates}
    matings = {key: Mating(sets, sets, sets, held.key[2], kind) for key, kind in kinds.items()}
    found = best_testers(
        copies.genotypes(target), told, copies.locus, matings, SEEDLINGS, itself=target
    )
    return [(key, bits) for key, bits in found if bits > LEAST_BITS][:MOST_TESTERS]


def _together(garden: Garden, plant: int, others: list[int]) -> dict[int, str]:
    """The chance that each blooms on a day with the plant in the season that comes; before the
    first note of bloom nothing can be said."""
    bloom = the_bloom(garden)
    season = coming_season(bloom.calendar, bloom.key[-1])
    met = bloom.meetings(plant, others, season)
    return {key: percent(min(meeting.together, 0.999)) for key, meeting in met.items()}


def _mates(
    held: GardenCopies, copies: Copies, symbol: str, target: int, sets: Sets
) -> tuple[list[int], bool]:
    """Growing plants with the same sets, and the plant itself; whether these are all there are."""
    same = [each for each in standings(held, symbol)
            if each.plant != target and copies.sets(each.plant) == sets]  # fmt: skip
    known = sorted(same, key=lambda each: each.unsure)[:MOST_MATES]
    return [target, *(each.plant for each in known)], len(known) == len(same)
