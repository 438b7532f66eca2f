"""Names that may be taken for one another. All names are invented."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from garden.epithets import Kind, Known, Names, Severity, likeness
from garden.epithets.sounds import ears_of
from garden.names import fold

LETTERS = st.text(alphabet="aeioubcdgklmnprstvwyäöüéß -'’", max_size=20)
TEXTS = LETTERS | st.text(max_size=30)


def kind(one: str, other: str) -> Kind | None:
    told = likeness(Known(one), Known(other))
    return told[0] if told else None


@pytest.mark.parametrize(
    ("one", "other", "alike"),
    [
        ("Example Violet", "example VIOLET", Kind.SAME),
        ("Ünder Test", "Under Test", Kind.SAME),
        ("Test-Violet", "Testviolet", Kind.SPACING),
        ("Test Violet", "Testviolet", Kind.SPACING),
        ("Violet Example", "Example Violet", Kind.ORDER),
        ("Exampel Violet", "Example Violet", Kind.LOOKS),
        ("Exmple Violet", "Example Violet", Kind.LOOKS),
        ("Moss Semafore", "Moss Semaphore", Kind.LOOKS),
        ("Filomina", "Philomena", Kind.SOUNDS),
        ("Lite Blew", "Light Blue", Kind.SOUNDS),
        ("Lite Blue", "Blue Light", Kind.SOUNDS),
        ("Nite Watch", "Knight Watch", Kind.SOUNDS),
        # A German and a French spelling, and how an English ear writes them down.
        ("Schöne Käthe", "Schoene Kaethe", Kind.LOOKS),
        ("Shane Kate", "Schön Käthe", Kind.SOUNDS),
        ("Katrin", "Cathrine", Kind.SOUNDS),
        ("Shato", "Château", Kind.SOUNDS),
        ("Bo Jest", "Beau Geste", Kind.SOUNDS),
        ("Fogel", "Vogel", Kind.LOOKS),
        ("Quillon Teapot", "Marzipan Ledger", None),
        ("Moon", "Mean Ray", None),
        ("Bat", "Beauty", None),
        ("Joy", "Toy", None),
    ],
)
def test_likeness__pairs(one: str, other: str, alike: Kind | None) -> None:
    assert kind(one, other) == alike


@given(TEXTS, TEXTS)
@settings(max_examples=200)
def test_likeness__is_the_same_both_ways_round(one: str, other: str) -> None:
    assert likeness(Known(one), Known(other)) == likeness(Known(other), Known(one))


@given(TEXTS)
@settings(max_examples=60)
def test_likeness__every_name_is_like_itself(text: str) -> None:
    assert likeness(Known(text), Known(text)) == (Kind.SAME, 1.0)


@given(st.text(alphabet="abcdefghijklmnoprstuvw", min_size=8, max_size=14), st.data())
@settings(max_examples=60)
def test_names__find_a_name_with_two_letters_swapped(name: str, data: st.DataObject) -> None:
    at = data.draw(st.integers(0, len(name) - 2))
    typed = name[:at] + name[at + 1] + name[at] + name[at + 2 :]
    found = Names([("Somebody Else", 1), (name, 2)]).like(typed)
    assert [each.known.key for each in found] == [2]


@given(st.lists(TEXTS, max_size=6), TEXTS)
@settings(max_examples=80)
def test_names__miss_nothing_that_two_names_by_themselves_are(stock: list[str], asked: str) -> None:
    plain = Known(asked.strip("'‘’‚‛′＇`´ "))
    found = {each.known.key for each in Names([(text, text) for text in stock]).like(plain.text)}
    wanted = {text for text in stock if fold(text) and likeness(plain, Known(text))}
    assert wanted <= found if fold(plain.text) else not found


def test_names__the_closest_stands_first() -> None:
    names = Names([("Light Blew", 1), ("Light Blue", 2), ("Blue Light", 3), ("Zyntra", 4)])
    assert [each.known.key for each in names.like("light  blue")] == [2, 3, 1]


def test_names__say_in_which_way() -> None:
    (like,) = Names([("Example Violet", 7)]).like("Exampel Violet")
    assert like.sentence == "‘Example Violet’ looks alike: 1 letter differs."
    assert (like.finding.severity, like.finding.article) == (Severity.DOUBT, "Article 21")


def test_names__the_same_name_breaks_the_rule() -> None:
    (like,) = Names([("Example Violet", 7)]).like("‘EXAMPLE Violet’")
    assert like.finding.severity == Severity.BREAKS


def test_names__made_ready_before_are_lent() -> None:
    before = Names([("Example Violet", 7)])
    after = Names([("Example Violet", 7), ("Zyntra", 8)], before)
    assert after.known[0] is before.known[0]
    assert [each.known.key for each in after.like("Zintra")] == [8]


@pytest.mark.parametrize("text", ["", " ", "''", "\u202e", "🌸"])
def test_names__bear_nonsense(text: str) -> None:
    assert Names([("Example Violet", 7)]).like(text) == []


@pytest.mark.parametrize(("word", "sounds"), [("Łódka", True), ("花", False), ("Test2", False)])
def test_ears__hear_latin_letters_only(word: str, sounds: bool) -> None:
    assert bool(ears_of(word)) == sounds
