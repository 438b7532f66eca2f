"""What to expect from a cross: chances over all readings of the parents, intervals, and words."""

from __future__ import annotations

from fractions import Fraction
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from breeding.inheritance import progeny_frequencies
from breeding.inheritance.expecting import Expectation, expect
from breeding.inheritance.genotypes import Sets
from breeding.inheritance.loci import Locus, Type
from breeding.inheritance.mixtures import certain, mixture
from breeding.inheritance.mixtures import product as times
from breeding.inheritance.parents import Mating, exact_types, ratio_in_words
from breeding.inheritance.severalloci import joint_outcomes
from tests.breeding.invented_loci import (
    DWARF,
    FOUR,
    TWO,
    B,
    P,
    T,
    V,
    W,
    by_places,
    copies,
    dominant,
    locus,
    spread,
)  # fmt: skip

five = st.lists(st.sampled_from([0.0, 0.1, 0.3, 1.0]), min_size=5, max_size=5).filter(any)


def diffuse(loci: list[Locus], seed: int = 1, least: float = 0.0) -> Expectation:
    """A cross of two plants of which little is known."""
    dice = np.random.default_rng(seed)
    parents = [
        {each.symbol: by_places(each, (dice.dirichlet(np.full(35, 0.5)) + least).tolist()[:many])
         for each in loci for many in [35 if len(each.alleles) == 4 else 5]}
        for _ in range(2)
    ]  # fmt: skip
    return expect(loci, *parents, FOUR)


def test_expect_of_certain_copies_is_the_ratio_and_has_no_width() -> None:
    told = expect([V], {"V": copies(2)}, {"V": copies(1)}, FOUR)
    chance = told.chance_of({"V": "none"})
    assert (chance.chance, chance.low, chance.high) == pytest.approx((1 / 12,) * 3, abs=1e-15)
    assert (chance.possible, chance.if_possible) == (1.0, pytest.approx(1 / 12))


@settings(max_examples=30, deadline=None)
@given(five, five)
def test_expect_is_the_mean_over_both_parents(one: list[float], other: list[float]) -> None:
    told = expect([V], {"V": spread(*one)}, {"V": spread(*other)}, FOUR)
    whole = sum(one) * sum(other)
    none = [
        (weight * chance / whole, progeny_frequencies(a, b).get(0, Fraction(0)))
        for (a, weight), (b, chance) in product(enumerate(one), enumerate(other))
        if weight * chance
    ]
    found = told.chance_of({"V": "none"})
    assert found.chance == pytest.approx(sum(w * float(q) for w, q in none))
    assert found.possible == pytest.approx(sum(w for w, q in none if q))
    assert found.if_possible * found.possible == pytest.approx(found.chance)
    below = sum(w for w, q in none if float(q) < found.low - 1e-12)
    above = sum(w for w, q in none if float(q) > found.high + 1e-12)
    assert below < 0.05 + 1e-9
    assert above < 0.05 + 1e-9
    assert any(float(q) == pytest.approx(found.low) for _, q in none)


def test_expect_says_what_cannot_come() -> None:
    told = expect([T], {"T": copies(4)}, {"T": spread(0.5, 0.5, 0, 0, 0)}, FOUR)
    chance = told.chance_of({"T": "pink"})
    assert (chance.chance, chance.possible, chance.if_possible) == (0, 0, 0)
    assert [each.types for each in told.outcomes] == [{"T": "other"}]


@pytest.mark.parametrize("loci", [[V, W], [V, W, B], [B, T], [V, W, B, P, T]])
def test_outcomes_agree_with_the_types_combined_one_by_one(loci: list[Locus]) -> None:
    told = diffuse(loci)
    means = {symbol: {key: each.chance for key, each in types.items()}
             for symbol, types in told.by_locus.items()}  # fmt: skip
    oracle = joint_outcomes(loci, means)
    found = {tuple(each.types.items()): each.chance for each in told.outcomes}
    assert found == pytest.approx({seen: chance for seen, chance in oracle.items() if chance})
    assert told.left_out == 0
    chances = [each.chance for each in told.outcomes]
    assert chances == sorted(chances, reverse=True)
    assert sum(chances) == pytest.approx(1)


