"""What the pages of kinship show, gathered from the garden's pedigree."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from breeding import kinmap
from breeding.blooming import GardenBloom
from breeding.kin import GardenPedigree, Named, assumed
from breeding.pedigree import Mode, words
from breeding.pedigree.paths import CommonAncestor, CommonPath
from breeding.pedigree.planned import CannotCross, Seedlings, seedlings
from breeding.pedigree.relatives import relationship_table, relationships
from garden.models import Plant

GENERATIONS = 5
MOST_ANCESTORS = 12
MOST_PATHS = 8
MOST_RELATIVES = 12
# Nobody is called little related who is nearer than this.
HALF_SIBS = 0.25
# Open together more often than not.
MOSTLY = 0.5
MOST_FOUNDERS = 12
# So many of the least related are looked at more closely, where very many are equal.
MOST_WEIGHED = 400
NOBODY = "no common ancestor is recorded"
OPENINGS = ("between", "more than", "less than", "no common", "the same")


def percent(part: float) -> str:
    """'4.2 %'; what is there but would be written as nothing is 'under 0.1 %'."""
    if 0 < part < 0.0005:
        return "under 0.1\u202f%"
    text = f"{100 * part:.1f}".removesuffix(".0")
    return f"{text}\u202f%"


def as_relatives(said: str) -> str:
    """'As half sibs, or grandparent and grandchild', 'Between half sibs …'."""
    return said[0].upper() + said[1:] if said.startswith(OPENINGS) else f"As {said}"


def as_cross(said: str) -> str:
    """'as of selfing', 'between a cross of half sibs, and …'."""
    return said if said.startswith(OPENINGS) else f"as of {said}"


@dataclass(frozen=True, slots=True)
class Outlook:
    """What is expected of a pair's seedlings; `refusal` where nothing can be said."""

    seedlings: Seedlings | None
    words: str
    refusal: str = ""

    @property
    def inbreeding(self) -> str:
        return percent(self.seedlings.inbreeding) if self.seedlings else ""

    @property
    def odd(self) -> bool:
        """Whether the seedlings would have an odd number of sets."""
        return self.seedlings is not None and self.seedlings.ploidy % 2 == 1


def outlook(held: GardenPedigree, a: int, b: int) -> Outlook:
    """What is expected of the seedlings of `a` × `b`, in words."""
    try:
        found = seedlings(held.pedigree, a, b)
    except CannotCross as refusal:
        return Outlook(None, "", str(refusal))
    if held.pedigree.kinship(a, b) > 0:
        return Outlook(found, as_cross(found.words))
    if found.inbreeding <= 0:
        return Outlook(found, NOBODY)
    return Outlook(found, f"from within the parents; {NOBODY}")


def bare(held: GardenPedigree, *plants: Plant) -> list[str]:
    """The names of those plants of which no parent is known, each once.

    Not of those whose recorded parents had to be left out: a note says that.
    """
    return [
        plant.label
        for plant in dict.fromkeys(plants)
        if held.pedigree.parents(plant.pk) == (None, None) and not any(held.notes_of((plant.pk,)))
    ]


def pair(held: GardenPedigree, a: Plant, b: Plant) -> dict[str, Any]:
    """The page of two plants. Time grows with their ancestors."""
    pedigree, one, other = held.pedigree, a.pk, b.pk
    common = list(pedigree.common_ancestors(one, other).values())
    paths = pedigree.common_paths(one, other, MOST_PATHS)
    known = [pedigree.completeness(plant, GENERATIONS) for plant in (one, other)]
    return {
        "kinship": pedigree.kinship(one, other),
        "relationship": pedigree.relationship(one, other),
        "words": as_relatives(words.of_pair(pedigree, one, other)),
        "outlook": outlook(held, one, other),
        "rule": pedigree.rule(one, other),
        "assumed": [(plant, assumed(plant)) for plant in ([a] if one == other else [a, b])],
        "ancestors": [(one.plant, _back(one, 0), _back(one, 1)) for one in common[:MOST_ANCESTORS]],
        "more_ancestors": max(0, len(common) - MOST_ANCESTORS),
        "paths": [{"steps": _steps(path), "part": percent(path.kinship)} for path in paths.paths],
        "paths_said": str(paths),
        "known": [
            (number, percent(of_a), percent(of_b))
            for number, (of_a, of_b) in enumerate(zip(*known, strict=True), 1)
        ],
        "unknown": bare(held, a, b),
        "notes": list(held.notes_of((one, other))),
        "meaning": words.MEANING,
        "double_reduction": pedigree.double_reduction,
    }


def _back(common: CommonAncestor, side: int) -> str:
    """'2 back, 25 %'."""
    generations = common.generations[side]
    return f"{generations} back, {percent(common.shares[side])}" if generations else "itself"


def _steps(path: CommonPath) -> list[dict[str, Any]]:
    """The plants of a path with the arrow before each; the one at the top is marked."""
    up = [{"plant": plant, "arrow": "←", "top": False} for plant in path.up]
    up[0]["arrow"], up[-1]["top"] = "", True
    return up + [{"plant": plant, "arrow": "→", "top": False} for plant in path.down[1:]]


