from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evaluation.stalk import Opening, Stalk, StalkError, bloom_days, format_stalk, parse_stalk

buds = st.integers(0, 6)
stalks = st.builds(
    Stalk,
    buds,
    st.lists(buds, max_size=8).map(tuple),
    st.lists(buds, max_size=4).map(tuple),
)
GOOD = Stalk(3, (2, 2, 2), (1,))


@given(stalks)
def test_parse_stalk__reads_what_format_writes(stalk: Stalk) -> None:
    assert parse_stalk(format_stalk(stalk)) == stalk
    assert parse_stalk(format_stalk(stalk).lower().replace(" ", "")) == stalk


@pytest.mark.parametrize(
    "text",
    ["T3 B2 B2 B2 S1", "t3b2b2b2s1", " T3, B2;B2+B2\tS1 ", "S1 B2 T3 B2 B2", "T 3 B 2 B2 B2 S1"],
)
def test_parse_stalk__as_typed_by_hand(text: str) -> None:
    assert parse_stalk(text) == GOOD


def test_parse_stalk__order_of_branches_is_kept() -> None:
    assert parse_stalk("T3 B3 S0 B1 B2 S2") == Stalk(3, (3, 1, 2), (0, 2))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "No buds are counted yet"),
        (" , ", "No buds are counted yet"),
        ("B2 B2", "The terminal is missing"),
        ("T3 T2", "The terminal stands more than once"),
        ("T3 B", "A branch stands without its buds: write it as B2"),
        ("T3 S", "A spur stands without its buds"),
        ("T3 B7", "B7: a branch has between 0 and 6 buds"),
        ("T12", "T12: a terminal has between 0 and 6 buds"),
        ("T3 X2", "“X2” is no socket"),
        ("3 2 2", "“322” is no socket"),
        ("T3 B2 – S1", "“–” is no socket"),
        ("T3 BRANCH2", "“BRANCH2” is no socket"),
        ("T3 B-1", "without its buds"),
        ("T3" + " B2" * 9, "at most 8 branches"),
        ("T3" + " S1" * 5, "at most 4 spurs"),
        ("T" + "9" * 100, "too long for one stalk"),
        ("T٣", "between 0 and 6"),
    ],
)
def test_parse_stalk__refuses_in_a_sentence(text: str, words: str) -> None:
    with pytest.raises(StalkError, match=words):
        parse_stalk(text)


@given(st.text(alphabet="TBStbs0123456789 ,;.x-\n", max_size=40))
def test_parse_stalk__any_text_is_read_or_refused(text: str) -> None:
    try:
        stalk = parse_stalk(text)
    except StalkError:
        return
    assert parse_stalk(format_stalk(stalk)) == stalk


@pytest.mark.parametrize("buds", [7, -1, 2.0, True, None])
def test_stalk__buds_out_of_bounds(buds: object) -> None:
    with pytest.raises(StalkError, match="between 0 and 6 buds"):
        Stalk(3, (buds,))


def test_stalk__counts() -> None:
    assert (GOOD.buds, GOOD.positions) == (10, 5)
    assert (Stalk(3, (0, 2)).buds, Stalk(3, (0, 2)).positions) == (5, 2)
    assert str(GOOD) == "T3 B2 B2 B2 S1"


@pytest.mark.parametrize(
    ("stalk", "words"),
    [
        (GOOD, "10 buds in 5 positions: terminal 3; branches 2, 2, 2; spur 1"),
        (Stalk(1), "1 bud in 1 position: terminal 1"),
        (Stalk(0, (1,), (0, 2)), "3 buds in 2 positions: terminal 0; branch 1; spurs 0, 2"),
    ],
)
def test_stalk__in_words(stalk: Stalk, words: str) -> None:
    assert stalk.words() == words


SURE = Opening(3, 0, 1, 0, 2, 0)