@pytest.mark.parametrize(
    "wanted",
    [{"B": "strong"}, {"P": "edged", "T": "pink"}, {"V": "violet", "B": ["strong", "weak"]},
     {"W": "white"}, {"V": "none"}, {"V": ["violet", "none"]}, {"V": "none", "W": "white"},
     {"V": "violet", "W": ("white", "coloured")}],
)  # fmt: skip
def test_chance_of_is_the_sum_of_the_outcomes_that_show_it(wanted: dict[str, str]) -> None:
    told = diffuse([V, W, B, P, T], seed=5)
    shown = sum(
        each.chance
        for each in told.outcomes
        if all(
            symbol in each.types
            and each.types[symbol] in ([keys] if isinstance(keys, str) else keys)
            for symbol, keys in wanted.items()
        )
    )
    assert told.chance_of(wanted).chance == pytest.approx(shown, abs=1e-12)


def test_chance_of_sees_nothing_beneath_what_hides_it() -> None:
    """Banded standards under a white that hides them are there, but nobody sees them."""
    parents = {"W": copies(4), "B": copies(4)}
    told = expect([W, B], parents, parents, FOUR)
    assert told.chance_of({"B": "strong"}).possible == 0
    assert told.by_locus["B"]["strong"].chance == 1
    assert [each.types for each in told.outcomes] == [{"W": "white"}]


def test_intervals_of_two_loci_hold_nine_tenths_of_the_joint_readings() -> None:
    mine, yours = spread(0, 0.2, 0.3, 0.5, 0), spread(0.6, 0.3, 0.1, 0, 0)
    told = expect([V, T], {"V": mine, "T": mine}, {"V": yours, "T": yours}, FOUR)
    one = [
        (mine[a] * yours[b], float(exact_types(V, a, b, Mating(FOUR, FOUR, FOUR))["violet"]))
        for a in mine for b in yours
    ]  # fmt: skip
    values = sorted((p * (1 - q), w * v) for (w, p), (v, q) in product(one, one))
    cumulated = np.cumsum([weight for _, weight in values])
    low = values[int(np.argmax(cumulated >= 0.05 - 1e-12))][0]
    high = values[int(np.argmax(cumulated >= 0.95 - 1e-12))][0]
    found = told.chance_of({"V": "violet", "T": "pink"})
    assert (found.low, found.high) == pytest.approx((low, high))
    outcome = next(each for each in told.outcomes if each.types == {"V": "violet", "T": "pink"})
    # The sheet's interval comes from readings in equal steps: the same to a step.
    assert (outcome.low, outcome.high) == pytest.approx((low, high), abs=0.02)
    assert outcome.chance == pytest.approx(found.chance)


def test_expect_of_a_selfed_plant_keeps_both_sides_alike() -> None:
    unsure = {"V": spread(0, 0, 0.5, 0, 0.5)}
    selfed, crossed = expect([V], unsure, None, FOUR), expect([V], unsure, unsure, FOUR)
    assert selfed.chance_of({"V": "none"}).chance == pytest.approx(1 / 72)
    assert crossed.chance_of({"V": "none"}).chance == pytest.approx(1 / 144)


def test_expect_of_a_dwarf_tells_one_pair_from_two() -> None:
    """Two copies in one pair of sets breed true; one in each of two pairs gives 1 in 16 without."""
    pairs, apart = {"V": {((2, 0), (0, 2)): 1.0}}, {"V": {((1, 1), (1, 1)): 1.0}}
    assert expect([V], pairs, None, DWARF).chance_of({"V": "none"}).possible == 0
    assert expect([V], apart, None, DWARF).chance_of({"V": "none"}).chance == 1 / 16


