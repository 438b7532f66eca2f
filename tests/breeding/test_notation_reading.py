from __future__ import annotations

import doctest
from typing import Any

import pytest

from breeding.notation import (
    Node,
    ParentageError,
    pedigree_of,
    read_parentage,
    reading,
)


def shape(node: Node | None) -> Any:
    """The tree as nested tuples: name, (seed, pollen), (name, seed, pollen), '~' before a sib."""
    if node is None:
        return None
    if node.sib_of is not None:
        return ("~", node.name, shape(node.sib_of))
    if node.parents is None:
        return node.name
    pair = tuple(shape(parent) for parent in node.parents)
    return pair if node.name is None else (node.name, *pair)


@pytest.mark.parametrize(
    "text",
    [
        "A × B", "A x B", "A X B", "A×B", " A\n  x\tB ", "(A x B)", "[A × B]", "{A X B}", "A ✕ B .",
        "((A x B))", "(A)x(B)", "A x B.", "'A' x 'B'", '"A"X"B"', "‘A’ × ‘B’", "“A” × „B“",
        "'A'x'B'", "«A»×»B«", "Parentage: A x B", "A\u00a0×\u00a0B", "\ufeffA x B", "‚A‘ x ‹B›",
    ],
)  # fmt: skip
def test_read_parentage__signs_brackets_quotation_marks(text: str) -> None:
    assert shape(read_parentage(text)) == ("A", "B")


@pytest.mark.parametrize(
    "name",
    [
        "Xenon Max", "Axle Box", "Stamp Collector's Gale", "Gardeners' Tent", "Éclair d’Été", "Čas",
        "14-031C", "Q 17-3", "X-17A", "99-13F", "B-37-10", "P. T. Ledger", "Rock 'n' Reed",
        "Why Not?", "2K-14", "Sibling Rivalry", "Unknown Postman", "Self Portrait", "Op Art", "7",
    ],
)  # fmt: skip
@pytest.mark.parametrize("frame", ["{}", "'{}'", '"{}"', "‘{}’"])
def test_read_parentage__names(name: str, frame: str) -> None:
    quoted = frame.format(name)
    assert shape(read_parentage(f"{quoted} x B")) == (name, "B")
    assert shape(read_parentage(f"(A x [{quoted} X B])")) == ("A", (name, "B"))
    assert shape(read_parentage(f"A × {quoted}")) == ("A", name)


def test_read_parentage__x_within_quotation_marks_is_part_of_the_name() -> None:
    assert shape(read_parentage("'Planet X' x \"X x (X)\"")) == ("Planet X", "X x (X)")


def test_read_parentage__spaces_in_a_name_are_tidied() -> None:
    assert shape(read_parentage("Wet\n  Slate x ' Attic  Lamp '")) == ("Wet Slate", "Attic Lamp")


def test_read_parentage__doubled_quotation_mark_stands_for_one() -> None:
    assert shape(read_parentage('"The ""So"" Iris" x B')) == ('The "So" Iris', "B")


def test_read_parentage__number_before_its_parentage() -> None:
    text = "14-031C: (Wet Slate x 12-007A: [A x {B x unknown}])"
    expected = ("14-031C", "Wet Slate", ("12-007A", "A", ("B", None)))
    assert shape(read_parentage(text)) == expected


def test_read_parentage__number_before_the_seed_parent_is_that_of_the_seed_parent() -> None:
    assert shape(read_parentage("B-37-10: (A x B) X C")) == (("B-37-10", "A", "B"), "C")


def test_read_parentage__heading_without_brackets() -> None:
    assert shape(read_parentage("14-1: A × (B × C)")) == ("14-1", "A", ("B", "C"))
    assert shape(read_parentage("14-1: 12-2: (B × C) × A")) == ("14-1", ("12-2", "B", "C"), "A")


@pytest.mark.parametrize(
    "text", ["Sdlg. 14-1: (A x B)", "sdlg 14-1: (A x B)", "Seedling 14-1: A x B"]
)
def test_read_parentage__word_before_a_seedling_number(text: str) -> None:
    assert shape(read_parentage(text)) == ("14-1", "A", "B")


