"""Cases whose answer can be told without a computer, and what the inference says it rests on."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from breeding.inheritance.copies import Family, infer, inferring
from breeding.inheritance.genotypes import Sets, at_random
from breeding.inheritance.loci import Confidence, Locus, Type
from breeding.pedigree import Mode, Pedigree, UnknownPlant
from tests.breeding.copies_garden import VIOLET, simulate

TWO = {"Dusk": (None, None), "Snow": (None, None)}
SEEN = {"Dusk": ["violet"], "Snow": ["white"]}
EVEN = {"V": 0.5, "v": 0.5}


def two(violet, white, **more):
    counts = {"violet": violet, "white": white}
    return infer(Pedigree(TWO, ploidy=4), VIOLET, SEEN, [Family("Dusk", "Snow", counts)], **more)


def test_copies_of_a_violet_whose_seedlings_from_white_are_all_violet_are_three_or_four():
    told = two(20, 0, frequencies=EVEN).copies("Dusk")
    assert sum(told[3:]) > 0.95
    assert told[3] > told[4]
    assert told[0] == 0


def test_copies_of_a_violet_that_gives_half_white_are_one():
    assert two(10, 10, frequencies=EVEN).copies("Dusk")[1] > 0.98


def test_copies_of_a_violet_that_gives_one_white_in_six_are_two():
    assert two(20, 4, frequencies=EVEN).copies("Dusk")[2] > 0.95


def test_copies_of_triplex_that_gives_a_white_need_double_reduction():
    without = two(27, 1, frequencies=EVEN)
    # A triplex gives white one time in 28 by random chromatids, and never without.
    with_it = two(27, 1, frequencies=EVEN, double_reduction=1 / 7)
    assert with_it.copies("Dusk")[3] > without.copies("Dusk")[3]


def test_copies_of_parents_of_a_white_are_at_most_two():
    family = {**TWO, "Ash": ("Dusk", "Snow")}
    told = infer(
        Pedigree(family, ploidy=4), VIOLET,
        {"Dusk": ["violet"], "Snow": ["violet"], "Ash": ["white"]}, frequencies=EVEN,
    )  # fmt: skip
    for parent in TWO:
        assert sum(told.copies(parent)[3:]) < 0.03
    assert told.copies("Ash")[0] == 1


def test_copies_of_nobody_who_was_seen_are_those_of_the_garden():
    told = infer(Pedigree(TWO, ploidy=4), VIOLET, {}, frequencies={"V": 0.2, "v": 0.8})
    assert told.copies("Dusk")[0] == pytest.approx(0.8**4)
    assert told.support("Dusk").bits == pytest.approx(0, abs=1e-12)


def test_copies_support_counts_what_there_is():
    family = {**TWO, "One": ("Dusk", "Snow"), "Two": ("Dusk", "Dusk"), "Three": ("One", None)}
    told = infer(
        Pedigree(family, ploidy=4), VIOLET, {"Dusk": ["violet"], "One": ["white"]},
        [Family("Dusk", "Snow", {"violet": 3, "white": 2}), Family("Dusk", None, {"violet": 4})],
    )  # fmt: skip
    dusk, three = told.support("Dusk"), told.support("Three")
    assert dusk.flower_seen
    assert (dusk.parents, dusk.offspring, dusk.offspring_seen) == (0, 2, 1)
    assert (dusk.families, dusk.seedlings) == (2, 9)
    assert dusk.bits > three.bits > 0
    assert (three.flower_seen, three.parents, three.offspring) == (False, 1, 0)


def test_copies_more_seedlings_give_more_bits():
    bits = [
        two(many, many, frequencies=EVEN).support("Dusk").bits for many in (0, 1, 3, 10)
    ]  # fmt: skip
    assert bits == sorted(bits)


def test_copies_types_follow_from_genotypes():
    told = two(5, 1)
    chances = told.copies("Dusk")
    assert told.types("Dusk")["white"] == pytest.approx(chances[0])
    assert told.copies("Dusk", "v") == pytest.approx(chances[::-1])
    assert sum(told.genotypes("Dusk").values()) == pytest.approx(1)


def test_copies_speak_of_the_counted_allele():
    pink = Locus("t", "tangerine", ("T", "t"), (Type("other", "other", (("T", 1),)),
                 Type("pink", "pink")), "invented", Confidence.SUPPOSED, counted="t")  # fmt: skip
    told = infer(Pedigree(TWO, ploidy=4), pink, {"Snow": ["pink"]})
    assert told.copies("Snow") == (0, 0, 0, 0, 1)


def test_copies_of_a_standard_dwarf_are_told_pair_by_pair():
    pedigree = Pedigree(TWO, ploidy=4, modes={"Dusk": Mode.DISOMIC})
    told = infer(pedigree, VIOLET, SEEN, [Family("Dusk", "Snow", {"violet": 15, "white": 0})])
    # Two copies in one pair breed true; one in each pair does not.
    chances = told.genotypes("Dusk")
    assert chances[((2, 0), (0, 2))] > 5 * chances[((1, 1), (1, 1))]
    assert told.sets("Dusk").groups == (2, 2)


def test_copies_of_a_clone_are_those_of_its_parent():
    pedigree = Pedigree(
        {**TWO, "Sport": ("Dusk", None)}, ploidy=4, gametes={"Sport": ((4, 0.0), (0, 0.0))}
    )
    told = infer(pedigree, VIOLET, SEEN, [Family("Dusk", "Snow", {"violet": 12, "white": 11})],
                 frequencies=EVEN)  # fmt: skip
    assert told.copies("Sport")[1] == pytest.approx(told.copies("Dusk")[1], abs=0.01)


def test_copies_frequencies_are_found_in_a_large_garden():
    garden = simulate(5, founders=80, a_generation=60, families=20, shares=[0.3, 0.7], seen=0.9)
    told = infer(garden.pedigree, VIOLET, garden.seen, garden.families)
    # 320 copies in the founders: a standard error of 0.026 were all of them known.
    assert told.frequencies["V"] == pytest.approx(0.3, abs=0.08)
    assert sum(told.frequencies.values()) == pytest.approx(1)


def test_founder_is_drawn_from_all_frequencies_that_were_averaged_over():
    """Few founders leave open how common the allele is: nobody's copies are wider spread."""
    pedigree = Pedigree({"Dusk": (None, None), "Snow": (None, None)}, ploidy=4)
    sets = Sets((4,))
    told = infer(pedigree, VIOLET, {"Dusk": ["violet"], "Snow": ["white"]})
    shares = list(told.frequencies.values())
    plain, drawn = at_random(sets, shares), list(told.founder(sets).values())
    assert told.averaged
    assert sum(drawn) == pytest.approx(1)
    assert drawn[0] > plain[0] + 0.02
    assert drawn[4] > 2 * plain[4]
    # The allele is as common as it was said to be.
    assert sum(at * chance for at, chance in enumerate(drawn)) == pytest.approx(4 * shares[0])
    given = infer(pedigree, VIOLET, {}, frequencies=EVEN)
    assert not given.averaged
    assert list(given.founder(sets, 0.1).values()) == pytest.approx(
        at_random(sets, (0.5, 0.5), 0.1).tolist()
    )


