"""Types read from recorded colours: what is certain, and nothing else."""

from __future__ import annotations

import pytest

from breeding.inheritance import Confidence, Locus, Type
from breeding.inheritance.reading import hint, read, read_all
from tests.breeding.test_inheritance_loci import ORDER, table


def look(**words: str) -> dict[str, str | None]:
    read_ = read_all(list(table().values()), words)
    return {symbol: read_.get(symbol) for symbol in ORDER if symbol in read_}


def test_read__a_white_flower_tells_nothing_of_pigment() -> None:
    told = look(pattern="self", standards="white", falls="white", beard="white")
    assert told == {"Y": "white"}


def test_read__a_violet_self_with_a_yellow_beard() -> None:
    told = look(pattern="self", standards="violet", falls="violet", beard="yellow")
    assert told == {"V": "pigment", "I": "free", "Pl": "full", "Is": "coloured", "t": "not-pink"}


def test_read__patterns_of_the_series() -> None:
    told = look(pattern="plicata", standards="white", falls="white", rim="violet")
    assert told == {"V": "pigment", "I": "free", "Pl": "plicata", "Y": "white"}
    assert look(pattern="luminata", falls="violet")["Pl"] == "luminata"
    assert look(pattern="glaciata", standards="pink", falls="pink") == {"Pl": "glaciata"}
    assert "Pl" not in look(pattern="glaciata", falls="violet")


@pytest.mark.parametrize(
    ("pattern", "standards", "key"),
    [("amoena", "white", "clear"), ("neglecta", "lavender", "paled"),
     ("self", "violet", "coloured"), ("bitone", "lavender", None),
     ("bicolor", "white", None), ("", "violet", None)],
)  # fmt: skip
def test_read__standards_of_a_violet_flower(pattern: str, standards: str, key: str | None) -> None:
    assert look(pattern=pattern, standards=standards, falls="violet").get("Is") == key


@pytest.mark.parametrize(
    ("petals", "beard", "key"),
    [("pink", "tangerine", "pink"), ("violet", "tangerine", "pink"), ("peach", "red", "pink"),
     ("white", "coral", "pink"), ("yellow", "tangerine", None), ("yellow", "white", "not-pink"),
     ("white", "white", None), ("pink", "yellow", None), ("pink", "white", None),
     ("apricot", "orange", None), ("cream", "orange", None), ("violet", "yellow", "not-pink"),
     ("rose", "red", None), ("violet", "blue", None)],
)  # fmt: skip
def test_read__tangerine(petals: str, beard: str, key: str | None) -> None:
    assert look(pattern="self", standards=petals, falls=petals, beard=beard).get("t") == key


def test_read__nothing_recorded_tells_nothing() -> None:
    assert look() == {}
    assert look(pattern="self", standards="", falls="", beard="") == {}


def test_read__signs_of_two_types_are_none() -> None:
    both = Locus(
        "B", "both", ("B", "b"),
        (Type("one", "one", (("B", 1),), signs=({"falls": ("violet",)},)),
         Type("two", "two", signs=({"standards": ("violet",)},))),
        "", Confidence.SUPPOSED,
    )  # fmt: skip
    assert read(both, {"standards": "violet", "falls": "white"}) == "two"
    assert read(both, {"standards": "violet", "falls": "violet"}) is None


@pytest.mark.parametrize(
    ("recorded", "told"),
    [
        ("self violet violet white", "V:pigment I:free Pl:full Is:coloured"),
        ("variegata yellow maroon yellow", "V:pigment I:free Pl:full Y:yellow t:not-pink"),
        ("blend mustard copper yellow", "Y:yellow"),
        ("blend white ice-blue lavender", ""),
        ("bitone indigo black violet", "V:pigment I:free Pl:full"),
        ("bicolor lemon chartreuse white", "Y:yellow"),
        ("bicolor cream violet blue", "V:pigment I:free Pl:full"),
        ("blend peach lilac orange", "V:pigment I:free"),
    ],
)
def test_read__flowers_of_all_kinds(recorded: str, told: str) -> None:
    """Pattern, standards, falls and beard; judged by eye."""
    words = [word.replace("-", " ") for word in recorded.split()]
    found = look(**dict(zip(("pattern", "standards", "falls", "beard"), words, strict=True)))
    assert " ".join(f"{symbol}:{key}" for symbol, key in found.items()) == told


def test_hint__a_white_flower_speaks_for_no_violet() -> None:
    told = hint(table()["V"], {"standards": "white", "falls": "white"})
    assert told is not None
    assert told["none"] > told["pigment"] > 0


@pytest.mark.parametrize(
    ("symbol", "looks"),
    [
        ("V", {"standards": "violet", "falls": "violet"}),  # it shows
        ("V", {"falls": "white"}),  # half of it was recorded
        ("Y", {"standards": "lilac", "falls": "lilac"}),  # every type has signs
        ("Ae", {"standards": "violet", "falls": "violet"}),  # none has
    ],
)
def test_hint__says_nothing_where_nothing_follows(symbol: str, looks: dict[str, str]) -> None:
    assert hint(table()[symbol], looks) is None