def test_expect_across_ploidies() -> None:
    """A tetraploid by a diploid: a triploid by reduced gametes, a tetraploid by unreduced ones."""
    seed, pollen = {"V": copies(2)}, {"V": copies(1, TWO)}
    triploid = expect([V], seed, pollen, FOUR, TWO, Sets((3,)))
    assert triploid.chance_of({"V": "none"}).chance == pytest.approx(1 / 12)
    tetraploid = expect([V], seed, pollen, FOUR, TWO, FOUR)
    assert tetraploid.chance_of({"V": "none"}).chance == 0
    # A triploid selfed: gametes of one and of two sets, of which 2/3 and 1/3 carry no copy.
    odd = expect([V], {"V": {((1, 2),): 1.0}}, None, Sets((3,)))
    assert odd.chance_of({"V": "none"}).chance == pytest.approx(2 / 9)


def test_expect_refuses_what_does_not_fit() -> None:
    with pytest.raises(ValueError, match="copies of T are missing"):
        expect([V, T], {"V": copies(1)}, {"V": copies(1)}, FOUR)
    with pytest.raises(ValueError, match="no genotype of"):
        expect([V], {"V": copies(1, TWO)}, {"V": copies(1)}, FOUR)
    with pytest.raises(ValueError, match="some genotype must be possible"):
        expect([V], {"V": spread(0, 0, 0, 0, 0)}, {"V": copies(1)}, FOUR)
    with pytest.raises(ValueError, match="No gametes of plants"):
        expect([V], {"V": copies(1)}, {"V": copies(1)}, FOUR, FOUR, Sets((7,)))
    told = expect([V], {"V": copies(1)}, None, FOUR)
    for wanted in ({"V": "blue"}, {"T": "pink"}, {"V": ()}):
        with pytest.raises(ValueError, match="is looked at"):
            told.chance_of(wanted)


def test_explain_names_the_likely_readings() -> None:
    told = expect([V], {"V": spread(0, 0.7, 0.3, 0, 0)}, {"V": copies(0)}, FOUR)
    first, second = told.explain("V")
    assert (first.seed_copies, first.pollen_copies, first.ratio) == (1, 0, "1 in 2")
    assert (second.seed_copies, second.ratio) == (2, "5 in 6")
    assert (first.probability, second.probability) == pytest.approx((0.7, 0.3))
    assert told.explain("V", "none")[1].chances["none"] == Fraction(1, 6)


def test_explain_speaks_of_the_counted_allele() -> None:
    """Of pink the breeder counts the recessive."""
    (reading,) = expect([T], {"T": copies(1)}, {"T": copies(4)}, FOUR).explain("T", "pink")
    assert (reading.seed_copies, reading.pollen_copies, reading.ratio) == (3, 0, "none")


@pytest.mark.parametrize(
    ("chance", "words"),
    [("0", "none"), ("1", "all"), ("35/36", "35 in 36"), ("559/784", "559 in 784"),
     ("1/1296", "1 in 1,296"), ("1001/1002", "all but about 1 in 1,002"),
     ("3/2000", "about 1 in 667"), ("1001/2002", "1 in 2"), ("501/1003", "about 500 in 1,000")],
)  # fmt: skip
def test_ratio_in_words(chance: str, words: str) -> None:
    assert ratio_in_words(Fraction(chance)) == words


def test_outcomes_leave_out_only_the_rarest_and_say_so() -> None:
    loci = [dominant(symbol) for symbol in "ABCDEFGHIJKLM"]
    parents = {each.symbol: copies(2) for each in loci}
    told = expect(loci, parents, parents, FOUR)
    assert len(told.outcomes) == 2048
    assert sum(each.chance for each in told.outcomes) == pytest.approx(1 - told.left_out)
    assert 0 < told.left_out < 1e-5


def test_chance_of_with_wanted_types_that_different_loci_hide() -> None:
    """Added reading by reading: what hides one wanted type does not hide the other."""
    one = locus("A", ("A", "a"), Type("x", "x", (("A", 1),), hides=("C",)), Type("y", "y"))
    other = locus("C", ("C", "c"), Type("u", "u", (("C", 1),)), Type("w", "w", hides=("A",)))
    loci, unsure = [one, other], spread(0.1, 0.2, 0.3, 0.3, 0.1)
    told = expect(loci, dict.fromkeys("AC", unsure), dict.fromkeys("AC", unsure), FOUR)
    shown = sum(each.chance for each in told.outcomes if "A" in each.types)
    assert told.chance_of({"A": ("x", "y")}).chance == pytest.approx(shown, abs=1e-3)