def one_plant(
    held: GardenPedigree, plant: Plant, bloom: GardenBloom | None = None
) -> dict[str, Any]:
    """The page of one plant. Time grows with the number of plants of the stock."""
    pedigree, pk = held.pedigree, plant.pk
    inbreeding = pedigree.inbreeding(pk)
    founders = pedigree.founders(pk)
    within = 2 if pedigree.mode(pk) is Mode.DISOMIC else pedigree.ploidy(pk)
    said = words.seedlings(inbreeding, within, pedigree.double_reduction)
    named = [
        (key, percent(part))
        for key, part in pedigree.contributions(pk).items()
        if key.is_named and pedigree.parents(key) != (None, None)
    ]
    near, far = neighbours(held, plant, bloom)
    shown = Plant.objects.in_bulk([key for key, *_ in (*near, *far)])
    is_founder = pedigree.parents(pk) == (None, None)
    return {
        "inbreeding": percent(inbreeding),
        "words": "" if is_founder else as_cross(said),
        "rule": pedigree.rule(pk),
        "assumed": assumed(plant),
        "is_founder": is_founder,
        "founders": [(key, percent(part)) for key, part in founders.shares.items()][:MOST_FOUNDERS],
        "more_founders": max(0, len(founders.shares) - MOST_FOUNDERS),
        "unknown": percent(founders.unknown) if founders.unknown else "",
        "equivalents": f"{founders.equivalents:.1f}",
        "named": named[:MOST_FOUNDERS],
        "known": [(n, percent(part)) for n, part in
                  enumerate(pedigree.completeness(pk, GENERATIONS), 1)],
        "days_known": bloom is not None and bloom.noted,
        "near": [(shown[key], number, said) for key, number, said in near if key in shown],
        "far": [(shown[key], number, known) for key, number, known in far if key in shown],
        "notes": list(held.notes_of([pk])),
        "meaning": words.MEANING,
    }  # fmt: skip


def neighbours(
    held: GardenPedigree, plant: Plant, bloom: GardenBloom | None = None
) -> tuple[list[tuple[Named, float, str]], list[tuple[Named, float, str]]]:
    """Closest relatives growing here, and the least related of the same class in bloom with it:
    as its days of bloom tell, or else of the same recorded season.

    Returns
    -------
    list of (plant, relationship, words), closest first
    list of (plant, relationship, known part of three generations), least related first; of
        equals those whose pedigree tells most
    """
    pedigree = held.pedigree
    found = zip(pedigree.keys(), relationships(pedigree, plant.pk).tolist(), strict=True)
    here = [(key, number) for key, number in found if held.lines[key].growing and key != plant.pk]
    near = sorted((pair for pair in here if pair[1] > 1e-12), key=lambda pair: -pair[1])
    open_with = _open_with(held, plant.pk, [key for key, _ in here], bloom)
    mates = [pair for pair in here if pair[0] in open_with and pair[1] < HALF_SIBS]
    mates = sorted(mates, key=lambda pair: pair[1])[:MOST_WEIGHED]
    weighed = [(key, number, sum(pedigree.completeness(key, 3)) / 3) for key, number in mates]
    weighed.sort(key=lambda mate: (round(mate[1], 9), -mate[2]))
    return (
        [(key, number, as_relatives(words.of_pair(pedigree, plant.pk, key)))
         for key, number in near[:MOST_RELATIVES]],
        [(key, number, percent(known)) for key, number, known in weighed[:MOST_RELATIVES]],
    )  # fmt: skip


def _open_with(
    held: GardenPedigree, plant: int, here: list[Named], bloom: GardenBloom | None
) -> set[int]:
    """Plants of its class that are open with it in most years."""
    line = held.lines[plant]
    alike = [key for key in here if held.lines[key].iris_class == line.iris_class]
    if bloom is None or not bloom.noted:
        return {key for key in alike if line.season and held.lines[key].season == line.season}
    season = bloom.calendar.season(bloom.key[-1])
    met = bloom.meetings(plant, [key.pk for key in alike], season)
    return {key for key, meeting in met.items() if meeting.together >= MOSTLY}


def mapped(held: GardenPedigree, plants: Sequence[Plant]) -> dict[str, Any]:
    """The heat map of a set of plants, its table, and its closest pairs."""
    pedigree = held.pedigree
    numbers = relationship_table(pedigree, [plant.pk for plant in plants])
    order = kinmap.nearness_order(numbers) if len(plants) > 1 else list(range(len(plants)))
    chosen = [plants[at] for at in order]
    table = numbers[order][:, order].tolist()
    inbred = [pedigree.inbreeding(plant.pk) for plant in chosen]
    titles = [
        [_cell_title(held, a, b, table[row][column]) for column, b in enumerate(chosen)]
        for row, a in enumerate(chosen)
    ]
    names = [plant.label for plant in chosen]
    label = f"Relationships of {len(names)} plants; the same numbers stand in the table below."
    pairs = [(table[i][j], chosen[i], chosen[j]) for i in range(len(chosen)) for j in range(i)]
    close = sorted((one for one in pairs if one[0] > 1e-9), key=lambda one: -one[0])
    rows = [[percent(inbred[at]) if at == column else f"{number:.2f}"
             for column, number in enumerate(row)] for at, row in enumerate(table)]  # fmt: skip
    return {
        "ordered": chosen,
        "picture": kinmap.picture(names, table, inbred, titles, label),
        "legend": kinmap.legend(),
        "rows": list(zip(chosen, rows, strict=True)),
        "closest": [(number, a, b) for number, a, b in close[:MOST_RELATIVES]],
        "unrelated": len(pairs) - len(close),
        "pairs": len(pairs),
        "notes": list(held.notes_of([plant.pk for plant in plants])),
        "meaning": words.MEANING,
    }


def _cell_title(held: GardenPedigree, a: Plant, b: Plant, relationship: float) -> str:
    pedigree = held.pedigree
    if a == b:
        return f"{a}: inbreeding {percent(pedigree.inbreeding(a.pk))}"
    sets = max(
        2 if pedigree.mode(key) is Mode.DISOMIC else pedigree.ploidy(key) for key in (a.pk, b.pk)
    )
    said = words.relatives(relationship, sets, pedigree.double_reduction)
    said = as_relatives(said)
    return f"{a} and {b}: {relationship:.3f}. {said}"
