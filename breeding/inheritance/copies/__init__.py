"""Copies of alleles from evidence: own flowers, parents, seedlings counted by type, all at once.

Plain data in, plain data out. A locus is a working hypothesis, and so is every number here.
"""

from __future__ import annotations

from collections.abc import Collection, Hashable, Mapping, Sequence
from typing import TYPE_CHECKING

from breeding.inheritance.copies.told import Contradiction, Family, Odds, Support

if TYPE_CHECKING:
    from breeding.inheritance.copies.answer import Copies
    from breeding.inheritance.loci import Locus
    from breeding.pedigree import Pedigree

__all__ = ["Contradiction", "Family", "Odds", "Support", "infer"]


def infer(
    pedigree: Pedigree,
    locus: Locus,
    seen: Mapping[Hashable, Collection[str] | Mapping[str, float]],
    families: Sequence[Family] = (),
    *,
    double_reduction: float = 0.0,
    mistakes: float = 0.01,
    frequencies: Mapping[str, float] | None = None,
) -> Copies:
    """Chances of every plant's copies, from all evidence at once.

    Parameters
    ----------
    pedigree : Pedigree
        Plants, parents, sets and their pairing, gametes that were not reduced.
    locus : Locus
    seen : mapping of plant to collection of str, or to mapping of str to float
        Keys of the types that a plant's flower can be of; taken as certain. Of a flower that may
        be read in more than one way, how likely it would look so if it were of each type (above
        0, on any scale). Leave out a plant whose flower tells nothing.
    families : sequence of Family
        Seedlings counted by type that are no plants of the pedigree.
    double_reduction : float
        Rate α of tetrasomic plants, 0–1/6 in theory; others have none.
    mistakes : float
        Chance that a seedling's recorded parents are wrong, above 0 and below 0.5: of these 70 %
        by strange pollen, 30 % by a mistaken tag (a convention). The same chance that all
        seedlings of a counted family are, then from one strange plant or two.
    frequencies : mapping of allele to float, optional
        In the garden at large: of founders, unknown pollen and strange parents. Estimated from the
        founders when not given, and averaged over where that leaves much open and the sums are
        exact (two alleles).

    Returns
    -------
    Copies

    Raises
    ------
    UnknownPlant
        If a plant that was seen or crossed is not in the pedigree.
    ValueError
        If a type, an allele or a number cannot be.

    Notes
    -----
    A network of genotypes: founders by the frequencies, seedlings by their parents' gametes mixed
    with mistakes, so that nothing is impossible. Seedlings without offspring are summed out; what
    is left is solved exactly where it can be, else by messages with a stated error.
    Time grows with plants and crosses: thousands in seconds.

    Examples
    --------
    >>> from breeding.inheritance.loci import Confidence, Locus, Type
    >>> from breeding.pedigree import Pedigree
    >>> v = Locus("V", "violet", ("V", "v"), (Type("violet", "violet", (("V", 1),)),
    ...           Type("white", "white")), "example", Confidence.SUPPOSED)
    >>> garden = Pedigree({"Dusk": (None, None), "Snow": (None, None)}, ploidy=4)
    >>> told = infer(garden, v, {"Dusk": ["violet"], "Snow": ["white"]},
    ...              [Family("Dusk", "Snow", {"violet": 11, "white": 9})])
    >>> max(range(5), key=told.copies("Dusk").__getitem__)
    1
    """
    from breeding.inheritance.copies.inferring import infer as inferred

    return inferred(
        pedigree, locus, seen, families, double_reduction=double_reduction, mistakes=mistakes,
        frequencies=frequencies,
    )  # fmt: skip