def test_mixture_keeps_mean_and_zero_when_drawn_together() -> None:
    dice = np.random.default_rng(1)
    values = np.concatenate(([0.0], dice.random(5000)))
    told = mixture(values, dice.random(5001))
    few = told.drawn_together(100)
    assert len(few.values) <= 101
    assert few.mean == pytest.approx(told.mean)
    assert few.possible == pytest.approx(told.possible)
    assert few.quantile(0.05) == pytest.approx(told.quantile(0.05), abs=0.02)


def test_mixture_of_products() -> None:
    one, other = mixture([0, 0.5], [0.25, 0.75]), mixture([0.5, 1], [0.5, 0.5])
    both = one.times(other)
    assert both.values.tolist() == [0, 0.25, 0.5]
    assert both.weights.tolist() == pytest.approx([0.25, 0.375, 0.375])
    assert times([certain(Fraction(1, 36))] * 4).exact == Fraction(1, 1679616)
    assert mixture([1e-14, 0], [1, 1]).possible == 0.5


@pytest.mark.parametrize(("values", "weights"), [([1], [1, 2]), ([-1], [1]), ([1], [0]), ([], [])])
def test_mixture_refuses_nonsense(values: list[float], weights: list[float]) -> None:
    with pytest.raises(ValueError, match="weight"):
        mixture(values, weights)


def test_the_series_of_four_alleles_is_dominant_in_order() -> None:
    """r r r r by r r r r: all clear; one p in one parent: half of the seedlings edged."""
    clear, edged = {((0, 0, 0, 4),): 1.0}, {((0, 1, 0, 3),): 1.0}
    told = expect([P], {"P": edged}, {"P": clear}, FOUR)
    assert {each.types["P"]: each.chance for each in told.outcomes} == {"edged": 0.5, "clear": 0.5}


def test_double_reduction_is_that_of_four_sets_that_pair_freely() -> None:
    """As in the inference: neither six sets nor uneven ones have any."""
    six = Sets((6,))
    assert Mating(FOUR, FOUR, FOUR, "1/7").rates == ("1/7", "1/7")
    assert Mating(FOUR, FOUR, FOUR, "1/7", (True, False)).rates == (0, "1/7")
    assert Mating(six, FOUR, Sets((5,)), "1/7").rates == (0, "1/7")
    assert Mating(DWARF, FOUR, FOUR, "1/7").rates == (0, "1/7")
    assert Mating(six, six, six, "1/7").rates == (0, 0)


@pytest.mark.parametrize("uneven", list(product((False, True), repeat=2)))
def test_double_reduction_reaches_each_side_by_itself(uneven: tuple[bool, bool]) -> None:
    """A triplex plant gives gametes without V by double reduction alone: one in 28 at 1/7."""
    rate = Fraction(1, 7)
    told = expect([V], {"V": copies(3)}, {"V": copies(3)}, FOUR, double_reduction=rate,
                  uneven=uneven)  # fmt: skip
    none = [Fraction(0) if side else Fraction(1, 28) for side in uneven]
    mating = told.crosses["V"].mating
    exact = exact_types(V, ((3, 1),), ((3, 1),), mating)
    assert exact["none"] == none[0] * none[1]
    assert told.chance_of({"V": "none"}).chance == pytest.approx(float(exact["none"]), abs=1e-12)
    with_pure = expect([V], {"V": copies(3)}, {"V": copies(0)}, FOUR, double_reduction=rate,
                       uneven=uneven)  # fmt: skip
    assert with_pure.chance_of({"V": "none"}).chance == pytest.approx(float(none[0]))


def test_double_reduction_of_six_sets_is_none() -> None:
    six = Sets((6,))
    bare, told = (
        expect([V], {"V": {((4, 2),): 1.0}}, {"V": {((4, 2),): 1.0}}, six, double_reduction=rate)
        for rate in (0, Fraction(1, 7))
    )
    assert told.chance_of({"V": "none"}) == bare.chance_of({"V": "none"})
