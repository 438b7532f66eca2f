"""What is said of any text as a name, and what is offered instead."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from garden.epithets import RULES, Name, Severity, check, corrected
from garden.epithets.findings import CAREFUL, Rule, Said

PIECES = st.sampled_from(
    ["light", "Of", "of", "the", "Test", "cv.", '"', "“", "&", "!", "!!", "d’or", "l'", "é", "ß",
     "-", "/", "2", "½", "ǆ", "ŉ", "ΐ", "花", "\u200d", "'", "’", "best", "Gruppe", "(", "iris"]
)  # fmt: skip
TEXTS = st.text(max_size=50) | st.lists(PIECES, max_size=8).map(" ".join) | (
    st.lists(PIECES, max_size=6).map("".join)
)  # fmt: skip
BY_KEY = {rule.key: rule for rule in RULES}


@given(TEXTS)
@settings(max_examples=300)
def test_check__never_fails_and_says_a_sentence(text: str) -> None:
    for finding in check(text):
        assert finding.sentence.endswith((".", ")"))
        assert finding.source
        assert finding.correction != Name.read(text).text


@given(TEXTS)
@settings(max_examples=400)
def test_check__a_correction_passes_the_rule_that_it_mends(text: str) -> None:
    for finding in check(text):
        if finding.correction:
            again = check(finding.correction, (BY_KEY[finding.rule],))
            # What else that rule finds, it offers nothing more for.
            assert finding.sentence not in [each.sentence for each in again]
            assert not [each for each in again if each.correction]


@given(TEXTS)
@settings(max_examples=200)
def test_corrected__is_done_at_once_and_offers_nothing_more(text: str) -> None:
    better = corrected(text)
    assert corrected(better) == better
    assert not [each for each in check(better) if each.correction]


@given(TEXTS)
@settings(max_examples=100)
def test_check__quotation_marks_round_it_change_nothing(text: str) -> None:
    plain = Name.read(text).text
    assert check(f"'{plain}'") == check(plain)


def test_check__the_gravest_stands_first() -> None:
    found = [each.severity for each in check("best Test of the iris Group 2")]
    assert found == sorted(found, key=list(Severity).index)
    assert set(found) == set(Severity)


def test_check__of_nothing_says_nothing() -> None:
    assert check(" '' ") == []


def test_check__takes_a_rule_of_ones_own() -> None:
    def no_rain(name: Name):
        if "rain" in name.folded:
            yield Said(Severity.NOTE, "It rains enough.")

    (finding,) = check("Rain on Test", (Rule("rain", CAREFUL, no_rain),))
    assert (finding.rule, finding.sentence, finding.article) == ("rain", "It rains enough.", "")


@pytest.mark.parametrize(
    ("text", "better"),
    [("light Of test", "Light of Test"), ('"test & joy"!!', "Test and Joy!"),
     ("cv. test", "Test"), ("Example Violet", "Example Violet"), ("", "")],
)  # fmt: skip
def test_corrected__all_that_is_mechanical(text: str, better: str) -> None:
    assert corrected(text) == better


def test_scripts__letters_that_only_look_latin() -> None:
    assert [each.severity for each in check("Tеst Violet")] == [Severity.DOUBT]
    assert [each.severity for each in check("Весна")] == [Severity.NOTE]
