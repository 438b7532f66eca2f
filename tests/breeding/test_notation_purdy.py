from __future__ import annotations

import doctest
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from breeding.notation import (
    LoopError,
    Node,
    ParentageError,
    purdy,
    read_parentage,
    read_purdy,
    shares,
    tree_of,
    write_purdy,
)

NAMES = ["A", "B", "Wet Slate", "14-031C", "14", "7", "Half/Half", "Sta*r", '"So"', "Unknown", "?"]


def shape(node: Node | None) -> Any:
    if node is None or node.parents is None:
        return node and node.name
    return tuple(shape(parent) for parent in node.parents)


def built(tree: Any) -> Node | None:
    if tree is None or isinstance(tree, str):
        return tree and Node(tree)
    return Node(None, tuple(built(part) for part in tree))


ends = st.sampled_from(NAMES) | st.none()
trees = st.recursive(
    ends,
    lambda part: st.tuples(part, part).filter(lambda pair: pair != (None, None)),
    max_leaves=25,
)


@given(trees.filter(lambda tree: tree is not None))
def test_read_purdy__what_write_purdy_printed(tree: Any) -> None:
    assert shape(read_purdy(write_purdy(built(tree)))) == tree


@given(st.integers(2, 230), st.integers(0, 1), trees)
def test_read_purdy__backcrosses_come_back(doses: int, side: int, donor: Any) -> None:
    tree = donor
    for _ in range(doses):
        tree = (tree, "B") if side else ("B", tree)
    written = write_purdy(built(tree))
    assert "*B" in written
    assert shape(read_purdy(written)) == tree


@pytest.mark.parametrize("text", ["A/3*B", "A/B*3", "A / 3 * B", "A/B *3", "A /\n3*B"])
def test_read_purdy__doses_of_the_pollen_parent(text: str) -> None:
    assert shape(read_purdy(text)) == ((("A", "B"), "B"), "B")


@pytest.mark.parametrize("text", ["3*A/B", "A*3/B"])
def test_read_purdy__doses_of_the_seed_parent(text: str) -> None:
    assert shape(read_purdy(text)) == ("A", ("A", ("A", "B")))


def test_read_purdy__doses_within_a_longer_pedigree() -> None:
    assert shape(read_purdy("A/B//2*C")) == ((("A", "B"), "C"), "C")
    assert shape(read_purdy("A//2*B/C")) == ("A", ("B", ("B", "C")))
    assert shape(read_purdy("A/2*B//C")) == ((("A", "B"), "B"), "C")


@pytest.mark.parametrize("text", ["A/B/2/C", "A/1/B//C", "A/B/3/C", "A/B///C", "A/B / 2 / C"])
def test_read_purdy__strokes_and_numbers(text: str) -> None:
    assert shape(read_purdy(text)) == (("A", "B"), "C")


def test_read_purdy__unknown_parent_and_lone_name() -> None:
    assert shape(read_purdy("A/unknown")) == ("A", None)
    assert shape(read_purdy("?/A")) == (None, "A")
    assert shape(read_purdy("Wet  Slate")) == "Wet Slate"
    assert shape(read_purdy("unknown")) == (None, None)


@pytest.mark.parametrize(
    ("text", "position", "words"),
    [
        (" ", 0, "Nothing stands here"),
        ("A/B/C", 3, "Two crosses of the same order"),
        ("A/B//C/D/E//F", 8, "Two crosses of the same order"),
        ("A//B/C//D", 6, "Two crosses of the same order"),
        ("A/", 2, "parent is missing at the end"),
        ("/A", 0, "parent is missing before /"),
        ("A//B/ /2/C", 6, "parent is missing before /2/"),
        ("2*A/3*B", 3, "Only one parent of a cross"),
        ("3*A", 0, "Doses need a cross"),
        ("A/0*B", 2, "Doses go from 1 to 100"),
        ("A/101*B", 2, "Doses go from 1 to 100"),
        ("A/2*B*2", 2, "doses on both sides"),
        ("A/*B", 2, "The sign * does not fit"),
        ('A/"B', 2, 'The sign " does not fit'),
        ('A/" "', 2, "name is missing"),
        ('A "B"', 2, '"B" does not fit'),
    ],
)
def test_read_purdy__wrong(text: str, position: int, words: str) -> None:
    with pytest.raises(ParentageError) as wrong:
        read_purdy(text)
    assert (wrong.value.position, words in wrong.value.sentence) == (position, True)


def test_write_purdy__of_a_plant_of_the_stock() -> None:
    parents = {"14-1": ("Wet Slate", "12-A"), "12-A": ("B", None), "Wet Slate": ("C", "D")}
    tree = tree_of("14-1", parents, str, {"Wet Slate", "B"}.__contains__)
    assert write_purdy(tree) == "Wet Slate//B/unknown"


def test_write_purdy__sib_cannot_be_told() -> None:
    with pytest.raises(ValueError, match="no sign for a sib"):
        write_purdy(read_parentage("(A × B) × sib"))


def test_write_purdy__repeated_ancestors_have_a_limit() -> None:
    parents = {f"{n}-{s}": (f"{n + 1}-0", f"{n + 1}-1") for n in range(40) for s in (0, 1)}
    with pytest.raises(ValueError, match="More than 20,000 crosses"):
        write_purdy(tree_of("0-0", parents, str, str.isalpha))


def test_write_purdy__thousands_of_generations() -> None:
    parents = {f"{n}-0": (f"{n + 1}-0", f"N{n}") for n in range(5_000)}
    written = write_purdy(tree_of("0-0", parents, str, str.isalpha))
    assert sum(shares(read_purdy(written)).values()) == 1


def test_tree_of__loop_is_refused_and_named() -> None:
    with pytest.raises(LoopError, match="9-3 is among its own ancestors"):
        tree_of("14-1", {"14-1": ("9-3", "A"), "9-3": ("9-3", "B")}, str, str.isalpha)


def test_shares__unknown_and_nameless_ends_under_none() -> None:
    assert shares(read_parentage("(A × unknown) × sdlg.")) == {"A": 0.25, None: 0.75}


def test_shares__repeated_plant_counts_wherever_it_stands() -> None:
    assert shares(read_parentage("12-A: (A × B) × [12-A × a]")) == {"A": 0.625, "B": 0.375}


@given(trees.filter(lambda tree: tree is not None))
def test_shares__sum_to_one(tree: Any) -> None:
    assert sum(shares(built(tree)).values()) == 1


def test_purdy__examples_of_the_docstrings() -> None:
    assert doctest.testmod(purdy).failed == 0