def test_copies_approximated_are_off_by_no_more_than_stated(monkeypatch):
    off, stated = [], []
    for seed in range(4):
        garden = simulate(seed, shares=[0.4, 0.6], founders=8, generations=4, a_generation=9)
        told = {"double_reduction": 0.0, "frequencies": {"V": 0.4, "v": 0.6}}
        exactly = infer(garden.pedigree, VIOLET, garden.seen, garden.families, **told)
        with monkeypatch.context() as patch:
            patch.setattr(inferring, "SMALL", 0)
            patch.setattr(inferring, "MOST", 100)
            roughly = infer(garden.pedigree, VIOLET, garden.seen, garden.families, **told)
        for plant in garden.parents:
            if not roughly.exact(plant):
                assert exactly.exact(plant)
                off.append(np.abs(np.subtract(exactly.copies(plant), roughly.copies(plant))).max())
                stated.append(roughly.error(plant))
    assert len(off) > 40
    assert np.isfinite(stated).all()
    assert np.mean(np.array(off) <= stated) > 0.85
    assert "approximation" in roughly.method
    assert "exact" in exactly.method


@settings(max_examples=12, deadline=None)
@given(st.integers(0, 10**6), st.sampled_from([0.0, 1 / 7]), st.booleans())
def test_copies_are_chances_whatever_was_seen(seed, alpha, selfed):
    """Types drawn at random: nonsense, but nothing is impossible."""
    garden = simulate(seed, founders=3, generations=2, a_generation=4, families=2)
    dice = np.random.default_rng(seed)
    seen = {plant: [str(dice.choice(["violet", "white"]))] for plant in garden.parents}
    families = [
        *garden.families,
        Family("founder 0", "founder 0" if selfed else None, {"white": 9}),
    ]
    told = infer(garden.pedigree, VIOLET, seen, families, double_reduction=alpha)
    for plant in garden.parents:
        chances = told.copies(plant)
        assert sum(chances) == pytest.approx(1)
        assert all(0 <= chance <= 1 and math.isfinite(chance) for chance in chances)
        assert told.types(plant)[seen[plant][0]] == pytest.approx(1)
    for found in told.contradictions:
        odds = found.odds
        parts = (odds.strange_pollen, odds.mistaken_tag, odds.misread_flower,
                 odds.wrong_hypothesis, odds.chance_alone)  # fmt: skip
        assert sum(parts) == pytest.approx(1)
        assert min(parts) >= 0