@pytest.mark.parametrize(
    "word",
    ["unknown", "Unknown", "?", "unk.", "pollen parent unknown", "(unknown)", "bee pod", "OP"],
)
def test_read_parentage__unknown_parent(word: str) -> None:
    assert shape(read_parentage(f"A x {word}")) == ("A", None)


@pytest.mark.parametrize("text", ["unknown", "? x ?", "parentage unknown.", "(unknown)"])
def test_read_parentage__both_parents_unknown(text: str) -> None:
    assert shape(read_parentage(text)) == (None, None)


@pytest.mark.parametrize("text", ["12-A: unknown", "12-A: (unknown)", "12-A: (? x ?)"])
def test_read_parentage__seedling_of_unknown_parents(text: str) -> None:
    assert shape(read_parentage(text)) == ("12-A", None, None)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("(A x B) x sib", (("A", "B"), ("~", None, ("A", "B")))),
        ("sib x (A x B)", (("~", None, ("A", "B")), ("A", "B"))),
        ("A x (sib)", ("A", ("~", None, "A"))),
        ("A x Sib", ("A", ("~", None, "A"))),
        ("A x 14-2B, sib", ("A", ("~", "14-2B", "A"))),
        ("A sib x B", (("~", None, "A"), "B")),
        ("'A' sib x B", (("~", None, "A"), "B")),
        ("B x sib to A", ("B", ("~", None, "A"))),
        ("B x sibling of 12-A: (C x D)", ("B", ("~", None, ("12-A", "C", "D")))),
        ("14-2B, sibling to 'A' x C", (("~", "14-2B", "A"), "C")),
    ],
)
def test_read_parentage__sib(text: str, expected: tuple) -> None:
    assert shape(read_parentage(text)) == expected


@pytest.mark.parametrize("text", ["A x self", "A selfed", "'A' self", "(A) selfed", "A X Selfed"])
def test_read_parentage__selfed(text: str) -> None:
    tree = read_parentage(text)
    assert shape(tree) == ("A", "A")
    assert tree.parents[0] is tree.parents[1]


def test_read_parentage__plant_without_number() -> None:
    assert shape(read_parentage("A x sdlg.")) == ("A", None)
    assert read_parentage("A x sdlg.").parents[1] is not None


def test_read_parentage__lone_name() -> None:
    assert shape(read_parentage("Wet Slate")) == "Wet Slate"


@pytest.mark.parametrize(
    ("text", "position", "words"),
    [
        ("", 0, "Nothing stands here"),
        (" \n", 0, "Nothing stands here"),
        ("A x", 3, "pollen parent is missing"),
        ("(A x ) x B", 5, "pollen parent is missing"),
        ("x B", 0, "seed parent is missing"),
        ("A x ( x B)", 6, "seed parent is missing"),
        ("A x () x B", 5, "Nothing stands here"),
        ("A x × B", 4, "Two × stand side by side"),
        ("A x B x C", 6, "brackets must tell which cross was made first"),
        ("A x (B x C", 4, "This ( is never closed"),
        ("A x B)", 5, "This ) closes no bracket"),
        ("[A x (B x C] x D)", 11, "This ] does not fit the ( at character 6"),
        ("A (B x C)", 2, "Before this ( a sign is missing"),
        ("A x (B x C) D", 12, "× is missing before D"),
        ("'A' 'B'", 4, "× is missing before 'B'"),
        ("A:", 2, "parentage is missing after the colon"),
        ("A: B", 4, "two parents with × between"),
        ("A: (B)", 4, "Two parents with × between them belong here, after A:"),
        ("D x 12-A: B x C", 10, "Brackets must stand around"),
        ("(A x B): C", 7, "A colon stands only"),
        ("(A x B), C", 7, "A comma stands only"),
        ("A, B", 3, "After a comma only"),
        ("A, x B", 3, "After a comma only"),
        ("A,", 2, "'sib' is missing"),
        ("sib to", 6, "name of the plant"),
        ("B x sib to (A x C)", 11, "name of the plant"),
        ("sib", 0, "Sib of which plant"),
        ("sib x sib", 0, "can have no sib"),
        ("unknown x sib", 10, "can have no sib"),
        ("unknown x self", 10, "can be selfed"),
        ("self x A", 0, "Which plant was selfed"),
        ("A ; B", 2, "The sign ; means nothing"),
        ('"A x B', 0, 'quotation mark " has no partner'),
        ("A x «B", 4, "quotation mark « has no partner"),
        ('A x " "', 4, "name is missing"),
        ("A x inv. B", 4, "'inv.' names plants among the ancestors"),
        ("A x " + "b" * 301, 4, "longer than 300"),
        ("A x Parentage: B", 4, "only at the beginning"),
    ],
)
def test_read_parentage__wrong(text: str, position: int, words: str) -> None:
    with pytest.raises(ParentageError) as wrong:
        read_parentage(text)
    assert wrong.value.position == position
    assert words in wrong.value.sentence
    assert str(wrong.value) == f"At character {position + 1}: {wrong.value.sentence}"


