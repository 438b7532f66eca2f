from __future__ import annotations

import doctest

import pytest

from breeding.notation import LoopError, pedigree_of, read_parentage, write_parentage, writing

# A key is its own label; what begins with a digit is a seedling number, _ a plant without label.
PEDIGREE = {
    "14-031C": ("Wet Slate Alphabet", "12-007A"),
    "12-007A": ("Attic Barometer", "Wheelbarrow Psalm"),
    "Wet Slate Alphabet": ("09-002B", "Attic Barometer"),
    "09-002B": ("Quillon Teapot", None),
}


def label(key: str) -> str:
    return "" if key.startswith("_") else key


def named(key: str) -> bool:
    return key[0].isalpha() or key[0] == "'"


def text(key: str, parents: dict, **more: object) -> str:
    return write_parentage(key, parents, label, named, **more)


def test_write_parentage__named_plants_end_the_branch() -> None:
    assert (
        text("14-031C", PEDIGREE)
        == "14-031C: (Wet Slate Alphabet × 12-007A: [Attic Barometer × Wheelbarrow Psalm])"
    )


def test_write_parentage__round_brackets_only() -> None:
    assert (
        text("14-031C", PEDIGREE, brackets="(")
        == "14-031C: (Wet Slate Alphabet × 12-007A: (Attic Barometer × Wheelbarrow Psalm))"
    )


def test_write_parentage__brackets_alternate_and_begin_anew() -> None:
    chain = {f"_{n}": (f"_{n + 1}", "A") for n in range(5)}
    chain["_5"] = ("B", "A")
    assert text("_0", chain) == "([{([B × A] × A) × A} × A] × A) × A"


def test_write_parentage__plant_itself_is_written_out_though_named() -> None:
    assert (
        text("Wet Slate Alphabet", PEDIGREE)
        == "Wet Slate Alphabet: (09-002B: [Quillon Teapot × unknown] × Attic Barometer)"
    )


def test_write_parentage__without_heading_as_in_a_registration() -> None:
    assert (
        text("Wet Slate Alphabet", PEDIGREE, heading=False)
        == "09-002B: (Quillon Teapot × unknown) × Attic Barometer"
    )


@pytest.mark.parametrize(
    ("depth", "expected"),
    [(0, "14-1"), (1, "14-1: (12-2 × sdlg.)"), (2, "14-1: (12-2: [A × 9-3] × [9-3 × B])")],
)
def test_write_parentage__depth(depth: int, expected: str) -> None:
    parents = {"14-1": ("12-2", "_u"), "12-2": ("A", "9-3"), "_u": ("9-3", "B"), "9-3": ("C", "D")}
    assert text("14-1", parents, depth=depth) == expected


def test_write_parentage__no_parents() -> None:
    assert text("14-1", {}) == "14-1"
    assert text("14-1", {"14-1": (None, None)}) == "14-1"
    assert text("14-1", {}, heading=False) == "unknown"
    assert text("_", {}) == "sdlg."


def test_write_parentage__repeated_seedling_is_written_out_nearest_to_the_plant() -> None:
    parents = {"14-1": ("12-2", "9-3"), "12-2": ("9-3", "A"), "9-3": ("B", "C")}
    assert text("14-1", parents) == "14-1: (12-2: [9-3 × A] × 9-3: [B × C])"


def test_write_parentage__repeated_plant_without_label_gets_a_mark() -> None:
    parents = {"14-1": ("12-2", "_r"), "12-2": ("_r", "_"), "_r": ("B", "C")}
    assert text("14-1", parents) == "14-1: (12-2: [sdlg. #1 × sdlg.] × sdlg. #1: [B × C])"


def test_write_parentage__selfed() -> None:
    parents = {"14-1": ("12-2", "12-2"), "12-2": ("_s", "A"), "_s": ("B", "B")}
    assert text("14-1", parents) == "14-1: (12-2: [{B × self} × A] × self)"


def test_write_parentage__sibs() -> None:
    parents = {"14-1": ("_a", "_b"), "_a": ("A", "B"), "_b": ("A", "B")}
    assert text("14-1", parents) == "14-1: ([A × B] × sib)"
    parents = {"14-1": ("12-2", "12-3"), "12-2": ("A", "B"), "12-3": ("A", "B")}
    assert text("14-1", parents) == "14-1: (12-2: [A × B] × 12-3, sib)"


