"""How a plant passes on its copies: the default by class, and the sentence that says so.

Only one thing differs between the ways: how likely two copies *of one gamete* are to be alike by
descent. A pair of plants follows the same recursion whatever the way, so that all ways meet in
one pedigree.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Mode(StrEnum):
    """How the sets of chromosomes of a plant pair when it makes gametes."""

    # Any set with any other of its kind: tetrasomic for tetraploids. Double reduction may happen.
    POLYSOMIC = "polysomic"
    # Pairs of two: diploids, and plants of several diploid sets that do not pair with each other.
    # Two copies of one gamete come from different pairs, and are never alike by descent.
    DISOMIC = "disomic"
    # Odd or unlike sets, as in intermediates: taken as if they paired at random.
    UNEVEN = "uneven"


@dataclass(frozen=True, slots=True)
class Inheritance:
    """What the sums assume of a plant: its sets of chromosomes, how they pair, and why."""

    ploidy: int
    mode: Mode
    reason: str


TETRASOMIC = "48 chromosomes, four sets of twelve that pair with each other: tetrasomic"
BY_CLASS = {
    "TB": Inheritance(4, Mode.POLYSOMIC, TETRASOMIC),
    "BB": Inheritance(4, Mode.POLYSOMIC, TETRASOMIC),
    "MTB": Inheritance(2, Mode.DISOMIC, "24 chromosomes: disomic"),
    "SPECIES": Inheritance(2, Mode.DISOMIC, "taken as a diploid: disomic"),
    "SDB": Inheritance(
        4, Mode.DISOMIC,
        "40 chromosomes, two diploid sets (8 + 8 and 12 + 12) that hardly pair with each other: "
        "disomic within each",
    ),
    "IB": Inheritance(
        4, Mode.UNEVEN, "44 chromosomes (8 + 12 + 12 + 12): taken as four sets that pair at random"
    ),
    "MDB": Inheritance(
        4, Mode.UNEVEN,
        "dwarfs of several make-ups, often 36 chromosomes (8 + 8 + 8 + 12): "
        "taken as four sets that pair at random",
    ),
    "AB": Inheritance(
        4, Mode.UNEVEN,
        "sets from arils and bearded irises: taken as four sets that pair at random",
    ),
}  # fmt: skip
NO_CLASS = Inheritance(4, Mode.POLYSOMIC, "no class recorded: taken as a tall bearded iris")
BY_CHROMOSOMES = {
    24: Inheritance(2, Mode.DISOMIC, "24 chromosomes: disomic"),
    16: Inheritance(2, Mode.DISOMIC, "16 chromosomes: disomic"),
    32: Inheritance(4, Mode.POLYSOMIC, "32 chromosomes, four sets of eight: tetrasomic"),
    36: BY_CLASS["MDB"],
    40: BY_CLASS["SDB"],
    44: BY_CLASS["IB"],
    48: BY_CLASS["TB"],
}


def mode_of_ploidy(ploidy: int) -> Mode:
    """How sets pair where nothing but their number is known.

    Examples
    --------
    >>> [mode_of_ploidy(sets).value for sets in (2, 3, 4)]
    ['disomic', 'uneven', 'polysomic']
    """
    if ploidy <= 2:
        return Mode.DISOMIC
    return Mode.UNEVEN if ploidy % 2 else Mode.POLYSOMIC


def inheritance(
    iris_class: str = "", chromosomes: int | None = None, ploidy: int | None = None
) -> Inheritance:
    """What the sums assume of a plant, from as much of its record as there is.

    Parameters
    ----------
    iris_class : str
        Code of the horticultural class, for example 'TB'; empty when unknown.
    chromosomes : int, optional
        Somatic count, 2n. Speaks before the class.
    ploidy : int, optional
        Recorded sets of chromosomes. Speaks last: where it contradicts the default, it wins.

    Returns
    -------
    Inheritance

    Notes
    -----
    Chromosome numbers of the classes as in lists of growers; a standard dwarf "acts like a
    diploid" when crossed with its like.

    Examples
    --------
    >>> inheritance("SDB").mode.value, inheritance("MTB", ploidy=4).mode.value
    ('disomic', 'polysomic')
    """
    found = BY_CHROMOSOMES.get(chromosomes or 0) or BY_CLASS.get(iris_class, NO_CLASS)
    if ploidy is None or ploidy == found.ploidy:
        return found
    mode = mode_of_ploidy(ploidy)
    return Inheritance(ploidy, mode, f"recorded with {ploidy} sets of chromosomes: {mode}")


def sentence(kinds: set[tuple[int, Mode]], double_reduction: float, guesses: list[str]) -> str:
    """Say which rule gave a number.

    Parameters
    ----------
    kinds : set of (ploidy, Mode)
        What stands among the plants and their ancestors.
    double_reduction : float
        Lambda of the tetrasomic plants, fraction, 0–1.
    guesses : list of str
        Plants with uneven sets that passed copies on.

    Examples
    --------
    >>> sentence({(2, Mode.DISOMIC)}, 0.0, [])
    'Diploid rule (Wright 1922).'
    """
    if len(kinds) == 1:
        said = _one_kind(*next(iter(kinds)), double_reduction)
    else:
        ploidies = "x, ".join(str(sets) for sets in sorted({sets for sets, _ in kinds}))
        said = (
            f"Rule for mixed make-ups ({ploidies}x; Hamilton and Kerr 2018), "
            f"double reduction {double_reduction:.4g}."
        )
    if not guesses:
        return said
    named = ", ".join(guesses[:3]) + (f" and {len(guesses) - 3} more" if len(guesses) > 3 else "")
    return (
        f"{said} An approximation: {named} passed on copies from sets that are odd or unlike, "
        "taken as if they paired at random."
    )


def _one_kind(ploidy: int, mode: Mode, double_reduction: float) -> str:
    if ploidy <= 2:
        return "Diploid rule (Wright 1922)."
    if mode is Mode.DISOMIC:
        return (
            f"Diploid rule (Wright 1922) within each of the {ploidy // 2} diploid sets, "
            "which hardly pair with each other."
        )
    if ploidy == 4 and mode is Mode.POLYSOMIC:
        return (
            "Tetrasomic rule (Kerr et al. 2012; Hamilton and Kerr 2018), "
            f"double reduction {double_reduction:.4g}."
        )
    return f"Rule for {ploidy} sets that pair at random (Hamilton and Kerr 2018)."
