"""The demo garden's genes: true copies, the looks they make, and what is inferred from these."""

from __future__ import annotations

from collections import Counter
from datetime import date
from itertools import pairwise, product
from math import sqrt
from typing import Any

import pytest

from breeding.inheritance.copies import Family, infer
from breeding.inheritance.genotypes import (
    Genotype,
    Sets,
    gamete_states,
    gametes,
    progeny,
    sets_of,
    totals,
    unions,
)
from breeding.inheritance.loci import Locus, visible
from breeding.inheritance.reading import read
from breeding.pedigree import Pedigree, inheritance
from evaluation.demo.cast import COLOUR_FIELDS
from evaluation.demo.copies import FOUR_SETS_OF_EIGHT, Copies
from evaluation.demo.genes import Genes, class_of, sets_of_plant, types_of_genes
from evaluation.demo.looks import is_pigment, is_true
from garden.flower import PATTERNS
from tests.evaluation.demo_story import CAST, Watched

ROWS = {row["name"] or row["number"]: row for row in CAST.rows}
TYPES = {label: types_of_genes(CAST.loci, genes) for label, genes in CAST.genes.items()}


@pytest.fixture(scope="module")
def story() -> Watched:
    return Watched()


def sets_on_the_list(row: dict[str, str]) -> Sets:
    return sets_of_plant(row["class"], int(row["ploidy"]), int(row["chromosomes"]))


def can_be(child: Genotype, seed: Genotype | None, pollen: Genotype | None, swap: bool) -> bool:
    """Whether a genotype can come from its parents' gametes; of an unknown one, any."""
    sets, alleles = sets_of(child), len(child[0])
    if seed and pollen:
        return child in progeny(seed, pollen, sets, swap=swap)
    if not seed and not pollen:
        return True
    known = seed or pollen
    # An unknown parent is taken to be of the child's own kind.
    ways = product(gametes(known), gamete_states(sets, alleles))
    return any(child in unions(one, other, sets) for one, other in ways)


@pytest.mark.parametrize("label", ROWS)
def test_list__every_plants_copies_come_from_its_parents(label):
    row, genes = ROWS[label], CAST.genes[label]
    seed, pollen = (CAST.genes.get(row[name]) for name in ("seed_parent", "pollen_parent"))
    wild = ROWS.get(row["seed_parent"], {"class": "", "ploidy": "0"})
    swap = (wild["class"], int(wild["ploidy"])) == FOUR_SETS_OF_EIGHT
    assert list(genes) == [locus.symbol for locus in CAST.loci]
    for symbol, genotype in genes.items():
        assert sets_of(genotype) == sets_on_the_list(row)
        parents = (parent and parent[symbol] for parent in (seed, pollen))
        assert can_be(genotype, *parents, swap), symbol


@pytest.mark.parametrize("label", ROWS)
def test_list__every_plant_shows_what_its_copies_make(label):
    row, shown = ROWS[label], visible(CAST.loci, TYPES[label])
    assert is_true(CAST.loci, TYPES[label], row)
    pigment = shown.get("V") == "pigment" and shown.get("I") == "free"
    if "ice blue" not in (row["falls"], row["standards"]):  # so pale that it may be either
        assert pigment == any(is_pigment(row[name]) for name in ("standards", "falls", "rim"))
    # Splashes cover whatever pattern there is.
    for pattern in ("plicata", "luminata") if row["pattern"] != "broken colour" else ():
        assert (shown.get("Pl") == pattern) == (row["pattern"] == pattern)


def test_list__all_patterns_of_the_trade_are_there():
    assert {row["pattern"] for row in ROWS.values()} == set(PATTERNS)
    seen = {
        (symbol, key) for label in ROWS for symbol, key in visible(CAST.loci, TYPES[label]).items()
    }
    for symbol in ("I", "Pl", "Is", "Y", "t"):
        locus = next(locus for locus in CAST.loci if locus.symbol == symbol)
        assert {key for of, key in seen if of == symbol} == {type_.key for type_ in locus.types}


