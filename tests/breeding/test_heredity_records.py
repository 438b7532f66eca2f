"""Verbs of inheritance: loci as hypotheses, types of plants, counted seedlings."""

from __future__ import annotations

import uuid
from dataclasses import replace
from datetime import date

import pytest

from breeding.heredity import Counted, standing_tallies, the_copies
from breeding.models import BreedingVersion, Locus, Reading, Tally, TypeCount
from breeding.ready import lay_out_loci, ready_loci
from breeding.records import add_locus, change_locus, correct, count_types, note_type
from garden.records import change_plant, undo
from tests.cast import IN_BLOOM
from tests.refusals import refused

OWN = {
    "symbol": "Sp",
    "name": "spotted leaf base",
    "alleles": ["Sp", "sp"],
    "counted": "Sp",
    "types": [
        {"key": "spotted", "name": "spotted", "needs": {"Sp": 1}},
        {"key": "clean", "name": "clean"},
    ],
    "source": "own guess",
    "confidence": "supposed",
}


@pytest.fixture
def tangerine(db) -> Locus:
    return Locus.live.get(symbol="t")


def test_a_new_garden_has_the_ready_loci_with_their_sources(db) -> None:
    assert [locus.symbol for locus in Locus.live.all()] == [told["symbol"] for told in ready_loci()]
    assert all(locus.source for locus in Locus.live.all())


def test_ready_loci_leave_a_changed_one_alone(act, stock, tangerine) -> None:
    change_locus(act(), locus=tangerine, name="own words", reason="clearer")
    lay_out_loci()
    assert Locus.live.get(symbol="t").name == "own words"


def test_add_locus__keeps_a_hypothesis(act, stock) -> None:
    kept = add_locus(act(), **OWN)
    assert kept.line.text == "Added the locus Sp: spotted leaf base"
    assert "Sp" in [locus.symbol for locus in the_copies().loci]


def test_add_locus__names_its_source(act, stock) -> None:
    refused(add_locus, act(), "Say where this is from", "source", **OWN | {"source": " "})


def test_add_locus__a_symbol_once(act, stock) -> None:
    refused(add_locus, act(), "There is a locus t already", "symbol", **OWN | {"symbol": "t"})


@pytest.mark.parametrize("symbol", ["", "a/b", "-a", "a b"])
def test_add_locus__a_symbol_that_can_stand_in_an_address(act, stock, symbol) -> None:
    refused(add_locus, act(), "in letters and digits", "symbol", **OWN | {"symbol": symbol})


def test_add_locus__rules_must_make_a_locus(act, stock) -> None:
    kept = [OWN["types"][1], OWN["types"][0]]
    refused(add_locus, act(), ".", "types", **OWN | {"types": kept})
    refused(add_locus, act(), ".", "types", **OWN | {"types": "nonsense"})
    refused(add_locus, act(), ".", "types", **OWN | {"alleles": ["Sp"]})


def test_add_locus__by_the_owner_only(act, stock, helper_person) -> None:
    refused(add_locus, act(person=helper_person), "owner", "", **OWN)


def test_change_locus__keeps_types_that_were_seen(act, stock) -> None:
    locus = add_locus(act(), **OWN).thing
    note_type(act(), plant=stock.teapot, locus=locus, type="spotted")
    others = [{"key": "dark", "name": "dark", "needs": {"Sp": 1}}, OWN["types"][1]]
    refused(change_locus, act(), "recorded as ‘spotted’", "types", locus=locus, types=others)


def test_change_locus__undo_brings_the_rules_back(act, stock, tangerine) -> None:
    before = tangerine.types
    types = [dict(told) for told in before]
    types[0]["name"] = "anything else"
    kept = change_locus(act(), locus=tangerine, types=types, reason="words")
    tangerine.refresh_from_db()
    assert tangerine.types != before
    undo(act(), line=kept.line)
    tangerine.refresh_from_db()
    assert tangerine.types == before


def test_note_type__counts_before_the_colour_words(act, stock, tangerine) -> None:
    working = the_copies().locus("t")
    assert the_copies().type_seen(stock.guest.pk, working) is None
    note_type(act(), plant=stock.guest, locus=tangerine, type="pink")
    assert the_copies().type_seen(stock.guest.pk, working) == "pink"


def test_note_type__again_changes_it(act, stock, tangerine) -> None:
    note_type(act(), plant=stock.guest, locus=tangerine, type="pink")
    refused(note_type, act(), "already", "type", plant=stock.guest, locus=tangerine, type="pink")
    note_type(act(), plant=stock.guest, locus=tangerine, type=tangerine.types[0]["key"])
    assert Reading.live.get().type == tangerine.types[0]["key"]


def test_note_type__only_types_of_the_locus(act, stock, tangerine) -> None:
    refused(
        note_type, act(), "t has no such type: plaid", "type",
        plant=stock.guest, locus=tangerine, type="plaid",
    )  # fmt: skip


@pytest.fixture
def counted(cast, tangerine) -> dict:
    other = tangerine.types[0]["key"]
    return {"cross": cast.cross, "locus": tangerine, "counts": {"pink": 3, other: 8}}


def test_count_types__keeps_every_type(act, cast, counted) -> None:
    kept = count_types(act(), **counted, row=cast.row)
    assert {each.type: each.count for each in TypeCount.live.filter(tally=kept.thing)} == counted[
        "counts"
    ]
    assert kept.line.text.startswith("Counted at t in Long Bed, row 1, 1–12: ")