def outcome(text: str) -> int | None:
    """Position of what is wrong; None when the text can be read."""
    try:
        read_parentage(text)
    except ParentageError as wrong:
        return wrong.position
    return None


def test_read_parentage__too_long() -> None:
    with pytest.raises(ParentageError, match="longer than 1,000,000"):
        read_parentage("(" * 1_000_001)


@pytest.mark.parametrize(
    "text",
    [
        "A" + " " * 90_000 + "x B",
        "(" * 30_000,
        "'a " * 30_000,
        "x" * 90_000,
        '"' * 30_001,
        "A:" * 30_000,
    ],
    ids=["spaces", "brackets", "quotes", "name", "double quotes", "colons"],
)
def test_read_parentage__long_nonsense_ends_soon(text: str) -> None:
    assert outcome(text) in (None, *range(len(text) + 1))


def test_pedigree_of__places_of_one_plant_are_joined() -> None:
    said = pedigree_of(read_parentage("(12-a × B) × 12-A: (B × c)"))
    assert said.names == ["B", "c", "12-a", None, None]
    assert said.parents == [None, None, (0, 1), (2, 0), (3, 2)]
    assert said.positions[2] == 13
    assert said.root == 4


def test_pedigree_of__brackets_without_number_are_plants_of_their_own() -> None:
    assert len(pedigree_of(read_parentage("(A × B) × (A × B)")).names) == 5


def test_pedigree_of__marked_plants_are_one() -> None:
    said = pedigree_of(read_parentage("(sdlg. #1: (A × B) × C) × sdlg. #1"))
    assert said.parents == [None, None, (0, 1), None, (2, 3), (4, 2)]


def test_pedigree_of__sib_has_the_parents_of_its_sib() -> None:
    said = pedigree_of(read_parentage("(A × unknown) × 14-2B, sib"))
    assert said.parents == [None, (0, None), (0, None), (1, 2)]
    assert said.sibs == {}


def test_pedigree_of__sib_of_a_plant_whose_parents_the_text_leaves_out() -> None:
    assert pedigree_of(read_parentage("A × sib")).sibs == {1: 0}


def test_pedigree_of__unknown_here_may_be_known_there() -> None:
    said = pedigree_of(read_parentage("12-A: (B × ?) × [C × 12-A: (? × D)]"))
    assert said.parents[said.names.index("12-A")] == (said.names.index("B"), said.names.index("D"))


@pytest.mark.parametrize(
    ("text", "position", "words"),
    [
        ("12-A: (B × C) × 12-A: (B × D)", 16, "12-A stands twice, with different parents"),
        ("12-A: (B × 12-a)", 0, "12-A is among its own ancestors: 12-A ← 12-A"),
        ("12-A: (B × 9-B: (12-A × C))", 0, "12-A is among its own ancestors"),
        ("(A, sib to A) × C", 1, "A is among its own ancestors"),
    ],
)
def test_pedigree_of__text_contradicts_itself(text: str, position: int, words: str) -> None:
    with pytest.raises(ParentageError, match=words) as wrong:
        pedigree_of(read_parentage(text))
    assert wrong.value.position == position


def test_read_parentage__example_of_the_docstring() -> None:
    assert doctest.testmod(reading).failed == 0