def copies_of(label: str, symbol: str, allele: str) -> int:
    locus = next(locus for locus in CAST.loci if locus.symbol == symbol)
    return totals(CAST.genes[label][symbol])[locus.alleles.index(allele)]


def test_list__notes_about_what_is_carried_unseen_are_true():
    for label, words in (
        ("Turnip Cathedral", "Carries stitching unseen"),
        ("Bailiff's Lullaby", "Carries plicata"),
        ("Ladle Diplomacy", "hidden pink and stitching"),
    ):
        assert words in ROWS[label]["notes"]
        assert ROWS[label]["pattern"] != "plicata"
        assert copies_of(label, "Pl", "pl") >= 1
    assert copies_of("Ladle Diplomacy", "t", "t") >= 2


def test_list__the_note_on_a_rare_seedling_is_near_its_chance():
    chance = 1.0
    for symbol, key in (("V", "pigment"), ("I", "free"), ("Pl", "plicata"), ("t", "pink")):
        locus = next(locus for locus in CAST.loci if locus.symbol == symbol)
        parents = (CAST.genes[name][symbol] for name in ("Ladle Diplomacy", "Corridor of Geese"))
        shares = progeny(*parents, Sets((4,)))
        chance *= float(sum(share for each, share in shares.items()
                            if locus.type_of(totals(each)).key == key))  # fmt: skip
    assert "One in thirty" in ROWS["Spoonbill's Alibi"]["notes"]
    assert 1 / 40 < chance < 1 / 20


def test_copies__do_not_depend_on_the_order_of_asking():
    one, other = Copies(CAST, "20-2021", 2021), Copies(CAST, "20-2021", 2021)
    parents = CAST.parents(2021)
    seed, pollen = parents["plant:Lamplit Colander"], parents["plant:Herring Weather"]
    there = [one.of_seedling(seed, pollen, "row:1", at) for at in range(30)]
    back = [other.of_seedling(seed, pollen, "row:1", at) for at in reversed(range(30))]
    assert there == back[::-1]
    assert len({str(genes) for genes in there}) > 5


def test_copies__seedlings_part_as_often_as_meiosis_says():
    copies, parents = Copies(CAST, "20-2021", 2021), CAST.parents(2021)
    seed = parents["plant:Bailiff's Lullaby"]
    told = Counter(copies.of_seedling(seed, seed, "row:2", at)["Pl"] for at in range(3000))
    shares = progeny(*[CAST.genes["Bailiff's Lullaby"]["Pl"]] * 2, Sets((4,)))
    assert set(told) <= set(shares)
    for genotype, share in shares.items():
        off = told[genotype] - 3000 * float(share)
        assert abs(off) < 4.5 * sqrt(3000 * float(share) * (1 - float(share)))


@pytest.mark.parametrize(
    ("one", "other", "expected"),
    [("TB", "TB", "TB"), ("SDB", "TB", "IB"), ("TB", "SPECIES", "SDB"), ("SPECIES", "SDB", "MDB"),
     ("BB", "TB", "TB"), ("MTB", "TB", ""), ("IB", "BB", "IB")],
)  # fmt: skip
def test_class_of__seedlings_of_two_classes(one, other, expected):
    assert class_of(one, other) == class_of(other, one) == expected


def test_story__judged_seedlings_come_from_their_parents_and_show_their_copies(story):
    known = story.copies.known
    assert len(story.noted) > 100
    for judged in story.noted:
        planting = judged.planting
        brood = planting.brood
        types = types_of_genes(CAST.loci, judged.genes)
        assert is_true(CAST.loci, types, judged.looks)
        if (planting.key, judged.position) not in story.copies.strangers:
            swap = (brood.seed.iris_class, brood.seed.ploidy) == FOUR_SETS_OF_EIGHT
            pollen = known[brood.pollen.key] if brood.pollen else None
            for symbol, genotype in judged.genes.items():
                father = pollen and pollen[symbol]
                assert can_be(genotype, known[brood.seed.key][symbol], father, swap)


