"""Rules of inheritance by class, the sentence that tells them, and numbers in words."""

from __future__ import annotations

import pytest

from breeding.pedigree import Mode, Pedigree, inheritance, words

NOBODY = (None, None)


@pytest.mark.parametrize(
    ("iris_class", "sets", "mode"),
    [
        ("TB", 4, Mode.POLYSOMIC), ("BB", 4, Mode.POLYSOMIC), ("MTB", 2, Mode.DISOMIC),
        ("SPECIES", 2, Mode.DISOMIC), ("SDB", 4, Mode.DISOMIC), ("IB", 4, Mode.UNEVEN),
        ("MDB", 4, Mode.UNEVEN), ("AB", 4, Mode.UNEVEN), ("", 4, Mode.POLYSOMIC),
    ],
)  # fmt: skip
def test_inheritance__by_class(iris_class: str, sets: int, mode: Mode) -> None:
    found = inheritance(iris_class)
    assert (found.ploidy, found.mode) == (sets, mode)


def test_inheritance__chromosomes_speak_before_the_class() -> None:
    assert inheritance("MTB", chromosomes=48).mode is Mode.POLYSOMIC
    assert inheritance("SPECIES", chromosomes=32).ploidy == 4


def test_inheritance__recorded_ploidy_wins() -> None:
    found = inheritance("TB", ploidy=3)
    assert (found.ploidy, found.mode) == (3, Mode.UNEVEN)
    assert inheritance("SDB", ploidy=4).mode is Mode.DISOMIC


def told(ploidy: object, **modes: Mode) -> str:
    family = {"A": NOBODY, "B": NOBODY, "C": ("A", "B"), "D": ("C", "B")}
    return Pedigree(family, ploidy, 1 / 6, modes=modes).rule("C", "D")


def test_rule__of_diploids() -> None:
    assert told(2) == "Diploid rule (Wright 1922)."


def test_rule__of_tetraploids() -> None:
    assert told(4) == (
        "Tetrasomic rule (Kerr et al. 2012; Hamilton and Kerr 2018), double reduction 0.1667."
    )


def test_rule__of_standard_dwarfs() -> None:
    assert told(4, **dict.fromkeys("ABCD", Mode.DISOMIC)) == (
        "Diploid rule (Wright 1922) within each of the 2 diploid sets, "
        "which hardly pair with each other."
    )


def test_rule__of_mixed_make_ups_that_are_exact() -> None:
    text = told(4, A=Mode.DISOMIC, D=Mode.UNEVEN)
    assert text.startswith("Rule for mixed make-ups (4x;")
    assert "approximation" not in text


def test_rule__names_an_intermediate_that_passed_copies_on() -> None:
    text = told(4, A=Mode.DISOMIC, C=Mode.UNEVEN)
    assert "An approximation: C passed on copies" in text


def test_rule__of_intermediates_alone() -> None:
    text = told(4, **dict.fromkeys("ABCD", Mode.UNEVEN))
    assert text.startswith("Rule for 4 sets that pair at random")
    assert "A, B, C passed on" in text.replace("and ", "")


def test_rule__does_not_see_plants_outside_the_family() -> None:
    family = {"A": NOBODY, "B": ("A", None), "D": NOBODY}
    assert "Tetrasomic" in Pedigree(family, {"A": 4, "B": 4, "D": 2}).rule("B")


def test_kinship__of_a_dwarf_and_its_intermediate_seedling() -> None:
    family = {"dwarf": NOBODY, "tall": NOBODY, "mid": ("dwarf", "tall")}
    pedigree = Pedigree(family, 4, modes={"dwarf": Mode.DISOMIC, "mid": Mode.UNEVEN})
    assert pedigree.kinship("dwarf", "mid") == 1 / 8
    assert pedigree.relationship("dwarf", "mid") == 1 / 2
    assert pedigree.kinship("dwarf", "dwarf") == 1 / 2


# Relations of section "standard relations": Wright 1922 for diploids, Kerr et al. 2012 and
# Hamilton & Kerr 2018 for tetraploids (relationship is 2 K or 4 K).
@pytest.mark.parametrize(
    ("kinship", "sets", "rate", "said"),
    [
        (1 / 4, 2, 0, "full sibs"), (1 / 8, 2, 0, "half sibs"), (1 / 16, 2, 0, "first cousins"),
        (1 / 8, 4, 0, "full sibs"), (1 / 16, 4, 0, "half sibs"), (1 / 32, 4, 0, "first cousins"),
        (3 / 20, 4, 1 / 7, "full sibs"), (1 / 13, 4, 1 / 6, "half sibs"),
        (3 / 16, 4, 0, "a backcross"), (1 / 4, 4, 0, "a plant and its selfed"),
    ],
)  # fmt: skip
def test_relatives__of_published_relations(kinship, sets, rate, said) -> None:
    assert words.relatives(kinship * sets, sets, rate).startswith(said)


def test_relatives__between_and_beyond() -> None:
    assert words.relatives(0) == "no common ancestor is recorded"
    assert words.relatives(0.3).startswith("between full sibs, or parent and seedling, and half")
    assert words.relatives(0.001) == "less than second cousins"
    assert words.relatives(1.9).startswith("more than ")


@pytest.mark.parametrize(
    ("inbreeding", "sets", "rate", "said"),
    [
        (1 / 2, 2, 0, "selfing"), (1 / 6, 4, 0, "selfing"), (11 / 39, 4, 1 / 6, "selfing"),
        (1 / 12, 4, 0, "a cross of full sibs"), (7 / 39, 4, 1 / 6, "a cross of full sibs"),
        (1 / 24, 4, 0, "a cross of half sibs"), (1 / 48, 4, 0, "a cross of first cousins"),
        (0, 4, 0, "a cross of unrelated"), (1 / 13, 4, 1 / 6, "a cross of unrelated"),
    ],
)  # fmt: skip
def test_seedlings__of_published_crosses(inbreeding, sets, rate, said) -> None:
    assert words.seedlings(inbreeding, sets, rate).startswith(said)


def test_of_pair__takes_the_diploid_table_for_dwarfs() -> None:
    family = {"A": NOBODY, "S": ("A", "A"), "H": ("A", None), "I": ("A", None)}
    dwarfs = Pedigree(family, 4, 1 / 6, modes=dict.fromkeys(family, Mode.DISOMIC))
    assert words.of_pair(dwarfs, "H", "I").startswith("half sibs")
    assert words.of_pair(dwarfs, "A", "A") == "the same plant"
