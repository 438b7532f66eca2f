"""Loci as data: what makes one, what hides what, and what recorded colours tell."""

from __future__ import annotations

import json
from collections.abc import Callable
from copy import deepcopy
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from breeding.inheritance import (
    Confidence,
    Locus,
    Sets,
    joint_outcomes,
    locus_from_mapping,
    locus_to_mapping,
    visible,
)
from breeding.inheritance.loci import types_of
from breeding.inheritance.reading import read

FIXTURES = Path(__file__).resolve().parent.parent.parent / "fixtures"
ORDER = ("V", "I", "Pl", "Is", "Ae", "Y", "t")


@cache
def table() -> dict[str, Locus]:
    """The loci that every garden begins with."""
    every = [
        locus_from_mapping(json.loads(path.read_text(encoding="utf-8")))
        for path in (FIXTURES / "loci").glob("*.json")
    ]
    return {locus.symbol: locus for locus in sorted(every, key=lambda at: ORDER.index(at.symbol))}


PLAIN: dict[str, Any] = {
    "symbol": "D", "name": "dark throat", "alleles": ["D", "d"], "source": "own notes",
    "confidence": "supposed",
    "types": [
        {"key": "dark", "name": "dark", "needs": {"D": 2}, "paint": {"haft": "brown"},
         "signs": [{"haft": ["brown", "red"]}]},
        {"key": "pale", "name": "pale"},
    ],
}  # fmt: skip


def test_table__holds_the_loci_that_breeders_work_with() -> None:
    assert tuple(table()) == ORDER
    assert table()["Pl"].alleles == ("Pl", "pl", "pl-lu", "pl-a")
    assert table()["t"].alleles == ("T", "t")
    assert [table()[symbol].counted for symbol in ("V", "t", "Pl")] == ["V", "t", "pl"]


@pytest.mark.parametrize("symbol", ORDER)
def test_table__names_source_and_confidence_of_each(symbol: str) -> None:
    locus = table()[symbol]
    assert "1997" in locus.source
    assert "was not read" in locus.source
    assert locus.confidence is not Confidence.ESTABLISHED
    assert locus.note


@pytest.mark.parametrize("symbol", ORDER)
def test_locus__comes_back_from_plain_words(symbol: str) -> None:
    locus = table()[symbol]
    assert locus_from_mapping(json.loads(json.dumps(locus_to_mapping(locus)))) == locus
    assert hash(locus) == hash(locus_from_mapping(locus_to_mapping(locus)))


@pytest.mark.parametrize(
    ("copies", "key"),
    [((1, 3, 0, 0), "full"), ((0, 1, 3, 0), "plicata"), ((0, 1, 0, 3), "plicata"),
     ((0, 0, 1, 3), "luminata"), ((0, 0, 0, 4), "glaciata"), ((0, 0, 0, 2), "glaciata")],
)  # fmt: skip
def test_type_of__a_series_of_alleles(copies: tuple[int, ...], key: str) -> None:
    assert table()["Pl"].type_of(copies).key == key


@pytest.mark.parametrize(
    ("symbol", "keys"),
    [("t", ["pink", "not-pink", "not-pink", "not-pink", "not-pink"]),
     ("Is", ["coloured", "paled", "clear", "clear", "clear"]),
     ("Ae", ["usual", "deep", "deep", "deepest", "deepest"]),
     ("I", ["free", "held-back", "held-back", "held-back", "held-back"])],
)  # fmt: skip
def test_types_of__recessive_graded_and_dominant(symbol: str, keys: list[str]) -> None:
    """By copies 0 to 4 of the first allele."""
    locus = table()[symbol]
    assert [locus.types[at].key for at in types_of(locus, Sets((4,)))] == keys


def test_wrong_odds__by_confidence() -> None:
    assert [table()[symbol].wrong_odds for symbol in ("Ae", "V")] == [0.3, 0.1]


def test_type_named__unknown() -> None:
    with pytest.raises(KeyError, match="mauve"):
        table()["V"].type_named("mauve")


def dark(told: dict[str, Any], **fields: object) -> None:
    told["types"][0].update(fields)


def changed(change: Callable[[dict[str, Any]], object]) -> dict[str, Any]:
    told = deepcopy(PLAIN)
    change(told)
    return told


def test_locus_from_mapping__a_breeders_own() -> None:
    found = locus_from_mapping(PLAIN)
    assert found.type_of((2, 2)).key == "dark"
    assert read(found, {"haft": "maroon"}) == "dark"
    assert (found.counted, found.note) == ("D", "")


