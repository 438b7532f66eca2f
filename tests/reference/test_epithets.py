"""Proposed names against the published rules.

International Code of Nomenclature for Cultivated Plants, 9th edition (2016), Article 21, as told
by a naming guide that follows it, by the quick guide of the International Society for
Horticultural Science, and by guides of registrars. The code itself was seen only up to its
contents, so no paragraph is named. Examples are invented.
"""

from __future__ import annotations

import pytest

from garden.epithets import RULES, Severity, Standing, check, corrected, counted
from garden.epithets.words import BANNED_OLDER, BANNED_READ


def told(text: str, rule: str) -> list:
    return [each for each in check(text) if each.rule == rule]


def breaks(text: str) -> set[str]:
    return {each.rule for each in check(text) if each.severity == Severity.BREAKS}


# Not more than 30 characters, spaces and quotation marks not counted (since 1996).
@pytest.mark.parametrize(
    ("text", "many"),
    [("A" * 30, 30), ("Abcdefghij Klmnopqrst Uvwxyzabcd", 30), ("'" + "A" * 30 + "'", 30),
     ("“Example Violet”", 13), ("Test’s Joy!", 10)],
)  # fmt: skip
def test_length__spaces_and_quotation_marks_do_not_count(text: str, many: int) -> None:
    assert counted(text) == many
    assert "length" not in breaks(text)


@pytest.mark.parametrize("text", ["A" * 31, "Abcdefghij Klmnopqrst Uvwxyzabcde"])
def test_length__thirty_one_are_too_many(text: str) -> None:
    (finding,) = told(text, "length")
    assert (finding.severity, finding.article) == (Severity.BREAKS, "Article 21")
    assert finding.standing == Standing.VERIFIED
    assert finding.sentence.startswith("31 signs")


# Not only a single letter, not only numerals.
@pytest.mark.parametrize("text", ["Q", "q", "'Q'", "2026", "20 26", "20-26"])
def test_something__no_single_letter_and_no_numerals_alone(text: str) -> None:
    assert "something" in breaks(text)


@pytest.mark.parametrize("text", ["Qu", "Q 1", "Zyntra", "Example Violet"])
def test_something__two_letters_or_a_letter_and_numerals_will_do(text: str) -> None:
    assert "something" not in breaks(text)


# May be a code of up to 10 letters.
@pytest.mark.parametrize(
    ("text", "found"), [("ZYNTRAABCD", 0), ("ZYNTRAABCDE", 1), ("ZYN123456789", 1), ("Zyntra", 0)]
)
def test_code__at_most_ten_letters(text: str, found: int) -> None:
    assert len(told(text, "code")) == found
    assert not breaks(text)


# Banned words, in singular and plural, as whole words.
@pytest.mark.parametrize("word", [*BANNED_READ, *BANNED_READ.values()])
def test_banned__words_of_the_code_in_singular_and_plural(word: str) -> None:
    for text in (f"Test {word.capitalize()}", f"{word.upper()} of Test", f"Test-{word}"):
        (finding,) = told(text, "banned")
        assert (finding.severity, finding.standing) == (Severity.BREAKS, Standing.VERIFIED)
        assert "from memory" not in finding.source


def test_banned__the_list_as_it_was_read() -> None:
    assert set(BANNED_READ) == {
        "form", "variety", "cultivar", "grex", "group", "hybrid", "maintenance", "mixture",
        "selection", "series", "sport",
    }  # fmt: skip
    assert set(BANNED_OLDER) == {"strain", "improved", "transformed", "mutant", "seedling"}


@pytest.mark.parametrize("text", ["Test Strain", "Improved Test", "Test Mutants", "Test Seedling"])
def test_banned__words_of_an_older_list_say_so(text: str) -> None:
    (finding,) = told(text, "banned")
    assert "older list" in finding.source
    assert "memory" in finding.source


@pytest.mark.parametrize(
    ("text", "language"),
    [("Test Gruppe", "German"), ("Sämling Test", "German"), ("Test Mélange", "French"),
     ("Zaailing Test", "Dutch"), ("Ibridi Test", "Italian"), ("Híbrido Test", "Spanish")],
)  # fmt: skip
def test_banned__in_other_languages_from_memory(text: str, language: str) -> None:
    (finding,) = told(text, "banned")
    assert finding.severity == Severity.BREAKS
    assert f"is {language} for" in finding.sentence
    assert finding.standing == Standing.MEMORY or "memory" in finding.source


@pytest.mark.parametrize("text", ["Test Platform", "Formosa Test", "Transport Test", "Serial Test"])
def test_banned__only_as_whole_words(text: str) -> None:
    assert told(text, "banned") == []