def test_copies_do_not_depend_on_the_order_of_the_record():
    garden = simulate(3, shares=[0.4, 0.6])
    one = infer(garden.pedigree, VIOLET, garden.seen, garden.families)
    turned = dict(reversed(garden.parents.items()))
    other = infer(
        Pedigree(turned, ploidy=4),
        VIOLET,
        dict(reversed(garden.seen.items())),
        garden.families[::-1],
    )
    for plant in garden.parents:
        assert one.copies(plant) == pytest.approx(other.copies(plant), abs=1e-9)


@pytest.mark.parametrize(("seen", "families", "more"), [
    ({"Nobody": ["violet"]}, [], {}),
    ({}, [Family("Nobody", "Dusk", {"violet": 1})], {}),
    ({}, [Family("Dusk", "Nobody", {"violet": 1})], {}),
])  # fmt: skip
def test_copies_refuse_plants_that_are_not_there(seen, families, more):
    with pytest.raises(UnknownPlant):
        infer(Pedigree(TWO, ploidy=4), VIOLET, seen, families, **more)


@pytest.mark.parametrize(("seen", "families", "more"), [
    ({"Dusk": ["pink"]}, [], {}),
    ({"Dusk": []}, [], {}),
    ({}, [Family("Dusk", "Snow", {"pink": 1})], {}),
    ({}, [Family("Dusk", "Snow", {"white": -1})], {}),
    ({}, [], {"mistakes": 0.0}),
    ({}, [], {"mistakes": 0.7}),
    ({}, [], {"frequencies": {"V": 1.0}}),
    ({}, [], {"frequencies": {"V": -1.0, "v": 2.0}}),
    ({}, [], {"double_reduction": 2.0}),
])  # fmt: skip
def test_copies_refuse_what_cannot_be(seen, families, more):
    with pytest.raises(ValueError, match=r"\."):
        infer(Pedigree(TWO, ploidy=4), VIOLET, seen, families, **more)


def test_copies_answer_asked_for_strangers_refuses():
    told = two(1, 1)
    with pytest.raises(UnknownPlant):
        told.copies("Nobody")
    with pytest.raises(ValueError, match="no allele"):
        told.copies("Dusk", "X")


def test_copies_are_averaged_over_all_frequencies_that_unseen_founders_leave_open():
    """One violet flower and any number of founders unseen: by Bayes all frequencies alike.

    With p even on 0 to 1, of 1 to 4 copies none is likelier than another (Beta integrals).
    """
    for others in (0, 3, 50):
        garden = {"Dusk": (None, None)} | {f"unseen {at}": (None, None) for at in range(others)}
        told = infer(Pedigree(garden, ploidy=4), VIOLET, {"Dusk": ["violet"]})
        assert told.copies("Dusk") == pytest.approx((0, 0.25, 0.25, 0.25, 0.25), abs=0.02)
        for plant in garden.keys() - {"Dusk"}:
            assert told.support(plant).bits == pytest.approx(0, abs=1e-9)


def test_copies_of_a_garden_without_plants_are_none(recwarn):
    told = infer(Pedigree({}, ploidy=4), VIOLET, {})
    assert told.contradictions == ()
    assert all(0 < share < 1 for share in told.frequencies.values())
    assert not recwarn


def test_copies_told_by_a_bee_pod_may_be_the_doing_of_its_one_pollen_parent():
    """Forty violets of a violet with unknown pollen: by Bayes over both parents, worked by hand."""
    plants = [math.comb(4, k) * 0.3**k * 0.7 ** (4 - k) for k in range(5)]
    white = [1.0, 1 / 2, 1 / 6, 0.0, 0.0]
    weights = [0.0] + [
        plants[k] * sum(plants[m] * (1 - white[k] * white[m]) ** 40 for m in range(5))
        for k in range(1, 5)
    ]
    told = infer(
        Pedigree({"Dusk": (None, None)}, ploidy=4), VIOLET, {"Dusk": ["violet"]},
        [Family("Dusk", None, {"violet": 40})], frequencies={"V": 0.3, "v": 0.7}, mistakes=1e-9,
    )  # fmt: skip
    expected = [weight / sum(weights) for weight in weights]
    assert told.copies("Dusk") == pytest.approx(expected, abs=1e-6)
    assert told.copies("Dusk")[1] > 0.1
