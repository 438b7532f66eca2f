"""What was seen and cannot be: a bee, a mistaken tag, a misread flower, or a wrong hypothesis."""

from __future__ import annotations

from dataclasses import replace

import pytest

from breeding.inheritance.copies import Family, infer
from breeding.inheritance.copies.odds import Clue, weigh
from breeding.inheritance.loci import Confidence
from breeding.pedigree import Pedigree
from tests.breeding.copies_garden import GRADED, VIOLET, simulate

WHITES = {"Snow": (None, None), "Chalk": (None, None)}
WHITE = {"Snow": ["white"], "Chalk": ["white"]}
COMMON = {"V": 0.6, "v": 0.4}


def whites(children, families=(), locus=VIOLET, **more):
    """Two whites, and seedlings of theirs of the types told."""
    names = [f"seedling {at}" for at in range(len(children))]
    parents = WHITES | dict.fromkeys(names, ("Snow", "Chalk"))
    seen = WHITE | {name: [type_] for name, type_ in zip(names, children, strict=True)}
    return infer(Pedigree(parents, ploidy=4), locus, seen, families, frequencies=COMMON, **more)


def test_contradictions_a_violet_from_two_whites_is_one():
    (found,) = whites(["violet"] + ["white"] * 8).contradictions
    assert (found.plant, found.family, found.types) == ("seedling 0", None, ("violet",))
    assert found.chance == 0
    assert found.odds.chance_alone == 0
    assert found.odds.strange_pollen > found.odds.mistaken_tag
    assert not found.by_offspring


def test_contradictions_odds_of_pollen_tag_and_misreading_are_those_of_bayes():
    """By hand: 0.7 % pollen that brings a V, 0.3 % tags with a V, 1 % misread."""
    (found,) = whites(["violet"] + ["white"] * 8).contradictions
    odds = found.odds
    pollen, tag = 0.007 * (1 - 0.4**2), 0.003 * (1 - 0.4**4)
    assert odds.strange_pollen / odds.mistaken_tag == pytest.approx(pollen / tag)
    assert odds.misread_flower / odds.mistaken_tag == pytest.approx(0.01 / tag)


def test_contradictions_none_where_all_fits():
    assert whites(["white"] * 5).contradictions == ()
    assert whites([], [Family("Snow", "Chalk", {"white": 30})]).contradictions == ()


def test_contradictions_in_counts_name_the_family_and_the_type():
    told = whites([], [Family("Snow", None, {"white": 3, "violet": 2}),
                       Family("Snow", "Chalk", {"white": 30, "violet": 1})])  # fmt: skip
    (found,) = told.contradictions
    assert (found.plant, found.family, found.types, found.seedlings) == (None, 1, ("violet",), 1)
    assert found.chance == pytest.approx(0, abs=1e-12)


def test_contradictions_a_whole_family_from_elsewhere_is_a_bee_or_a_tag():
    told = whites([], [Family("Snow", "Chalk", {"violet": 12, "white": 3})], mistakes=0.02)
    (found,) = told.contradictions
    assert found.seedlings == 12
    assert found.odds.strange_pollen + found.odds.mistaken_tag > 0.5


def test_contradictions_many_at_one_locus_raise_a_wrong_hypothesis_for_all():
    wrong = []
    for many in (1, 2, 4):
        told = whites(["violet"] * many + ["white"] * 8)
        assert len(told.contradictions) == many
        shares = {round(found.odds.wrong_hypothesis, 9) for found in told.contradictions}
        assert len(shares) == 1
        wrong += shares
    assert wrong == sorted(wrong)
    assert wrong[0] < 0.3
    assert wrong[-1] > 0.8


def test_contradictions_weigh_the_confidence_in_the_hypothesis():
    sure, unsure = (
        whites(["violet"] + ["white"] * 8, locus=replace(VIOLET, confidence=confidence))
        for confidence in (Confidence.ESTABLISHED, Confidence.SUPPOSED)
    )
    odds = [told.contradictions[0].odds.wrong_hypothesis for told in (sure, unsure)]
    assert odds[0] < odds[1]


def test_contradictions_seedlings_that_agree_speak_for_the_hypothesis():
    few, many = (whites(["violet", "violet"] + ["white"] * count) for count in (1, 40))
    odds = [told.contradictions[0].odds.wrong_hypothesis for told in (few, many)]
    assert odds[1] < odds[0]


def test_contradictions_of_a_whole_pod_may_be_one_bee():
    """All of many seedlings of two whites are violet: one strange pollen parent is enough."""
    told = infer(
        Pedigree(WHITES, ploidy=4), VIOLET, WHITE, [Family("Snow", "Chalk", {"violet": 60})],
        frequencies=COMMON,
    )  # fmt: skip
    (found,) = told.contradictions
    assert found.odds.strange_pollen > 0.3
    assert found.odds.mistaken_tag > 0.1
    assert told.copies("Snow")[0] == pytest.approx(1)


def test_contradictions_by_offspring_are_told_as_such():
    """Two whites, and a plant of theirs, never seen, that gives violets with a third white."""
    parents = WHITES | {"Ghost": ("Snow", "Chalk"), "Frost": (None, None)}
    told = infer(
        Pedigree(parents, ploidy=4), VIOLET, WHITE | {"Frost": ["white"]},
        [Family("Ghost", "Frost", {"violet": 9, "white": 8})], frequencies=COMMON,
    )  # fmt: skip
    found = {each.plant or each.family: each for each in told.contradictions}
    assert found["Ghost"].by_offspring
    assert found["Ghost"].odds.misread_flower == 0
    # That the whole pod came from strange pollen is the other way to read it.
    assert told.copies("Ghost")[0] < 0.3


def test_contradictions_a_flower_that_no_plant_can_have():
    told = infer(Pedigree({"Tiny": (None, None)}, ploidy=2), GRADED, {"Tiny": ["dark"]})
    (found,) = told.contradictions
    assert (found.plant, found.chance) == ("Tiny", 0)
    assert found.odds.misread_flower + found.odds.wrong_hypothesis == pytest.approx(1)
    assert not told.support("Tiny").flower_seen


def test_contradictions_found_in_a_garden_are_mostly_real_mistakes():
    real = found = 0
    for seed in range(15):
        garden = simulate(
            seed, shares=[0.2, 0.8], mistakes=0.08, seen=0.95, a_generation=10, families=0
        )
        told = infer(
            garden.pedigree, VIOLET, garden.seen, mistakes=0.08, frequencies={"V": 0.2, "v": 0.8}
        )
        plants = {each.plant for each in told.contradictions}
        found, real = found + len(plants), real + len(plants & garden.mistaken)
    assert found >= 4
    assert real >= 0.7 * found


def test_odds_of_nothing_are_none():
    assert weigh([], 10, 0.1) == []


def test_odds_of_one_clue_are_those_of_a_sum_by_hand():
    """With ε summed by the integral of Beta(1, 9), n others agreeing."""
    clue, agreeing, wrong = Clue(0.0, 0.004, 0.002, 0.002, 0.5), 10, 0.1
    # ∫ 9 (1−ε)^(8+10) (0.5 ε + 0.008 (1−ε)) dε, with B(2, 19) = 1/380 and B(1, 20) = 1/20.
    exempt, standing = 9 * 0.5 / 380, 9 * 0.008 / 20
    against = wrong * (exempt + standing)
    chance = against / (against + (1 - wrong) * 0.008)
    (odds,) = weigh([clue], agreeing, wrong)
    assert odds.wrong_hypothesis == pytest.approx(chance * exempt / (exempt + standing), rel=2e-3)
