"""What a cross may give: gametes and seedlings at loci of any ploidy, and numbers to grow.

Loci as data, how their types look and how they are read stand in `loci`, `painting` and `reading`;
tables of chances, which need numpy, in `matrices`.
"""

from __future__ import annotations

from breeding.inheritance.drawing import gamete_states, gametes
from breeding.inheritance.fit import Fit, goodness_of_fit
from breeding.inheritance.gametes import (
    disomic_gamete_frequencies,
    gamete_frequencies,
    progeny_frequencies,
)
from breeding.inheritance.genotypes import progeny
from breeding.inheritance.growing import (
    chance_of_at_least,
    seedlings_to_grow,
    seedlings_to_tell_apart,
)
from breeding.inheritance.loci import (
    Confidence,
    Locus,
    Type,
    locus_from_mapping,
    locus_to_mapping,
    visible,
)
from breeding.inheritance.sets import Genotype, Part, Sets, genotypes, totals
from breeding.inheritance.severalloci import joint_outcomes, progeny_of_loci, types_of_progeny
from breeding.inheritance.uniting import united

__all__ = [
    "Confidence",
    "Fit",
    "Genotype",
    "Locus",
    "Part",
    "Sets",
    "Type",
    "chance_of_at_least",
    "disomic_gamete_frequencies",
    "gamete_frequencies",
    "gamete_states",
    "gametes",
    "genotypes",
    "goodness_of_fit",
    "joint_outcomes",
    "locus_from_mapping",
    "locus_to_mapping",
    "progeny",
    "progeny_frequencies",
    "progeny_of_loci",
    "seedlings_to_grow",
    "seedlings_to_tell_apart",
    "totals",
    "types_of_progeny",
    "united",
    "visible",
]
