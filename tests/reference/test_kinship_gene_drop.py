"""Kinship against a simulation of our own: labelled copies handed down, many times over.

Nothing of the recursion is used here. Plants are told by their sets of chromosomes and gametes
are formed as the rule says; the error of the simulation is its own standard error.
"""

from __future__ import annotations

import numpy as np
import pytest

from breeding.pedigree import Mode, Pedigree

LOCI, ERRORS = 60_000, 4.5
FAMILY = {
    "A": (None, None), "B": (None, None), "C": (None, None),
    "P": ("A", "B"), "Q": ("A", "B"), "H": ("P", "C"), "S": ("P", "P"), "X": ("P", "Q"),
    "U": ("X", None), "Y": ("X", "S"), "Z": ("Y", "H"), "V": ("U", "Z"),
}  # fmt: skip


class Drop:
    """Copies of every plant at LOCI independent loci, shape (LOCI, ploidy)."""

    def __init__(self, seed: int, rate: float, paired: frozenset[str] = frozenset()) -> None:
        self.chance = np.random.default_rng(seed)
        self.rate, self.paired, self.labels, self.copies = rate, paired, 0, {}

    def founder(self, sets: int) -> np.ndarray:
        """Fresh labels; in tetraploids one pair alike so often that any two are λ/(2+λ)."""
        found = np.tile(np.arange(self.labels, self.labels + sets), (LOCI, 1))
        self.labels += sets
        if sets == 4 and self.rate:
            alike = self.chance.random(LOCI) < 6 * self.rate / (2 + self.rate)
            found[alike, 1] = found[alike, 0]
            found = self.chance.permuted(found, axis=1)
        return found

    def gamete(self, plant: np.ndarray, many: int, paired: bool) -> np.ndarray:
        """`many` copies: different ones, or by double reduction twice the same."""
        if paired:
            picks = self.chance.integers(0, 2, (LOCI, 2)) + np.array([0, 2])
        else:
            order = np.argsort(self.chance.random(plant.shape), axis=1)
            picks = order[:, :many]
            if many == 2 and plant.shape[1] == 4:
                twice = self.chance.random(LOCI) < self.rate
                picks[twice, 1] = picks[twice, 0]
        return np.take_along_axis(plant, picks, axis=1)

    def cross(self, name: str, seed: str | None, pollen: str | None, copies: tuple) -> None:
        sides = [
            self.gamete(
                self.founder(2 * many) if up is None else self.copies[up],
                many,
                (name if up is None else up) in self.paired,
            )
            for up, many in zip((seed, pollen), copies, strict=True)
        ]
        child = np.concatenate(sides, axis=1)
        # Sets that pair stand together: the first two, the last two.
        self.copies[name] = child[:, [0, 2, 1, 3]] if name in self.paired else child

    def drop(self, family: dict, sets: dict, copies: dict) -> None:
        for name, (seed, pollen) in family.items():
            if seed is None and pollen is None:
                self.copies[name] = self.founder(sets[name])
            else:
                self.cross(name, seed, pollen, copies[name])

    def kinship(self, a: str, b: str) -> tuple[float, float]:
        """Mean and standard error of the chance that a copy of each is the same."""
        left, right = self.copies[a], self.copies[b]
        same = (left[:, :, None] == right[:, None, :]).mean(axis=(1, 2))
        return float(same.mean()), float(same.std() / np.sqrt(LOCI))


def off(drop: Drop, pedigree: Pedigree, scale: float = 1.0) -> list[tuple]:
    """Pairs whose kinship is further from the simulated one than its error allows."""
    wrong = []
    for a in drop.copies:
        for b in drop.copies:
            mean, error = drop.kinship(a, b)
            if abs(pedigree.kinship(a, b) - mean * scale) > ERRORS * error * scale + 1e-4:
                wrong.append((a, b, pedigree.kinship(a, b), mean * scale))
    return wrong


@pytest.mark.parametrize(("sets", "rate"), [(2, 0.0), (4, 0.0), (4, 1 / 6)])
def test_kinship__lies_within_the_error_of_a_gene_drop(sets: int, rate: float) -> None:
    drop = Drop(seed=14, rate=rate)
    drop.drop(FAMILY, dict.fromkeys(FAMILY, sets), dict.fromkeys(FAMILY, (sets // 2, sets // 2)))
    assert off(drop, Pedigree(FAMILY, sets, rate)) == []


def test_kinship__lies_within_the_error_of_a_gene_drop_in_mixed_ploidy() -> None:
    family = {
        "T": (None, None), "D": (None, None), "E": (None, None),
        "tri": ("T", "D"), "unreduced": ("T", "D"), "doubled": ("D", "D"), "F": ("D", "E"),
        "back": ("unreduced", "T"), "last": ("back", "doubled"), "low": ("last", "F"),
    }  # fmt: skip
    sets = dict.fromkeys(family, 4) | {"D": 2, "E": 2, "F": 2, "tri": 3, "low": 3}
    copies = dict.fromkeys(family, (2, 2)) | {"tri": (2, 1), "low": (2, 1), "F": (1, 1)}
    drop = Drop(seed=5, rate=0.15)
    drop.drop(family, sets, copies)
    assert off(drop, Pedigree(family, sets, 0.15)) == []


def test_kinship__of_standard_dwarfs_lies_within_the_error_of_a_gene_drop() -> None:
    drop = Drop(seed=8, rate=0.0, paired=frozenset(FAMILY))
    drop.drop(FAMILY, dict.fromkeys(FAMILY, 4), dict.fromkeys(FAMILY, (2, 2)))
    dwarfs = Pedigree(FAMILY, 4, 0.1, modes=dict.fromkeys(FAMILY, Mode.DISOMIC))
    # Copies of unlike sets are never the same: within a set the chance is twice as large.
    assert off(drop, dwarfs, scale=2.0) == []


def test_kinship__of_intermediates_lies_within_the_error_of_a_gene_drop() -> None:
    # Two standard dwarfs, two tall ones, and intermediates of both: exact as long as no
    # intermediate is a parent.
    family = {
        "dwarf": (None, None), "dwarf 2": (None, None), "low": ("dwarf", "dwarf 2"),
        "low self": ("low", "low"), "tall": (None, None), "tall self": ("tall", "tall"),
        "mid": ("low self", "tall self"), "mid 2": ("low", "tall self"), "mid 3": ("low", "tall"),
    }  # fmt: skip
    dwarfs = frozenset({"dwarf", "dwarf 2", "low", "low self"})
    drop = Drop(seed=21, rate=0.0, paired=dwarfs)
    drop.drop(family, dict.fromkeys(family, 4), dict.fromkeys(family, (2, 2)))
    modes = dict.fromkeys(dwarfs, Mode.DISOMIC) | dict.fromkeys(
        ("mid", "mid 2", "mid 3"), Mode.UNEVEN
    )
    pedigree = Pedigree(family, 4, modes=modes)
    wrong = off(drop, pedigree)
    assert [pair for pair in wrong if not {pair[0], pair[1]} <= dwarfs] == []
    assert len(wrong) == 14  # Two dwarfs are told within a set: twice as much.


def test_off__sees_a_wrong_rule() -> None:
    drop = Drop(seed=14, rate=0.0)
    drop.drop(FAMILY, dict.fromkeys(FAMILY, 4), dict.fromkeys(FAMILY, (2, 2)))
    assert len(off(drop, Pedigree(FAMILY, 4, 0.05))) > 20
