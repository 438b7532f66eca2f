"""Contributions, founders, common ancestors, paths and completeness."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from breeding.pedigree import Pedigree
from breeding.pedigree import paths as paths_module
from tests.breeding.test_pedigree_kinship import Family, families

NOBODY = (None, None)
COUSINS = {
    "A": NOBODY, "B": NOBODY, "C": NOBODY, "D": NOBODY, "P": ("A", "B"), "Q": ("B", "A"),
    "X": ("P", "C"), "Y": ("Q", "D"), "Z": ("X", "Y"), "H": ("A", None), "I": ("H", None),
}  # fmt: skip
GARDEN = Pedigree(COUSINS, ploidy=4)


def test_contributions__of_founders_and_others_largest_first() -> None:
    found = GARDEN.contributions("Z")
    assert found == {"X": 0.5, "Y": 0.5, "A": 0.25, "B": 0.25, "C": 0.25, "D": 0.25,
                     "P": 0.25, "Q": 0.25}  # fmt: skip
    assert list(found.values()) == sorted(found.values(), reverse=True)


def test_contributions__of_a_founder_are_none() -> None:
    assert GARDEN.contributions("A") == {}


def test_contributions__count_copies_in_a_triploid() -> None:
    triploid = Pedigree({"T": NOBODY, "D": NOBODY, "C": ("D", "T")}, {"T": 4, "D": 2, "C": 3})
    assert triploid.contributions("C") == pytest.approx({"T": 2 / 3, "D": 1 / 3})


def test_founders__of_cousins_child() -> None:
    found = GARDEN.founders("Z")
    assert found.shares == {"A": 0.25, "B": 0.25, "C": 0.25, "D": 0.25}
    assert (found.unknown, found.equivalents) == (0, 4)


def test_founders__count_every_unknown_parent() -> None:
    found = GARDEN.founders("I")
    assert found.shares == {"A": 0.25}
    assert found.unknown == 0.75
    assert found.equivalents == pytest.approx(1 / (0.25**2 + 0.25**2 + 0.5**2))


def test_founders__of_a_founder_are_itself() -> None:
    assert GARDEN.founders("A").shares == {"A": 1.0}
    assert GARDEN.founders("A").equivalents == 1


@given(families(), st.sampled_from([2, 4]))
def test_founders__make_the_whole_plant(family: Family, sets: int) -> None:
    pedigree = Pedigree(family, sets)
    for plant in family:
        found = pedigree.founders(plant)
        assert sum(found.shares.values()) + found.unknown == pytest.approx(1)
        assert found.equivalents >= 1


def test_common_ancestors__nearest_first_with_generations() -> None:
    found = GARDEN.common_ancestors("X", "Q")
    assert list(found) == ["A", "B"]
    assert found["A"].generations == (2, 1)
    assert found["A"].shares == (0.25, 0.5)


def test_common_ancestors__may_be_one_of_the_two() -> None:
    found = GARDEN.common_ancestors("A", "X")
    assert {key: one.generations for key, one in found.items()} == {"A": (0, 2)}


def test_common_ancestors__of_strangers_are_none() -> None:
    assert GARDEN.common_ancestors("C", "D") == {}


def test_common_paths__of_first_cousins_written_out() -> None:
    found = GARDEN.common_paths("X", "Y")
    assert {str(path) for path in found.paths} == {"X ← P ← A → Q → Y", "X ← P ← B → Q → Y"}
    assert [path.kinship for path in found.paths] == [1 / 64, 1 / 64]
    assert str(found) == "2 paths, all there are."


def test_common_paths__of_strangers_are_none() -> None:
    found = GARDEN.common_paths("C", "D")
    assert (found.paths, found.explained, found.complete) == ((), 1.0, True)


def test_common_paths__say_what_they_leave_out() -> None:
    found = GARDEN.common_paths("X", "Y", most=1)
    assert len(found.paths) == 1
    told = "The path that weighs most makes 50.0% of the number; more are left out."
    assert str(found) == told


@given(families(most=9), st.sampled_from([2, 4]), st.sampled_from([0.0, 1 / 6]))
def test_common_paths__add_up_to_the_kinship(family: Family, sets: int, rate: float) -> None:
    pedigree = Pedigree(family, sets, rate)
    for a, b in combinations(family, 2):
        found = pedigree.common_paths(a, b, most=5_000)
        total = sum(path.kinship for path in found.paths)
        assert total == pytest.approx(pedigree.kinship(a, b), abs=1e-12)
        for path in found.paths:
            assert path.up[-1] == path.down[0]
            assert not set(path.up[:-1]) & set(path.down[1:])


def test_common_paths__end_in_a_garden_of_many_generations() -> None:
    wide: dict = {(0, place): NOBODY for place in range(8)}
    for row in range(1, 20):
        for place in range(8):
            wide[row, place] = ((row - 1, place), (row - 1, (place + 1) % 8))
    found = Pedigree(wide, 4).common_paths((19, 0), (19, 4), most=20)
    assert not found.complete
    assert 0 <= found.explained < 0.1
    assert len(found.paths) <= 20


def test_common_paths__stop_after_the_steps_allowed(monkeypatch) -> None:
    monkeypatch.setattr(paths_module, "MOST_STEPS", 3)
    assert GARDEN.common_paths("X", "Y").paths == ()


def test_completeness__by_generation() -> None:
    assert GARDEN.completeness("Z", 4) == [1.0, 1.0, 0.5, 0.0]
    assert GARDEN.completeness("I", 3) == [0.5, 0.25, 0.0]
    assert GARDEN.completeness("A", 2) == [0.0, 0.0]


@given(families(), st.integers(0, 6))
def test_completeness__never_grows_with_the_generations(family: Family, many: int) -> None:
    known = Pedigree(family).completeness(max(family), many)
    assert len(known) == many
    assert known == sorted(known, reverse=True)
    assert all(0 <= part <= 1 for part in known)