@pytest.mark.parametrize("pair", [("B", "A"), ("A", None), ("A", "C")])
def test_write_parentage__no_sib_unless_both_parents_are_the_same(pair: tuple) -> None:
    parents = {"14-1": ("_a", "_b"), "_a": ("A", pair[1] and "B"), "_b": pair}
    assert "sib" not in text("14-1", parents)


def test_write_parentage__cultivar_is_never_a_sib() -> None:
    parents = {"14-1": ("_a", "C"), "_a": ("A", "B"), "C": ("A", "B")}
    assert text("14-1", parents) == "14-1: ([A × B] × C)"


@pytest.mark.parametrize(
    "name",
    [
        "Planet X", "X Marks It", "Unknown", "Bee Pod", "Her Other Self", "Sib", "Slate (Second)",
        "A: B", "Attic, Wet", "Mr. T.", '"So" It Goes', "'Tis Late", "A × B", "Sdlg. 12", "#1",
        "inv. Slate", "Pedigree: Slate", "Sibling To Slate", "«Quai»", "a \"", "?",
    ],
)  # fmt: skip
def test_write_parentage__names_that_need_quotation_marks(name: str) -> None:
    written = write_parentage(
        "k", {"k": ("n", "m")}, {"k": "1", "n": name, "m": "B"}.get, "nm".count
    )
    assert written.startswith('1: ("')
    tree = read_parentage(written)
    assert [parent.name for parent in tree.parents] == [name, "B"]


@pytest.mark.parametrize(
    "name", ["Stamp Collector's Gale", "Éclair d’Été", "Q 17-3", "Xenon Max", "Rock 'n' Reed", "7"]
)
def test_write_parentage__names_that_need_none(name: str) -> None:
    written = write_parentage("k", {"k": ("n", None)}, {"k": "1", "n": name}.get, "n".count)
    assert written == f"1: ({name} × unknown)"
    assert read_parentage(written).parents[0].name == name


@pytest.mark.parametrize("last", ["14-1", "12-2"])
def test_write_parentage__loop_is_refused_and_named(last: str) -> None:
    parents = {"14-1": ("A", "12-2"), "12-2": ("9-3", "B"), "9-3": (last, "C")}
    with pytest.raises(LoopError, match=f"^{last} is among its own ancestors: {last} ← ") as wrong:
        text("14-1", parents)
    assert wrong.value.key == last
    assert wrong.value.path[0] == wrong.value.path[-1]


def test_write_parentage__loop_behind_a_cultivar() -> None:
    with pytest.raises(LoopError, match="A is among its own ancestors: A ← A"):
        text("14-1", {"14-1": ("A", "B"), "A": ("A", "C")})


def test_write_parentage__long_loop_is_told_shortly() -> None:
    parents = {f"{n}-0": (f"{(n + 1) % 5000}-0", "A") for n in range(5000)}
    with pytest.raises(LoopError) as wrong:
        text("0-0", parents)
    assert len(wrong.value.path) == 5001
    assert str(wrong.value).endswith("← 9-0 ← … ← 0-0.")


def test_write_parentage__two_plants_of_one_label() -> None:
    labels = {1: "14-1", 2: "Q 17-3", 3: "q  17-3"}
    with pytest.raises(ValueError, match="Two plants of this pedigree are called q"):
        write_parentage(1, {1: (2, 3)}, labels.get, bool)


@pytest.mark.parametrize("wrong", [{"depth": -1}, {"brackets": ""}, {"brackets": "(<"}])
def test_write_parentage__wrong_arguments(wrong: dict) -> None:
    with pytest.raises(ValueError, match="Depth|Brackets"):
        text("14-031C", PEDIGREE, **wrong)


def test_write_parentage__thousands_of_generations() -> None:
    parents = {f"{n}-0": (f"{n + 1}-0", "A") for n in range(20_000)}
    written = text("0-0", parents)
    assert written.count("×") == 20_000
    assert len(pedigree_of(read_parentage(written)).names) == 20_002


def test_write_parentage__repeated_ancestors_do_not_blow_up() -> None:
    parents = {f"{n}-{s}": (f"{n + 1}-0", f"{n + 1}-1") for n in range(60) for s in (0, 1)}
    assert text("0-0", parents).count("×") < 130


def test_write_parentage__example_of_the_docstring() -> None:
    assert doctest.testmod(writing).failed == 0