def test_story__chosen_seedlings_hand_on_what_they_have(story):
    chosen = {judged.key: judged.genes for judged in story.noted if judged.key}
    assert len(chosen) >= 40
    assert all(story.copies.known[key] == genes for key, genes in chosen.items())
    bred = {plant.key for cross in story.planned for plant in (cross.seed, cross.pollen) if plant}
    assert len(bred & set(chosen)) >= 5


def test_story__seedlings_are_as_various_as_the_garden(story):
    patterns = Counter(str(judged.looks["pattern"]) for judged in story.noted)
    assert {"self", "amoena", "neglecta", "plicata"} <= set(patterns)
    assert len(patterns) >= 7
    pinks = [judged for judged in story.noted
             if types_of_genes(CAST.loci, judged.genes)["t"] == "pink"]  # fmt: skip
    assert len(pinks) >= 5


def family_of(story: Watched, row: str) -> dict[str, frozenset[str]]:
    brood = story.rows[row].brood
    return story.copies.possible(brood.seed, brood.pollen) if brood.pollen else {}


def test_story__counts_hold_no_more_than_the_row_and_what_the_family_can_give(story):
    counts = story.of("count_types")
    assert len(counts) >= 25
    assert len({step.values["locus"].key for step in counts}) >= 5
    keys = {f"locus:{locus.symbol}": {type_.key for type_ in locus.types} for locus in CAST.loci}
    strange = {row for row, _ in story.copies.strangers}
    for step in counts:
        row, locus, seen = (step.values[name] for name in ("row", "locus", "counts"))
        assert set(seen) <= keys[locus.key]
        assert 0 < sum(seen.values()) <= story.rows[row.key].stretch.seedlings
        possible = family_of(story, row.key)
        if possible and row.key not in strange:
            assert set(seen) <= possible[locus.key.removeprefix("locus:")]


def test_story__a_seedling_that_cannot_be_is_counted_once_or_twice(story):
    odd = 0
    for step in story.of("count_types"):
        possible = family_of(story, step.values["row"].key)
        symbol = step.values["locus"].key.removeprefix("locus:")
        others = [step.values["counts"][key] for key in step.values["counts"]
                  if possible and key not in possible[symbol]]  # fmt: skip
        assert others in ([], [1])
        odd += len(others)
    assert 1 <= odd <= 4
    assert 1 <= len(story.copies.strangers) <= 2


def test_story__it_is_known_of_most_plants_without_pigment_why_they_have_none(story):
    notes = story.of("note_type")
    assert len(notes) >= 15
    for step in notes:
        types = TYPES[step.values["plant"].key.removeprefix("plant:")]
        symbol = step.values["locus"].key.removeprefix("locus:")
        assert visible(CAST.loci, types)[symbol] == step.values["type"]
        assert step.values["type"] in ("none", "held-back", "glaciata")


def world(story: Watched) -> tuple[Pedigree, dict[str, dict[str, str]], dict[str, Genes]]:
    """Pedigree, looks and true copies of the list and of the story's chosen seedlings."""
    parents: dict[str, tuple[str | None, str | None]] = {}
    rules, looks, truth = {}, {}, {}
    for label, row in ROWS.items():
        key, both = f"plant:{label}", (row["seed_parent"], row["pollen_parent"])
        parents[key] = tuple(f"plant:{name}" if name in ROWS else None for name in both)
        rules[key] = inheritance(row["class"], int(row["chromosomes"]), int(row["ploidy"]))
        looks[key], truth[key] = row, CAST.genes[label]
    for judged in story.noted:
        if judged.key:
            brood, fields = judged.planting.brood, judged.looks
            parents[judged.key] = brood.seed.key, brood.pollen.key if brood.pollen else None
            rules[judged.key] = inheritance(fields["iris_class"], None, fields.get("ploidy"))
            looks[judged.key], truth[judged.key] = fields, judged.genes
    pedigree = Pedigree(
        parents,
        ploidy={key: rule.ploidy for key, rule in rules.items()},
        modes={key: rule.mode for key, rule in rules.items()},
    )
    return pedigree, looks, truth