def test_count_types__not_more_than_were_lined_out(act, cast, counted) -> None:
    counted["counts"] = {"pink": 13}
    sentence = "13 seedlings seen, but only 12 lined out in Long Bed, row 1"
    refused(count_types, act(), sentence, "counts", **counted, row=cast.row)
    refused(count_types, act(), "but only 12 lined out in cross 24-001", "counts", **counted)


def test_count_types__needs_something_counted(act, cast, counted) -> None:
    refused(
        count_types, act(), "at least one seedling", "counts", **counted | {"counts": {"pink": 0}}
    )
    refused(count_types, act(), "Counts are from 0", "counts", **counted | {"counts": {"pink": -1}})
    refused(count_types, act(), "no such type", "type", **counted | {"counts": {"plaid": 2}})


def test_count_types__in_a_row_of_the_cross(act, cast, counted) -> None:
    refused(
        count_types, act(), "another cross", "row",
        **counted | {"cross": cast.bee_cross}, row=cast.row,
    )  # fmt: skip


def test_count_types__not_before_the_row_was_there(act, cast, counted) -> None:
    early = date(2025, 6, 1)
    refused(count_types, act(), "is before the row", "day", **counted, row=cast.row, day=early)


def test_count_types__the_same_entry_counts_once(act, cast, counted) -> None:
    entry = uuid.uuid4()
    first = count_types(act(entry=entry), **counted)
    again = count_types(act(entry=entry), **counted)
    assert again.again
    assert again.thing == first.thing
    assert Tally.live.count() == 1


def test_the_newest_count_of_a_row_stands(act, cast, counted) -> None:
    count_types(act(), **counted, row=cast.row)
    later = count_types(act(), **counted | {"counts": {"pink": 4}}, row=cast.row)
    (standing,) = standing_tallies()
    assert standing.counts["pink"] == 4
    undo(act(), line=later.line)
    (standing,) = standing_tallies()
    assert standing.counts["pink"] == 3


def test_a_later_count_of_the_whole_cross_takes_the_place_of_its_rows(act, cast, counted) -> None:
    count_types(act(), **counted, row=cast.row)
    count_types(act(), **counted | {"counts": {"pink": 5}})
    assert [tally.place for tally in standing_tallies()] == [(cast.cross.pk, None)]


def test_counts_reach_the_families_of_the_sums(act, cast, counted) -> None:
    count_types(act(), **counted, row=cast.row)
    copies = the_copies()
    (family,) = copies.families(copies.locus("t"))
    assert (family.seed, family.pollen) == (cast.teapot.pk, cast.ledger.pk)
    assert family.counts["pink"] == 3


def test_counts_of_crosses_with_unknown_pollen_stay_apart(act, cast, counted) -> None:
    """Each may have another pollen parent."""
    of = counted["locus"].pk
    for crosses, together in (((1, 1), [4]), ((1, 2), [2, 2])):
        tallies = tuple(
            Counted(of, (cross, row), (cast.teapot.pk, None), {"pink": 2})
            for row, cross in enumerate(crosses)
        )
        copies = replace(the_copies(), tallies=tallies)
        told = copies.families(copies.locus("t"))
        assert [each.counts["pink"] for each in told] == together


def test_families_carry_their_crosses(act, cast, counted) -> None:
    """Of a known pair all crosses together, of unknown pollen each by itself."""
    of, seed, pollen = counted["locus"].pk, cast.teapot.pk, cast.ledger.pk
    tallies = (
        Counted(of, (11, None), (seed, pollen), {"pink": 2}),
        Counted(of, (12, 1), (seed, pollen), {"pink": 1}),
        Counted(of, (13, None), (seed, pollen), {"pink": 0}),
        Counted(of, (14, None), (seed, None), {"pink": 4}),
        Counted(of, (15, None), (seed, None), {"pink": 5}),
    )
    copies = replace(the_copies(), tallies=tallies)
    told = copies.families_of_crosses(copies.locus("t"))
    assert [(dict(family.counts), crosses) for family, crosses in told] == [
        ({"pink": 3}, (11, 12)), ({"pink": 4}, (14,)), ({"pink": 5}, (15,)),
    ]  # fmt: skip
    assert [family for family, _ in told] == copies.families(copies.locus("t"))


def test_every_count_and_its_undo_moves_the_version(act, cast, counted) -> None:
    before = BreedingVersion.now()[0]
    kept = count_types(act(), **counted)
    between = BreedingVersion.now()[0]
    undo(act(), line=kept.line)
    assert before < between < BreedingVersion.now()[0]


def test_a_row_does_not_shrink_below_what_was_counted(act, cast, counted) -> None:
    count_types(act(), **counted, row=cast.row)
    refused(
        correct, act(), "11 seedlings seen, but only 10 lined out", "counts",
        thing=cast.row, last=10, reason="counted again",
    )  # fmt: skip
    correct(act(), thing=cast.row, last=11, reason="one less")


def test_copies_tell_what_a_pink_plant_carries(act, stock, tangerine) -> None:
    note_type(act(day=IN_BLOOM), plant=stock.guest, locus=tangerine, type="pink")
    copies = the_copies().of("t")
    assert copies.copies(stock.guest.pk)[4] == pytest.approx(1, abs=1e-6)


def test_copies_stay_in_memory_while_only_words_about_plants_change(act, stock, tangerine) -> None:
    note_type(act(), plant=stock.guest, locus=tangerine, type="pink")
    held = the_copies().of("t")
    change_plant(act(), plant=stock.guest, notes="Scent of pepper.")
    assert the_copies().of("t") is held
    change_plant(act(), plant=stock.guest, seed_parent=stock.teapot)
    assert the_copies().of("t") is not held