@pytest.mark.parametrize(
    ("stalk", "days", "whole"),
    [
        (Stalk(0), 0, 0),
        (Stalk(1), 3, 3),
        (Stalk(2), 6, 7),  # 0-3, 4-7
        (Stalk(1, (1,)), 5, 5),  # 0-3, 2-5
        (Stalk(2, (2,)), 9, 9),  # 0-3, 4-7; 2-5, 6-9
        (Stalk(1, (), (1,)), 4, 4),  # 0-3, 1-4
        (Stalk(1, (0, 0, 1)), 6, 9),  # 0-3, 6-9
    ],
)
def test_bloom_days__without_spread_as_by_hand(stalk: Stalk, days: float, whole: float) -> None:
    bloom = bloom_days(stalk, SURE)
    assert (bloom.days, bloom.low, bloom.high) == pytest.approx((days,) * 3)
    assert bloom.from_first_to_last == pytest.approx(whole)


def test_bloom_days__one_flower_lives_its_mean() -> None:
    bloom = bloom_days(Stalk(1))
    # 2,000 lives with a spread of 0.75: four standard errors.
    assert bloom.days == pytest.approx(3, abs=4 * 0.75 / 2000**0.5)
    assert 1.7 < bloom.low < bloom.days < bloom.high < 4.6


def test_bloom_days__second_buds_lengthen_bloom() -> None:
    single, double = bloom_days(Stalk(1, (1, 1, 1))), bloom_days(Stalk(2, (2, 2, 2)))
    assert double.days > single.days + 3
    assert double.first_buds_only == pytest.approx(single.days)


@settings(max_examples=60, deadline=None)
@given(stalks, st.floats(-3, 4), st.floats(0, 4), st.data())
def test_bloom_days__more_buds_never_shorten_bloom(
    stalk: Stalk, pause: float, stagger: float, data: st.DataObject
) -> None:
    how = Opening(pause=pause, stagger=stagger)
    longer = [stalk.terminal + 1, *stalk.branches]
    more = [Stalk(longer[0], stalk.branches, stalk.spurs)] if longer[0] <= 6 else []
    if len(stalk.branches) < 8:
        more.append(Stalk(stalk.terminal, (*stalk.branches, 1), stalk.spurs))
    if len(stalk.spurs) < 4:
        more.append(Stalk(stalk.terminal, stalk.branches, (*stalk.spurs, 1)))
    if more:
        richer = data.draw(st.sampled_from(more))
        assert bloom_days(richer, how).days >= bloom_days(stalk, how).days - 1e-9


@settings(max_examples=30, deadline=None)
@given(stalks)
def test_bloom_days__numbers_are_in_order(stalk: Stalk) -> None:
    bloom = bloom_days(stalk)
    assert 0 <= bloom.low <= bloom.days <= bloom.high or stalk.buds == 0
    assert bloom.first_buds_only <= bloom.days + 1e-9
    assert bloom.days <= bloom.from_first_to_last + 1e-9


def test_bloom__sentences() -> None:
    assert bloom_days(Stalk(0)).sentence() == "No buds, no bloom."
    told = bloom_days(Stalk(2, (2, 2)), SURE).sentence()
    assert told == "About 11 days in bloom (11 to 11); 7 if each socket had one bud."
    assert "if each" not in bloom_days(Stalk(1), SURE).sentence()


def test_opening__explains_itself() -> None:
    assert Opening().explained() == (
        "Reckoned, not observed: a flower open for about 3 days, each next one in a socket 1 day "
        "after the one before has faded, and each socket down the stalk beginning 2 days later."
    )
    assert "0.5 days before the one before fades" in Opening(pause=-0.5).explained()


@pytest.mark.parametrize(
    "given",
    [{"flower_life_days": 0}, {"life_spread": -1}, {"stagger": -1}, {"pause": float("nan")}],
)
def test_opening__refuses(given: dict) -> None:
    with pytest.raises(ValueError, match="days"):
        Opening(**given)
