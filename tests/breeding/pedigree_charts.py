"""A small cast for the chart tests: plants, a full pedigree, random pedigrees."""

from __future__ import annotations

from hypothesis import strategies as st

from breeding.charts import Plantlet
from garden.flower import Recipe

WORDS = ["violet", "white", "gold", "pink", "navy", "peach", "maroon", "lemon", "cream", "rose"]
NAMES = [
    "Snib", "Moth in the Piano", "Thunderstorms Behind Greenhouses", "Théière Fêlée",
    "Łódka w Sieni", "Quarrel at Low Tide", "Gooseberry Verdict",
]  # fmt: skip


def plant(key: int, flower: bool = True) -> Plantlet:
    """Plant number `key`: every fifth has a number, names are all different."""
    label = f"26-{key:03d}C" if key % 5 == 4 else f"{NAMES[key % len(NAMES)]} {key}"
    one, other = WORDS[key % 10], WORDS[key // 10 % 10]
    recipe = Recipe("plicata" if key % 3 == 0 else "self", one, other, rim=WORDS[key % 7])
    small = f"TB {1950 + key % 70}"
    return Plantlet(label, key % 5 == 4, small, f"/plants/{key}/", recipe if flower else None)


def full(depth: int) -> tuple[dict, dict]:
    """(parents, plants) of subject 1 whose ancestors are all on record and all different."""
    plants = {key: plant(key) for key in range(1, 2 ** (depth + 1))}
    return {key: (2 * key, 2 * key + 1) for key in range(1, 2**depth)}, plants


def large_web(count: int) -> tuple[dict, dict]:
    """(parents, plants) of a wide web behind 0 × 1, joined more and more toward its founders."""
    half = count // 2 - 2
    parents = {key: (2 * key + 2, 2 * key + 3) for key in range(half)}
    for key in range(half, count - 12):
        parents[key] = (min(key + 23, count - 1), min(key + 31, count - 2))
    return parents, {key: plant(key) for key in range(count)}


@st.composite
def pedigrees(draw: st.DrawFn) -> tuple[dict, dict]:
    """(parents, plants) of up to 40 plants; parents have higher numbers, some are unknown."""
    count = draw(st.integers(1, 40))
    plants = {key: plant(key, draw(st.booleans())) for key in range(count)}
    parents = {}
    for key in range(count - 1):
        one = st.one_of(
            st.none(), st.just("unknown"), st.integers(key + 1, min(count - 1, key + 9))
        )
        parents[key] = (draw(one), draw(one))
    return parents, plants
