"""Kinships, chances and bloom of planned crosses, as they are said to a breeder."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from breeding.pedigree import Mode, Pedigree, inheritance
from breeding.pedigree.words import FAMILY, PAIRS

if TYPE_CHECKING:
    from breeding.flowering import Overlap

SAME = 1e-6
# Who the standard relations are told for, the closest first.
TOLD = ("full sibs, or parent and seedling", "half sibs, or grandparent and grandchild",
        "first cousins", "second cousins")  # fmt: skip
THIN = "\u202f"


def kin(number: float) -> str:
    """'0.125', '0.03125', '0.0613', '0': what relatives have is written in full."""
    halves = round(number * 128) / 128
    digits = 7 if abs(number - halves) < 1e-9 else 4
    return f"{number:.{digits}f}".rstrip("0").rstrip(".") if number >= 5e-5 else "0"


@lru_cache(maxsize=64)
def relations(iris_class: str, double_reduction: float) -> tuple[tuple[float, str], ...]:
    """(kinship, words) of standard relatives in a class, the closest first."""
    found = inheritance(iris_class)
    family = Pedigree(
        FAMILY, found.ploidy, double_reduction, modes=dict.fromkeys(FAMILY, found.mode)
    )
    told = [(family.kinship(a, b), said) for a, b, said in PAIRS if said in TOLD]
    return tuple(sorted(told, reverse=True))


@lru_cache(maxsize=64)
def own_kinship(iris_class: str, double_reduction: float) -> float:
    """Kinship of a plant from unrelated parents with itself."""
    found = inheritance(iris_class)
    plant = {"A": (None, None)}
    family = Pedigree(plant, found.ploidy, double_reduction, modes={"A": found.mode})
    return float(family.kinship("A", "A"))


def pair_limit_words(limit: float, iris_class: str, double_reduction: float) -> str:
    """What a limit of kinship for one pair lets through."""
    table = relations(iris_class, double_reduction)
    closest = table[0][0]
    if limit >= own_kinship(iris_class, double_reduction):
        return "no pair is too near"
    if limit > closest + SAME:
        return f"nearer than {table[0][1]}"
    for number, said in table:
        if limit >= number - SAME:
            return f"as near as {said}"
    return "only pairs less related than second cousins"


def alike(kinship: float, iris_class: str, double_reduction: float) -> float:
    """How many unrelated plants, used alike, would make a programme of this kinship."""
    return own_kinship(iris_class, double_reduction) / kinship if kinship > 0 else float("inf")


def set_words(kinship: float, iris_class: str, double_reduction: float) -> str:
    """'as from 6.4 unrelated parents, each used alike'."""
    many = alike(kinship, iris_class, double_reduction)
    if many >= 999:
        return "as from unrelated parents without number"
    number = f"{many:.0f}" if many >= 9.95 else f"{many:.1f}".removesuffix(".0")
    return f"as from {number} unrelated parent{'' if number == '1' else 's'}, used alike"


def set_limit_words(limit: float | None, iris_class: str, double_reduction: float) -> str:
    """What a goal's limit for the whole set says, None where it says none."""
    if limit is None:
        return "balanced: a middle point of what kinship costs"
    if limit >= 1:
        return "no limit of kinship"
    return f"kinship up to {kin(limit)}: {set_words(limit, iris_class, double_reduction)}"


def ploidy_words(iris_class: str) -> str:
    """Whose kinships the standard ones are: 'tetraploids', 'diploids'."""
    found = inheritance(iris_class)
    if found.mode is Mode.DISOMIC and found.ploidy > 2:
        return "standard dwarfs, within each pair of sets"
    return {2: "diploids", 4: "tetraploids"}.get(found.ploidy, f"plants with {found.ploidy} sets")


def meeting_words(meeting: Overlap, seed: str, pollen: str) -> tuple[str, str]:
    """How seed and pollen parent (the overlap's first and second plant) meet: in short, and what
    is to be done about it."""
    if meeting.chance >= 0.5:
        days = f"{meeting.days:.0f}" if meeting.days >= 0.5 else "under 1"
        return f"{days} day{'' if days in ('1', 'under 1') else 's'} together", ""
    if meeting.a_first:
        return "hardly together", f"{seed} is over first: the other way round, with its pollen kept"
    return "hardly together", f"{pollen} is over first: keep its pollen"


def weight(number: float) -> str:
    """'½', '1', '1.5'."""
    return {0.25: "¼", 0.5: "½", 0.75: "¾"}.get(number, f"{number:g}")
