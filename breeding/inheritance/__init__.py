"""What a cross may give: gametes and seedlings at loci of any ploidy, and numbers to grow."""

from __future__ import annotations

from breeding.inheritance.fit import Fit, goodness_of_fit
from breeding.inheritance.gametes import (
    disomic_gamete_frequencies,
    gamete_frequencies,
    progeny_frequencies,
)
from breeding.inheritance.growing import (
    chance_of_at_least,
    seedlings_to_grow,
    seedlings_to_tell_apart,
)

__all__ = [
    "Fit",
    "chance_of_at_least",
    "disomic_gamete_frequencies",
    "gamete_frequencies",
    "goodness_of_fit",
    "progeny_frequencies",
    "seedlings_to_grow",
    "seedlings_to_tell_apart",
]
