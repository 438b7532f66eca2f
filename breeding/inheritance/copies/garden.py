"""The pedigree and what was seen, read once: plants as numbers, seedlings by mating and kind."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Hashable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import product
from math import inf
from typing import TYPE_CHECKING

from breeding.inheritance.copies.kinds import Kind, Side
from breeding.inheritance.copies.told import Family, Hint, for_certain
from breeding.inheritance.genotypes import Sets
from breeding.inheritance.loci import types_of
from breeding.pedigree import Mode

if TYPE_CHECKING:
    from breeding.inheritance.loci import Locus
    from breeding.pedigree import Pedigree

# The known parents of a seedling: one row (selfed, or the other unknown) or two, the seed first.
Mates = tuple[int, ...]
# Types that a flower can be of, for certain or by their weights.
Allowed = frozenset[str] | Hint


@dataclass(frozen=True, slots=True)
class Counted:
    """A family by the numbers of its parents; `place` is its place among those told."""

    place: int
    mates: Mates
    kinds: tuple[Kind, ...]
    counts: tuple[int, ...]


@dataclass(slots=True)
class Garden:
    """Plants by their number, in the order of the pedigree.

    Attributes
    ----------
    keys, sets, double, mates, kinds
        Of each plant; a founder has no mates and no kind.
    seen : dict of int to frozenset of str
        Types that plants can be, of those whose flower tells something.
    impossible : dict of int to frozenset of str
        Types seen that no plant with these sets can have; they tell nothing.
    families : list of Counted
    children : dict of int to list of int
        Of every plant that has any; a selfed one once.
    order : list of int
        All plants, parents before their children.
    """

    keys: list[Hashable]
    sets: list[Sets]
    double: list[float]
    mates: list[Mates] = field(default_factory=list)
    kinds: list[Kind | None] = field(default_factory=list)
    seen: dict[int, Allowed] = field(default_factory=dict)
    impossible: dict[int, frozenset[str]] = field(default_factory=dict)
    families: list[Counted] = field(default_factory=list)
    children: dict[int, list[int]] = field(default_factory=lambda: defaultdict(list))
    order: list[int] = field(default_factory=list)

    def certain(self, at: int) -> bool:
        """Whether its flower was seen to be of a type."""
        return for_certain(self.seen.get(at)) is not None

    def of_families(self) -> dict[int, list[Counted]]:
        """The families of every plant that is a parent of any."""
        found: dict[int, list[Counted]] = defaultdict(list)
        for family in self.families:
            for mate in family.mates:
                found[mate].append(family)
        return dict(found)


def read_garden(
    pedigree: Pedigree,
    locus: Locus,
    seen: Mapping[Hashable, Collection[str] | Mapping[str, float]],
    families: Sequence[Family],
    double_reduction: float,
) -> Garden:
    """Read and check everything that was told.

    Raises
    ------
    UnknownPlant
        If a plant that was seen or crossed is not in the pedigree.
    ValueError
        If a type is none of the locus, a plant is seen as no type at all, or a count is negative.
    """
    keys = pedigree.keys()
    row = {key: at for at, key in enumerate(keys)}
    modes = [pedigree.mode(key) for key in keys]
    sets = [Sets.of(pedigree.ploidy(key), mode) for key, mode in zip(keys, modes, strict=True)]
    double = [
        double_reduction if mode is Mode.POLYSOMIC and told.ploidy == 4 else 0.0
        for mode, told in zip(modes, sets, strict=True)
    ]
    garden = Garden(keys, sets, double)
    for at, key in enumerate(keys):
        seed, pollen = (row.get(parent, -1) for parent in pedigree.parents(key))
        mates, kind = _origin(garden, at, seed, pollen, pedigree)
        garden.mates.append(mates)
        garden.kinds.append(kind)
        for mate in mates:
            garden.children[mate].append(at)
    garden.order = _in_order(garden)
    types = [each.key for each in locus.types]
    for plant, allowed in seen.items():
        pedigree.ploidy(plant)
        if isinstance(allowed, Mapping):
            _hint(garden, row[plant], allowed, types)
        else:
            _see(garden, row[plant], frozenset(allowed), types, locus)
    for place, family in enumerate(families):
        told = _counted(garden, place, family, row, pedigree, types)
        if told is not None:
            garden.families.append(told)
    return garden


def _origin(
    garden: Garden, child: int, seed: int, pollen: int, pedigree: Pedigree
) -> tuple[Mates, Kind | None]:
    """Known parents of a plant, and the kind of seedling it is."""
    given = [copies for copies, _ in pedigree.gametes(garden.keys[child])]
    rows = [parent if copies else -1 for parent, copies in zip((seed, pollen), given, strict=True)]
    known = [parent >= 0 for parent in rows]
    if not any(known):
        return (), None
    sides = [
        _side(garden, child, parent, copies) for parent, copies in zip(rows, given, strict=True)
    ]
    selfed = rows[0] == rows[1]
    kind = Kind(
        garden.sets[child], sides[0], sides[1], known[0], known[1], selfed, garden.double[child]
    )
    return _mates(rows[0], rows[1]), kind


def _mates(seed: int, pollen: int) -> Mates:
    if seed == pollen:
        return (seed,)
    return tuple(parent for parent in (seed, pollen) if parent >= 0)


def _side(garden: Garden, child: int, parent: int, size: int) -> Side:
    """A gamete of so many sets; an unknown parent is taken to be such as the child is."""
    if parent >= 0:
        return Side(garden.sets[parent], size, garden.double[parent])
    like = garden.sets[child]
    if size * 2 == like.ploidy:
        return Side(like, size, garden.double[child])
    return Side(Sets((min(2 * size, 8) or 1,)), size)


def _in_order(garden: Garden) -> list[int]:
    """Parents before children, without recursion."""
    waiting = [len(mates) for mates in garden.mates]
    order = [at for at, count in enumerate(waiting) if not count]
    for at in order:
        for child in garden.children.get(at, ()):
            waiting[child] -= 1
            if not waiting[child]:
                order.append(child)
    return order


def _see(garden: Garden, at: int, allowed: frozenset[str], types: list[str], locus: Locus) -> None:
    if not allowed:
        raise ValueError(f"{garden.keys[at]}: a flower that was seen is of some type.")
    strange = sorted(allowed.difference(types))
    if strange:
        raise ValueError(f"{garden.keys[at]}: {strange[0]} is no type of this locus.")
    if not any(types[place] in allowed for place in set(types_of(locus, garden.sets[at]))):
        garden.impossible[at] = allowed
    elif len(allowed) < len(types):
        garden.seen[at] = allowed


def _hint(garden: Garden, at: int, weights: Mapping[str, float], types: list[str]) -> None:
    """A flower that makes some types likelier and rules none out."""
    if strange := sorted(set(weights).difference(types)):
        raise ValueError(f"{garden.keys[at]}: {strange[0]} is no type of this locus.")
    if len(weights) < len(types) or not all(0 < weight < inf for weight in weights.values()):
        raise ValueError(f"{garden.keys[at]}: every type has a weight above 0.")
    garden.seen[at] = Hint((key, float(weight)) for key, weight in weights.items())


def _counted(
    garden: Garden,
    place: int,
    family: Family,
    row: Mapping[Hashable, int],
    pedigree: Pedigree,
    types: list[str],
) -> Counted | None:
    """A family by numbers; None when nothing was counted."""
    for key, count in family.counts.items():
        if key not in types:
            raise ValueError(f"{key} is no type of this locus.")
        if count < 0:
            raise ValueError(f"{count} seedlings cannot be counted.")
    for parent in (family.seed, family.pollen):
        if parent is not None:
            pedigree.ploidy(parent)
    counts = tuple(int(family.counts.get(key, 0)) for key in types)
    seed, pollen = (
        -1 if parent is None else row[parent] for parent in (family.seed, family.pollen)
    )
    if not any(counts) or seed < 0 > pollen:
        return None
    return Counted(place, _mates(seed, pollen), _family_kinds(garden, seed, pollen), counts)


def _family_kinds(garden: Garden, seed: int, pollen: int) -> tuple[Kind, ...]:
    """Seedlings from reduced gametes, one kind for each size they may have.

    Only their copies in all show, so all lie in one group.
    """
    like = seed if seed >= 0 else pollen
    parents = [parent if parent >= 0 else like for parent in (seed, pollen)]
    found = []
    for sizes in product(*(_reduced(garden.sets[at].ploidy) for at in parents)):
        one, other = (
            Side(garden.sets[at], size, garden.double[at])
            for at, size in zip(parents, sizes, strict=True)
        )
        double = min(one.double, other.double) if sum(sizes) == 4 else 0.0
        child = Sets((sum(sizes),))
        found.append(Kind(child, one, other, seed >= 0, pollen >= 0, seed == pollen, double))
    return tuple(found)


def _reduced(ploidy: int) -> list[int]:
    """Sets in a reduced gamete; of an odd number either part, as likely."""
    return sorted({half for half in (ploidy // 2, ploidy - ploidy // 2) if half})