def families(story: Watched, symbol: str) -> list[Family]:
    """The last count of each row, without the seedlings that became plants later."""
    last: dict[str, tuple[date, dict[str, int]]] = {}
    for step in story.of("count_types"):
        if step.values["locus"].key == f"locus:{symbol}":
            last[step.values["row"].key] = step.at, step.values["counts"]
    chosen = {}
    for step in story.of("select_seedling"):
        chosen[step.values["row"].key, step.values["position"]] = step.at
    found = []
    for row, (when, counts) in last.items():
        left = Counter(counts)
        for judged in story.rows[row].judged.values():
            if judged.key and chosen[row, judged.position] > when:
                left[visible(CAST.loci, types_of_genes(CAST.loci, judged.genes)).get(symbol)] -= 1
        brood = story.rows[row].brood
        seen = {key: count for key, count in left.items() if key and count > 0}
        if seen:
            pollen = brood.pollen.key if brood.pollen else None
            found.append(Family(brood.seed.key, pollen, seen))
    return found


def inferred(story: Watched, locus: Locus) -> tuple[Any, dict[str, Genes]]:
    pedigree, looks, truth = world(story)
    told = {key: {name: str(look.get(name) or "") for name in COLOUR_FIELDS}
            for key, look in looks.items()}  # fmt: skip
    seen = {key: [type_] for key, look in told.items() if (type_ := read(locus, look))}
    for step in story.of("note_type"):
        if step.values["locus"].key == f"locus:{locus.symbol}":
            seen[step.values["plant"].key] = [step.values["type"]]
    return infer(pedigree, locus, seen, families(story, locus.symbol)), truth


# Statements of less only repeat how common the allele is in the garden.
LEAST_BITS = 0.1
Statements = list[tuple[float, bool]]


@pytest.fixture(scope="module")
def statements(story) -> list[tuple[float, Statements]]:
    """For every plant and locus: on how many bits it rests, and the chances of 0, 1, 2 … copies,
    each with whether it is the true number."""
    found = []
    for locus in CAST.loci:
        guess, truth = inferred(story, locus)
        counted = locus.alleles.index(locus.counted)
        for key, genes in truth.items():
            true = totals(genes[locus.symbol])[counted]
            told = [(chance, at == true) for at, chance in enumerate(guess.copies(key))]
            found.append((guess.support(key).bits, told))
    return found


def off_by(some: Statements) -> tuple[float, float]:
    """By how much the right ones are more than claimed, and the standard error of their number."""
    claimed = sum(chance for chance, _ in some)
    error = sqrt(sum(chance * (1 - chance) for chance, _ in some))
    return sum(right for _, right in some) - claimed, error


def test_inferred_copies__are_right_as_often_as_they_claim(statements):
    """Of the statements 'n copies with probability p', sorted by p, as many are true as their p
    add up to: within the binomial limits of 99 %, all loci together.

    Statements that rest on evidence of their own. The others repeat the allele's frequency, for
    which there is one guess, so that they are right or wrong together and no binomial law holds.
    """
    every = [each for bits, told in statements if bits >= LEAST_BITS for each in told]
    assert len(every) > 2000
    for low, high in pairwise((0, 0.05, 0.15, 0.3, 0.5, 0.7, 0.85, 0.95, 1.01)):
        some = [(chance, right) for chance, right in every if low <= chance < high]
        assert len(some) >= 30
        off, error = off_by(some)
        # Half a statement for the step from whole numbers to a smooth law.
        assert abs(off) <= 2.58 * error + 0.5, (low, high)


def test_inferred_copies__the_likeliest_number_is_right_as_often_as_claimed(statements):
    best = [max(told) for bits, told in statements if bits >= LEAST_BITS]
    off, error = off_by(best)
    assert abs(off) <= 2.58 * error
    # Something is said: in more than two of three cases the likeliest number is the true one.
    assert sum(right for _, right in best) > len(best) * 2 / 3


def test_inferred_copies__all_together_claim_little_too_much_or_too_little(statements):
    best = [max(told) for _, told in statements]
    off, _ = off_by(best)
    assert abs(off) < 0.06 * len(best)