WRONG: list[tuple[str, Callable[[dict[str, Any]], object]]] = [
    ("lacks its source", lambda told: told.pop("source")),
    ("says 'colour', which is not known", lambda told: told.update(colour="red")),
    ("symbol must be words", lambda told: told.update(symbol=5)),
    ("symbol of one to eight letters", lambda told: told.update(symbol=" ")),
    ("a name of at most 60", lambda told: told.update(name="")),
    ("alleles must be a list", lambda told: told.update(alleles="Dd")),
    ("two to four different alleles", lambda told: told.update(alleles=["D"])),
    ("two to four different alleles", lambda told: told.update(alleles=["D", "D"])),
    ("two to four different alleles", lambda told: told.update(alleles=list("Ddefg"))),
    ("copies of x cannot be counted", lambda told: told.update(counted="x")),
    ("How sure is it", lambda told: told.update(confidence="certain")),
    ("types must be a list", lambda told: told.update(types={})),
    ("two to six types", lambda told: told["types"].pop()),
    ("must say its key and its name", lambda told: told["types"].append("pale")),
    ("A type lacks its name", lambda told: told["types"][0].pop("name")),
    ("needs a key of its own", lambda told: dark(told, key="pale")),
    ("needs a name of its own", lambda told: dark(told, name="pale")),
    ("takes all plants that are left", lambda told: told["types"][1].update(needs={"d": 4})),
    ("only the last type needs none", lambda told: told["types"][0].pop("needs")),
    ("asks for E, but the alleles of D are D, d", lambda told: dark(told, needs={"E": 1})),
    ("needs from 1 to 8 copies", lambda told: dark(told, needs={"D": 0})),
    ("needs from 1 to 8 copies", lambda told: dark(told, needs={"D": "two"})),
    ("say its copies by allele", lambda told: dark(told, needs=[1])),
    ("'more' can never show", lambda told: told["types"].insert(
        1, {"key": "more", "name": "more", "needs": {"D": 3}})),
    ("'dark' can never show", lambda told: dark(told, needs={"D": 8, "d": 8})),
    ("no part of a flower: use", lambda told: dark(told, paint={"leaf": "green"})),
    ("paints the haft 'crimson'", lambda told: dark(told, paint={"haft": "crimson"})),
    ("paints the pattern 'striped'", lambda told: dark(told, paint={"pattern": "striped"})),
    ("paints the beard 'ground'", lambda told: dark(told, paint={"beard": "ground"})),
    ("paints the pigment 'darkish'", lambda told: dark(told, paint={"pigment": "darkish"})),
    ("paints the ground 'ground'", lambda told: dark(told, paint={"ground": "ground"})),
    ("painted with words", lambda told: dark(told, paint={"haft": 3})),
    ("is read from 'ground'", lambda told: dark(told, signs=[{"ground": ["white"]}])),
    ("no family of the paint box", lambda told: dark(told, signs=[{"haft": ["crimson"]}])),
    ("not only what is not", lambda told: dark(told, signs=[{"haft": ["!brown"]}])),
    ("not only what is not", lambda told: dark(told, signs=[{}])),
    ("must list its words", lambda told: dark(told, signs=[{"haft": "brown"}])),
    ("its signs as a list", lambda told: dark(told, signs={"haft": ["brown"]})),
    ("cannot hide itself", lambda told: dark(told, hides=["D"])),
    ("as a list of symbols", lambda told: dark(told, hides="V")),
]  # fmt: skip


@pytest.mark.parametrize(("sentence", "change"), WRONG)
def test_locus_from_mapping__says_what_is_wrong(
    sentence: str, change: Callable[[dict[str, Any]], object]
) -> None:
    with pytest.raises(ValueError, match=sentence) as told:
        locus_from_mapping(changed(change))
    assert str(told.value)[-1] in ".?" or "One of:" in str(told.value)


def test_visible__what_hides_pigment_hides_what_works_on_it() -> None:
    types = {"V": "none", "I": "free", "Pl": "plicata", "Is": "clear", "Y": "yellow", "t": "pink"}
    loci = list(table().values())
    assert visible(loci, types) == {"V": "none", "Y": "yellow", "t": "pink"}
    shown = visible(loci, types | {"V": "pigment"})
    assert shown == {"V": "pigment", "I": "free", "Pl": "plicata", "Y": "yellow", "t": "pink"}


def test_visible__of_two_that_hide_each_other_the_earlier() -> None:
    types = {"V": "none", "I": "held-back", "Pl": "glaciata"}
    loci = [table()[symbol] for symbol in ("V", "I", "Pl")]
    assert visible(loci, types) == {"V": "none"}
    assert visible(loci[::-1], types) == {"Pl": "glaciata"}


@given(st.data())
def test_visible__seen_again_is_the_same(data: st.DataObject) -> None:
    loci = list(table().values())
    types = {at.symbol: data.draw(st.sampled_from([t.key for t in at.types])) for at in loci}
    shown = visible(loci, types)
    assert visible(loci, shown) == shown
    assert {"Y", "t"} <= set(shown)


@settings(max_examples=25)
@given(st.data())
def test_joint_outcomes__keep_the_chances_of_what_is_never_hidden(data: st.DataObject) -> None:
    loci = list(table().values())
    chances = {}
    for locus in loci:
        weights = data.draw(st.lists(st.integers(0, 9), min_size=6, max_size=6))
        keys = [type_.key for type_ in locus.types]
        whole = sum(weights[: len(keys)]) + 1
        chances[locus.symbol] = {
            key: (weight + (at == 0)) / whole
            for at, (key, weight) in enumerate(zip(keys, weights, strict=False))
        }
    found = joint_outcomes(loci, chances)
    assert sum(found.values()) == pytest.approx(1)
    assert list(found.values()) == sorted(found.values(), reverse=True)
    yellow = sum(chance for seen, chance in found.items() if ("Y", "yellow") in seen)
    assert yellow == pytest.approx(chances["Y"]["yellow"])
