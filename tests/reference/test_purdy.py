"""Readings and shares of Purdy's notation.

Source of the notation: Purdy, Loegering, Konzak, Peterson & Allan 1968, Crop Science 8:405-406,
as carried by guides to it (seed parent left, '/' first cross, '//' or '/2/' second, '/3/' third,
'n*' doses of the recurrent parent); 'A/7*B//C/8*B' is the example of the FAO/Bioversity
Multi-Crop Passport Descriptors v2.1 (Alercia, Diulgheroff & Mackay 2015), descriptor ANCEST.
The shares follow from one half of each parent and are computed by hand here.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from breeding.notation import Node, read_purdy, shares, write_purdy


def shape(node: Node | None) -> Any:
    if node is None or node.parents is None:
        return node and node.name
    return tuple(shape(parent) for parent in node.parents)


# Source: Purdy et al. 1968, as above.
@pytest.mark.parametrize(
    ("text", "tree", "expected"),
    [
        ("A/B", ("A", "B"), {"A": "1/2", "B": "1/2"}),
        ("A/B//C", (("A", "B"), "C"), {"A": "1/4", "B": "1/4", "C": "1/2"}),
        ("A//B/C", ("A", ("B", "C")), {"A": "1/2", "B": "1/4", "C": "1/4"}),
        (
            "A/2/B/C/3/D/E",
            (("A", ("B", "C")), ("D", "E")),
            {"A": "1/4", "B": "1/8", "C": "1/8", "D": "1/4", "E": "1/4"},
        ),
        ("A/B*3", ((("A", "B"), "B"), "B"), {"A": "1/8", "B": "7/8"}),
    ],
)
def test_read_purdy__published_readings(text: str, tree: tuple, expected: dict) -> None:
    read = read_purdy(text)
    assert shape(read) == tree
    assert shares(read) == {name: Fraction(share) for name, share in expected.items()}
    assert shape(read_purdy(write_purdy(read))) == tree


# Source: FAO/Bioversity MCPD v2.1, descriptor ANCEST, as above.
def test_read_purdy__example_of_the_passport_descriptors() -> None:
    read = read_purdy("A/7*B//C/8*B")
    # Each dose halves what is not B: A after 7, C after 8, and once more in the last cross.
    assert shares(read) == {
        "A": Fraction(1, 2**8),
        "B": Fraction(509, 512),
        "C": Fraction(1, 2**9),
    }
    assert write_purdy(read) == "A/7*B//C/8*B"
