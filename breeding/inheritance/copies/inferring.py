"""The way from a pedigree and what was seen to the copies of every plant."""

from __future__ import annotations

from collections.abc import Collection, Hashable, Mapping, Sequence
from typing import TYPE_CHECKING

import numpy as np

from breeding.inheritance.copies import averaging, frequency
from breeding.inheritance.copies.answer import Copies
from breeding.inheritance.copies.building import build
from breeding.inheritance.copies.chances import Chances
from breeding.inheritance.copies.contradicting import contradictions
from breeding.inheritance.copies.garden import Garden, read_garden
from breeding.inheritance.copies.matings import Plan, plan
from breeding.inheritance.copies.predicting import Told, by_itself, tell
from breeding.inheritance.copies.told import Family
from breeding.inheritance.network import TooWide, approximate, exact, solve

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from breeding.inheritance.loci import Locus
    from breeding.pedigree import Pedigree

    Array = NDArray[np.float64]

# Gardens with more parents than this are not tried with every parent in the network.
SMALL = 300
# Entries of the largest table of an exact answer.
MOST = 2**20
# While frequencies are estimated messages need not settle further.
ROUNDS, ROUGHLY = 40, 1e-3
AVERAGED = " Averaged over every such frequency that the founders leave open."


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
    """See `breeding.inheritance.copies.infer`."""
    if not 0 < mistakes < 0.5:
        raise ValueError("The chance of a mistake lies between 0 and a half.")
    garden = read_garden(pedigree, locus, seen, families, double_reduction)
    work = _Work(garden, locus, mistakes)
    shares = work.estimated() if frequencies is None else frequency.given(locus, frequencies)
    chances = work.chances(shares)
    told, used = work.solved(chances)
    found = contradictions(garden, used, chances, told)
    method = _method(told, frequencies is None)
    if frequencies is None and averaging.worth_it(garden, told, len(locus.alleles)):
        mean = averaging.averaged(
            garden, told, shares, work.chances, lambda tables: work.solved(tables)[0]
        )
        if mean is not None:
            told, chances = mean
            method += AVERAGED
    return Copies(garden, chances, told, found, method)


class _Work:
    """A garden that is solved again and again with other frequencies."""

    def __init__(self, garden: Garden, locus: Locus, mistakes: float) -> None:
        self.garden, self.locus, self.mistakes = garden, locus, mistakes
        self.speaking, self.whole = plan(garden, whole=False), plan(garden, whole=True)

    def chances(self, frequencies: Array) -> Chances:
        """All tables at these frequencies."""
        return Chances(self.locus, frequencies, self.mistakes)

    def estimated(self) -> Array:
        """Frequencies that fit what the founders can be."""
        guess = frequency.guess(self.garden, len(self.locus.alleles), self.chances)
        return frequency.estimate(self.founders_copies, guess)

    def founders_copies(self, frequencies: Array) -> Array:
        """Expected copies of each allele in all founders, given all evidence."""
        chances = self.chances(frequencies)
        built = build(self.garden, self.speaking, chances)
        beliefs = approximate(built.network, ROUNDS, ROUGHLY)
        marginals = {
            at: beliefs.marginal(built.variable[at])
            if at in built.variable
            else by_itself(self.garden, chances, at)
            for at, kind in enumerate(self.garden.kinds)
            if kind is None
        }
        return frequency.founders_copies(self.garden, marginals, len(self.locus.alleles))

    def solved(self, chances: Chances) -> tuple[Told, Plan]:
        """Every plant's chances, exactly if all its parents fit into one answer."""
        if len(self.garden.children) <= SMALL:
            built = build(self.garden, self.whole, chances)
            try:
                beliefs = exact(built.network, MOST)
                return tell(self.garden, self.whole, chances, built, beliefs), self.whole
            except TooWide:
                pass
        built = build(self.garden, self.speaking, chances)
        beliefs = solve(built.network, MOST)
        return tell(self.garden, self.speaking, chances, built, beliefs), self.speaking


def _method(told: Told, estimated: bool) -> str:
    """How the numbers were found: first how well, then on what they rest, then how."""
    rest = (
        "How common each allele is in the garden at large was estimated from its founders."
        if estimated
        else "How common each allele is in the garden at large was given."
    )
    every, exactly = len(told.exact), sum(told.exact.values())
    if exactly == every:
        return f"Worked out exactly for all plants. {rest} Sums over all at once (junction tree)."
    errors = [error for error in told.error.values() if error > 0]
    how_well = (
        f"mostly right to within {100 * max(errors):.1g} %"
        if errors
        else "nobody can say how far off these are"
    )
    rounds = told.beliefs.rounds
    moving = "" if told.beliefs.settled else ", and had not come to rest"
    return (
        f"Worked out exactly for {exactly} of {every} plants, roughly for the others: {how_well}. "
        f"{rest} Plants told each other what they know, along the lines of the pedigree, "
        f"{rounds} times{moving} (an approximation: loopy belief propagation)."
    )
