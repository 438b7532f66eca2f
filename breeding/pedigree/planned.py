"""Seedlings that nobody has raised yet: what is to be expected of a cross."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass

from breeding.pedigree import words
from breeding.pedigree.pedigree import Pedigree
from breeding.pedigree.rules import Mode

SEED, POLLEN, CHILD = range(3)


class CannotCross(ValueError):
    """Why nothing can be said of the seedlings of a pair, in a sentence."""


@dataclass(frozen=True, slots=True)
class Seedlings:
    """What is expected of the seedlings of a pair, both gametes reduced.

    Attributes
    ----------
    ploidy : int
        Sets of chromosomes.
    mode : Mode
        How their sets pair: as in both parents, or uneven where those differ.
    inbreeding : float
        0–1; as `Pedigree.inbreeding` would tell it of such a seedling.
    words : str
        Which cross of plants from unrelated founders would give seedlings as inbred.
    """

    ploidy: int
    mode: Mode
    inbreeding: float
    words: str


def seedlings(pedigree: Pedigree, a: Hashable, b: Hashable) -> Seedlings:
    """What is to be expected of the seedlings of `a` × `b`, which the pedigree need not hold.

    Parameters
    ----------
    pedigree : Pedigree
    a, b : plants
        The same one for a selfing.

    Returns
    -------
    Seedlings

    Raises
    ------
    CannotCross
        If a parent has an odd number of sets, so that its gametes are not known.
    UnknownPlant

    Notes
    -----
    In tetraploids a gamete may carry copies alike by descent, so that seedlings of unrelated
    parents may be inbred. Time as of `Pedigree.kinship`.

    Examples
    --------
    >>> from breeding.pedigree import Pedigree
    >>> family = {"A": (None, None), "B": (None, None), "C": ("A", "B"), "D": ("A", "B")}
    >>> seedlings(Pedigree(family, ploidy=2), "C", "D").words
    'a cross of full sibs, or a backcross to a parent'
    """
    sets = [pedigree.ploidy(plant) for plant in (a, b)]
    for plant, many in zip((a, b), sets, strict=True):
        if many % 2:
            # The key as the pedigree holds it, which may print better than one equal to it.
            named = pedigree._keys[pedigree._row(plant)]
            raise CannotCross(
                f"{named} has {many} set{'s' if many > 1 else ''} of chromosomes, an odd number: "
                "what its pollen and eggs carry cannot be told, and they seldom work."
            )
    modes = [pedigree.mode(plant) for plant in (a, b)]
    ploidy = sum(sets) // 2
    mode = modes[0] if modes[0] is modes[1] and ploidy % 2 == 0 else Mode.UNEVEN
    if ploidy == 2:
        mode = Mode.DISOMIC
    # A family of three has the coefficients; what the parents share comes from the whole pedigree.
    three = Pedigree(
        {SEED: (None, None), POLLEN: (None, None), CHILD: (SEED, SEED if a == b else POLLEN)},
        ploidy={SEED: sets[0], POLLEN: sets[1], CHILD: ploidy},
        double_reduction=pedigree.double_reduction,
        modes={SEED: modes[0], POLLEN: modes[1], CHILD: mode},
    )
    memory, r, child = pedigree._memory, three._recursion, three._at(CHILD)
    places = pedigree._at(a), pedigree._at(b)
    of_parents = [memory.inbreeding(place) for place in places]
    found = float(
        r.base[child] + r.own[child] @ of_parents + r.cross[child] * memory.kinship(*places)
    )
    told = three._told_inbreeding(three._row(CHILD), found)
    within = 2 if mode is Mode.DISOMIC else ploidy
    said = words.seedlings(told, within, pedigree.double_reduction)
    return Seedlings(ploidy, mode, told, said)
