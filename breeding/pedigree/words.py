"""Numbers in words: which relatives would have this number, and which rule gave it."""

from __future__ import annotations

from collections.abc import Hashable
from functools import lru_cache
from typing import TYPE_CHECKING

from breeding.pedigree import kinship
from breeding.pedigree.rules import Mode, sentence

if TYPE_CHECKING:
    from breeding.pedigree.pedigree import Pedigree

MEANING = (
    "What is to be expected from the recorded parents, founders taken as unrelated. "
    "Not a test of the plants' DNA."
)
# Two founder pairs and what can be bred from them; every outside parent is a founder of its own.
FAMILY = {
    "A": (None, None), "B": (None, None), "C": (None, None), "D": (None, None),
    "E": (None, None), "G": (None, None),
    "selfed": ("A", "A"), "selfed twice": ("selfed", "selfed"),
    "sib 1": ("A", "B"), "sib 2": ("A", "B"), "half sib": ("A", "C"),
    "backcross": ("sib 1", "A"),
    "cousin 1": ("sib 1", "D"), "cousin 2": ("sib 2", "E"), "half cousin": ("half sib", "E"),
    "second cousin 1": ("cousin 1", "G"), "second cousin 2": ("cousin 2", "C"),
    "of selfing": ("A", "A"), "of selfed selfing": ("selfed", "selfed"),
    "of sibs": ("sib 1", "sib 2"), "of half sibs": ("sib 1", "half sib"),
    "of cousins": ("cousin 1", "cousin 2"), "of half cousins": ("cousin 1", "half cousin"),
    "of second cousins": ("second cousin 1", "second cousin 2"),
    "of strangers": ("A", "B"),
}  # fmt: skip
PAIRS = (
    ("selfed", "selfed twice", "a once selfed plant and its selfed seedling"),
    ("A", "selfed", "a plant and its selfed seedling"),
    ("A", "backcross", "a backcross seedling and the parent used twice"),
    ("sib 1", "sib 2", "full sibs, or parent and seedling"),
    ("sib 1", "half sib", "half sibs, or grandparent and grandchild"),
    ("cousin 1", "cousin 2", "first cousins"),
    ("cousin 1", "half cousin", "half first cousins"),
    ("second cousin 1", "second cousin 2", "second cousins"),
)
SEEDLINGS = (
    ("of selfed selfing", "selfing twice"),
    ("of selfing", "selfing"),
    ("of sibs", "a cross of full sibs, or a backcross to a parent"),
    ("of half sibs", "a cross of half sibs"),
    ("of cousins", "a cross of first cousins"),
    ("of half cousins", "a cross of half first cousins"),
    ("of second cousins", "a cross of second cousins"),
    ("of strangers", "a cross of unrelated plants"),
)
SAME = 1e-6


@lru_cache(maxsize=64)
def _relations(ploidy: int, double_reduction: float) -> tuple[list, list]:
    """(relationship, words) of pairs and (inbreeding, words) of seedlings, largest first."""
    from breeding.pedigree.pedigree import Pedigree

    family = Pedigree(FAMILY, ploidy, double_reduction)
    pairs = [(family.relationship(a, b), said) for a, b, said in PAIRS]
    seedlings = [(family.inbreeding(plant), said) for plant, said in SEEDLINGS]
    return sorted(pairs, reverse=True), sorted(seedlings, reverse=True)


def _even(ploidy: int) -> int:
    """Standard relations are told for even numbers of sets; a triploid by a tetraploid's."""
    return ploidy + ploidy % 2


def _placed(number: float, table: list[tuple[float, str]], lowest: str) -> str:
    """`number` among the standard ones, largest first."""
    for value, said in table:
        if abs(number - value) <= SAME:
            return said
    above = [said for value, said in table if value > number]
    below = [said for value, said in table if value < number]
    if not above:
        return f"more than {below[0]}"
    return f"between {above[-1]}, and {below[0]}" if below else f"less than {lowest}"


def relatives(relationship: float, ploidy: int = 4, double_reduction: float = 0.0) -> str:
    """What kind of relatives would have this relationship.

    Parameters
    ----------
    relationship : float
        Additive relationship, kinship × √(ploidies), on which all make-ups compare.
    ploidy : int
        Sets of chromosomes; of two plants the larger number. 2 within sets that do not pair.
    double_reduction : float
        λ, 0–1.

    Returns
    -------
    str

    Examples
    --------
    >>> relatives(0.25)
    'half sibs, or grandparent and grandchild'
    >>> relatives(0.2)
    'between half sibs, or grandparent and grandchild, and first cousins'
    """
    if relationship <= 0:
        return "no common ancestor is recorded"
    table = _relations(_even(ploidy), float(double_reduction))[0]
    return _placed(relationship, table, table[-1][1])


def seedlings(inbreeding: float, ploidy: int = 4, double_reduction: float = 0.0) -> str:
    """Which cross of plants from unrelated founders would give seedlings as inbred.

    Parameters
    ----------
    inbreeding : float
        F of the seedlings, 0–1.
    ploidy : int
        Their sets of chromosomes; 2 within sets that do not pair.
    double_reduction : float
        λ, 0–1.

    Returns
    -------
    str

    Examples
    --------
    >>> seedlings(1 / 6), seedlings(0.5, ploidy=2)
    ('selfing', 'selfing')
    """
    table = _relations(_even(ploidy), float(double_reduction))[1]
    return _placed(inbreeding, table, table[-1][1])


def of_pair(pedigree: Pedigree, a: Hashable, b: Hashable) -> str:
    """What kind of relatives would have the relationship of two plants; see `relatives`."""
    if a == b:
        return "the same plant"
    sets = max(
        2 if pedigree.mode(plant) is Mode.DISOMIC else pedigree.ploidy(plant) for plant in (a, b)
    )
    return relatives(pedigree.relationship(a, b), sets, pedigree.double_reduction)


def rule(pedigree: Pedigree, a: Hashable, b: Hashable) -> str:
    """Say which rule gave the numbers of two plants, and where it is an approximation.

    Parameters
    ----------
    pedigree : Pedigree
    a, b : plants
        The same one for its inbreeding.

    Returns
    -------
    str

    Notes
    -----
    Time grows with the ancestors.

    Examples
    --------
    >>> from breeding.pedigree import Pedigree
    >>> Pedigree({"A": (None, None)}, ploidy=2).rule("A")
    'Diploid rule (Wright 1922).'
    """
    import numpy as np

    places = [pedigree._at(plant) for plant in (a, b)]
    family = pedigree._plant_at[np.flatnonzero(kinship.ancestors(pedigree._recursion, places))]
    sets, modes = pedigree._checked.ploidy[family].tolist(), pedigree._modes[family].tolist()
    givers = set(pedigree._checked.parent[family].ravel().tolist())
    guesses = [
        str(pedigree._keys[row])
        for row, mode in zip(family.tolist(), modes, strict=True)
        if mode is Mode.UNEVEN and row in givers
    ]
    return sentence(set(zip(sets, modes, strict=True)), pedigree.double_reduction, guesses)
