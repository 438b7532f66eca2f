"""Pedigrees that cannot be, and what ploidy tells of gametes."""

from __future__ import annotations

import random

import pytest

from breeding.pedigree import Mode, Pedigree, PedigreeError
from breeding.pedigree.copies import read_copies

NOBODY = (None, None)


def faults(parents: dict, ploidy: object = 4, **more) -> list[str]:
    with pytest.raises(PedigreeError) as caught:
        Pedigree(parents, ploidy, **more)
    return [str(fault) for fault in caught.value.faults]


def test_pedigree__names_a_plant_that_is_its_own_parent() -> None:
    assert faults({"A": ("A", None)}) == ["A: is among its own ancestors: A ← A"]


def test_pedigree__names_every_plant_of_a_loop() -> None:
    looped = {"A": ("C", None), "B": ("A", None), "C": ("B", None), "D": ("C", "A")}
    assert faults(looped) == ["A: is among its own ancestors: A ← C ← B ← A"]


def test_pedigree__names_each_of_two_loops() -> None:
    looped = {"A": ("B", None), "B": ("A", None), "C": NOBODY, "D": ("E", "C"), "E": (None, "D")}
    assert [fault[0] for fault in faults(looped)] == ["A", "D"]


def test_pedigree__finds_a_loop_in_a_large_garden() -> None:
    chance = random.Random(1)
    family = {n: (chance.randrange(n), chance.randrange(n)) if n else NOBODY for n in range(20_000)}
    family[0] = (19_999, None)
    (fault,) = faults(family)
    assert fault.split(": ")[-1].split(" ← ")[0] == fault.split(" ← ")[-1]


def test_pedigree__names_a_parent_that_is_not_listed() -> None:
    assert faults({"A": ("B", "C")}) == [
        "A: seed parent B is not listed", "A: pollen parent C is not listed",
    ]  # fmt: skip


def test_from_rows__names_a_plant_listed_twice() -> None:
    with pytest.raises(PedigreeError, match="A: is listed twice") as caught:
        Pedigree.from_rows([("A", None, None), ("B", None, None), ("A", "B", None)])
    assert [fault.place for fault in caught.value.faults] == [2]


def test_pedigree__tells_faults_of_every_kind_at_once() -> None:
    told = faults({"A": ("A", None), "B": ("X", None), None: NOBODY}, {"A": 4, "B": "4", None: 4})
    assert [line.split(": ")[0] for line in told] == ["A", "B", "B", "None"]


@pytest.mark.parametrize("sets", [0, -2, 17, "4", 2.5, True, None])
def test_pedigree__refuses_a_ploidy_that_is_none(sets: object) -> None:
    assert "ploidy" in faults({"A": NOBODY}, {"A": sets})[0]


# (child, seed parent, pollen parent; 0 unknown) -> copies from each.
READ = {
    (2, 2, 2): (1, 1), (4, 4, 4): (2, 2), (3, 4, 2): (2, 1), (6, 6, 6): (3, 3), (5, 6, 4): (3, 2),
    # Not reduced: one gamete, or both.
    (4, 4, 2): (2, 2), (4, 2, 4): (2, 2), (5, 4, 2): (4, 1), (4, 2, 2): (2, 2), (6, 4, 4): None,
    (3, 2, 2): None, (6, 4, 2): (4, 2),
    # Odd sets give the smaller or the larger half.
    (3, 3, 4): (1, 2), (4, 3, 4): (2, 2), (3, 3, 3): None,
    # An unknown parent gave the rest, and no more than half.
    (4, 0, 0): (2, 2), (3, 0, 0): (2, 1), (4, 4, 0): (2, 2), (4, 0, 4): (2, 2), (3, 4, 0): (2, 1),
    (3, 2, 0): (1, 2), (4, 2, 0): (2, 2), (6, 4, 0): (4, 2),
    # No way.
    (8, 2, 2): None, (2, 4, 4): None, (1, 4, 0): None, (2, 4, 0): None,
}  # fmt: skip


@pytest.mark.parametrize(("sets", "copies"), READ.items())
def test_read_copies__takes_the_only_reading(sets: tuple, copies: tuple | None) -> None:
    if copies is None:
        with pytest.raises(ValueError, match="reading is possible"):
            read_copies(*sets)
    else:
        assert read_copies(*sets) == copies


def test_read_copies__of_a_selfed_plant_needs_no_side() -> None:
    assert sorted(read_copies(3, 2, 2, selfed=True)) == [1, 2]


def test_pedigree__names_a_plant_whose_ploidy_has_more_than_one_reading() -> None:
    told = faults({"A": NOBODY, "B": NOBODY, "C": ("A", "B")}, {"A": 2, "B": 2, "C": 3})
    assert told == ["C: ploidy 3 from 2 × 2: more than one reading is possible"]


def test_pedigree__names_a_plant_whose_ploidy_cannot_be() -> None:
    assert faults({"A": NOBODY, "C": ("A", None)}, {"A": 4, "C": 2}) == [
        "C: ploidy 2 from 4 × unknown: no reading is possible"
    ]


def test_gametes__settle_what_ploidy_leaves_open() -> None:
    family = {"A": NOBODY, "B": NOBODY, "C": ("A", "B")}
    pedigree = Pedigree(family, {"A": 2, "B": 2, "C": 3}, gametes={"C": ((2, 0.5), (1, 0.0))})
    assert pedigree.contributions("C") == {"A": pytest.approx(2 / 3), "B": pytest.approx(1 / 3)}
    assert pedigree.inbreeding("C") == pytest.approx(0.5 / 3)


@pytest.mark.parametrize("wrong", [((1, 0.0), (1, 0.0)), ((2, 2.0), (2, 0.0)), ((5, 0), (-1, 0))])
def test_gametes__must_make_the_plant(wrong: tuple) -> None:
    assert faults({"A": NOBODY}, 4, gametes={"A": wrong})


def test_gametes__double_only_in_diploid_gametes_of_tetraploids() -> None:
    family = {"T": NOBODY, "D": NOBODY, "tri": ("T", "D"), "tetra": ("T", "D"), "half": ("D", None)}
    pedigree = Pedigree(family, {"T": 4, "D": 2, "tri": 3, "tetra": 4, "half": 4}, 0.1)
    assert pedigree.gametes("tri") == ((2, 0.1), (1, 0.0))
    assert pedigree.gametes("tetra") == ((2, 0.1), (2, 0.0))
    assert pedigree.gametes("half") == ((2, 0.0), (2, 0.1))


def test_gametes__of_plants_with_paired_sets_do_not_double() -> None:
    pedigree = Pedigree(
        {"A": NOBODY, "S": ("A", "A")}, 4, 0.1, modes=dict.fromkeys("AS", Mode.DISOMIC)
    )
    assert pedigree.gametes("S") == ((2, 0.0), (2, 0.0))
