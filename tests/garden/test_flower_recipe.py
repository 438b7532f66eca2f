from __future__ import annotations

import re

import pytest

from garden.flower import BEARD_COLOURS, COLOURS, PATTERNS, Recipe


@pytest.mark.parametrize("box", [COLOURS, BEARD_COLOURS])
def test_colours__are_keyed_by_their_word_and_hold_a_hex(box):
    assert all(word == colour.word for word, colour in box.items())
    assert all(re.fullmatch("#[0-9a-f]{6}", colour.hex) for colour in box.values())


def test_colours__stand_together_by_family():
    families = [colour.family for colour in COLOURS.values()]
    changes = sum(1 for one, two in zip(families, families[1:], strict=False) if one != two)
    assert changes == len(set(families)) - 1


def test_patterns__each_has_one_sentence():
    assert "self" in PATTERNS
    assert len(PATTERNS) == 11
    for term, pattern in PATTERNS.items():
        assert term == pattern.term
        assert pattern.meaning.endswith(".")
        assert pattern.meaning.count(".") == 1


def test_from_mapping__takes_case_blanks_and_none():
    record = {"pattern": " Amoena", "standards": "White ", "falls": "violet", "beard": None}
    assert Recipe.from_mapping(record) == Recipe("amoena", "white", "violet")


def test_from_mapping__empty_pattern_is_a_self():
    assert Recipe.from_mapping({"pattern": ""}) == Recipe()


def test_from_mapping__passes_over_other_fields():
    assert Recipe.from_mapping({"height_cm": "90", "falls": "pink"}) == Recipe(falls="pink")


@pytest.mark.parametrize(
    ("field", "word"),
    [
        ("pattern", "striped"),
        ("standards", "mud"),
        ("falls", "mud"),
        ("styles", "mud"),
        ("beard", "chartreuse"),
        ("haft", "tangerine"),
        ("rim", "mud"),
    ],
)
def test_from_mapping__raises_on_unknown_word(field, word):
    with pytest.raises(ValueError, match=f"{field}: .*{word}"):
        Recipe.from_mapping({field: word})


def test_from_mapping__raises_on_a_number():
    with pytest.raises(ValueError, match="falls: .*7"):
        Recipe.from_mapping({"falls": 7})


def test_recipe__raises_on_unknown_word_when_made_directly():
    with pytest.raises(ValueError, match="rim: .*mud"):
        Recipe(rim="mud")