# Not wholly Latin since 1 January 1959: not decidable by a program, so a doubt.
@pytest.mark.parametrize("text", ["Violacea Pulchra", "Variegata", "Alba Grandiflora"])
def test_latin__is_a_doubt(text: str) -> None:
    assert [each.severity for each in told(text, "latin")] == [Severity.DOUBT]


@pytest.mark.parametrize("text", ["Example Violet", "Zyntra", "Test Alba", "Sonata"])
def test_latin__nothing_of_names_that_are_not_wholly_so(text: str) -> None:
    assert told(text, "latin") == []


# No superlatives or exaggerated merit: a warning only.
def test_praise__is_a_doubt() -> None:
    assert [each.severity for each in told("Best Test Ever", "praise")] == [Severity.DOUBT]
    assert breaks("Best Test Ever") == set()
    assert told("Forest Test", "praise") == []


# Initial capitals, except conjunctions, prepositions and words after a hyphen.
@pytest.mark.parametrize(
    "text", ["Light of Test", "Test and Joy", "Test-light", "Test-Light", "Licht und Test",
             "Fleur d’Or", "2 Tests"]
)  # fmt: skip
def test_capitals__as_they_should_be(text: str) -> None:
    assert told(text, "capitals") == []


@pytest.mark.parametrize(
    ("text", "better"),
    [("test violet", "Test Violet"), ("Test violet", "Test Violet"),
     ("light of test", "Light of Test"), ("élan Test", "Élan Test"),
     ("test-violet Joy", "Test-violet Joy")],
)  # fmt: skip
def test_capitals__missing_ones_break_the_rule_and_are_offered(text: str, better: str) -> None:
    assert "capitals" in breaks(text)
    assert corrected(text) == better


def test_capitals__a_large_preposition_gets_a_hint() -> None:
    (finding,) = told("Light Of Test", "capitals")
    assert (finding.severity, finding.correction) == (Severity.NOTE, "Light of Test")


def test_capitals__scripts_without_capitals_have_none() -> None:
    assert told("שלום עולם", "capitals") == []


# Single quotation marks, never double, no 'cv.'.
@pytest.mark.parametrize("text", ['"Example Violet"', "“Example Violet”", "Example „Violet“"])
def test_quotation__double_marks_break_the_rule(text: str) -> None:
    assert "quotation" in breaks(text)
    assert corrected(text) == "Example Violet"


def test_quotation__single_marks_stand_round_a_name() -> None:
    for text in ("'Example Violet'", "‘Example Violet’"):
        assert check(text) == []
        assert corrected(text) == "Example Violet"


def test_cultivar_mark__is_gone() -> None:
    assert "cultivar mark" in breaks("cv. Example Violet")
    assert corrected("cv. Example Violet") == "Example Violet"


# Apostrophe, comma, one exclamation mark, hyphen, full stop (1995 Code).
@pytest.mark.parametrize("text", ["Test's Joy!", "Test, Joy", "St. Test", "Test-Joy", "Test’s Joy"])
def test_signs__those_of_1995_are_fine(text: str) -> None:
    assert breaks(text) == set()
    assert told(text, "signs") == []


def test_signs__others_break_the_rule_and_say_that_the_newest_list_is_wider() -> None:
    (finding,) = told("Test & Joy?", "signs")
    assert finding.severity == Severity.BREAKS
    assert "1995" in finding.source
    assert "wider, from memory" in finding.source
    assert corrected("Test & Joy?") == "Test and Joy"


def test_exclamation__one_is_certain() -> None:
    assert told("Test!", "exclamation") == []
    assert [each.severity for each in told("Test!!", "exclamation")] == [Severity.DOUBT]
    assert [each.severity for each in told("Test!!!", "exclamation")] == [Severity.BREAKS]
    assert corrected("Test! Joy!") == "Test! Joy"


# The registrar's older text for irises: notes only.
@pytest.mark.parametrize(
    ("text", "rule"),
    [("Mrs. Test", "titles"), ("The Test", "opening"), ("A Test", "opening"),
     ("Test 5", "numerals"), ("Test Iris", "genus"), ("The Test Flag", "genus"),
     ("Test Pallida", "genus"), ("One Test Too Many", "words")],
)  # fmt: skip
def test_registrar__older_rules_are_notes(text: str, rule: str) -> None:
    (finding,) = told(text, rule)
    assert finding.severity == Severity.NOTE
    assert finding.article == ""
    assert "registrar" in finding.source


def test_rules__none_names_a_paragraph_that_was_not_confirmed() -> None:
    assert {rule.source.article for rule in RULES} == {"Article 21", ""}
