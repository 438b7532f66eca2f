"""Chances of wanted types for all pairs at once, against the expectation of each single pair."""

from __future__ import annotations

from typing import Any

import pytest

from breeding.heredity import the_copies
from breeding.pages.expected import Expected
from breeding.pages.planchance import WantedTypes, that_work, types_that_show
from breeding.records import note_type
from garden.models import Garden
from garden.records import add_plant, change_plant
from tests.cast import Acts, Cast

pytestmark = pytest.mark.django_db


@pytest.fixture
def garden(act: Acts, cast: Cast) -> Garden:
    """The cast with some types noted, and a triploid beside it."""
    from breeding.models import Locus

    t, pl = Locus.live.get(symbol="t"), Locus.live.get(symbol="Pl")
    note_type(act(), plant=cast.ledger, locus=t, type="pink")
    note_type(act(), plant=cast.oboe, locus=pl, type="plicata")
    for symbol, seen in (("Ae", "deep"), ("Is", "clear")):
        note_type(act(), plant=cast.teapot, locus=Locus.live.get(symbol=symbol), type=seen)
    # Nothing is expected of loci of which nothing is known.
    for symbol, key in (("Ae", "deep"), ("Is", "clear")):
        note_type(act(), plant=cast.semaphore, locus=Locus.live.get(symbol=symbol), type=key)
    add_plant(act(), number="Three", iris_class="TB", ploidy=3)
    Garden.objects.filter(pk=1).update(double_reduction=0.1)
    return Garden.get()


@pytest.mark.parametrize(
    "wanted",
    [
        [("t", "pink")],
        [("t", "not-pink"), ("Y", "yellow")],
        [("Pl", "plicata")],
        [("t", "pink"), ("Pl", "plicata"), ("V", "pigment")],
        [("Ae", "deep"), ("Is", "clear")],
    ],
    ids=lambda wanted: "+".join(symbol for symbol, _ in wanted),
)
def test_matrix__is_what_is_expected_of_each_pair(
    garden: Garden, cast: Cast, wanted: list[tuple[str, str]]
) -> None:
    held = the_copies(garden)
    # Tetraploids of both makes among each other, and with each other.
    keys = [cast.teapot.pk, cast.ledger.pk, cast.oboe.pk, cast.semaphore.pk]
    found = WantedTypes(held, wanted, keys)
    for one, seed in enumerate(keys):
        for other, pollen in enumerate(keys):
            if seed == pollen:
                continue
            told = Expected(held, seed, pollen).told.chance_of(dict(wanted))
            assert found.matrix[one, other] == pytest.approx(told.chance, abs=1e-6)
            mine: Any = found.mixture(seed, pollen)
            assert mine.mean == pytest.approx(told.chance, abs=1e-6)
            assert mine.possible == pytest.approx(told.possible, abs=1e-6)
            assert mine.chance().low == pytest.approx(told.low, abs=5e-3)
            assert mine.chance().high == pytest.approx(told.high, abs=5e-3)


def test_matrix__double_reduction_is_that_of_each_pair(
    garden: Garden, cast: Cast, act: Acts
) -> None:
    """Four sets that pair freely have it; those of an intermediate and six sets have none."""
    between = add_plant(act(), number="Between", iris_class="IB").thing
    six = add_plant(act(), number="Six", iris_class="TB", ploidy=6).thing
    held = the_copies(Garden.get())
    keys = [cast.teapot.pk, between.pk, six.pk]
    copies = held.of("t")
    assert [copies.double(key) for key in keys] == [0.1, 0, 0]
    assert copies.sets(keys[0]) == copies.sets(keys[1])
    found = WantedTypes(held, [("t", "pink")], keys)
    for one, seed in enumerate(keys):
        for other, pollen in enumerate(keys):
            if seed != pollen:
                told = Expected(held, seed, pollen).told.chance_of({"t": "pink"})
                assert found.matrix[one, other] == pytest.approx(told.chance, abs=1e-9)
    rates = [Expected(held, *pair).mating.rates for pair in ((keys[0], keys[1]), keys[1:])]
    assert rates == [(0.1, 0), (0, 0)]


def test_matrix__an_odd_number_of_sets_tells_nothing(garden: Garden, cast: Cast) -> None:
    from garden.models import Plant

    three = Plant.live.get(number="Three")
    found = WantedTypes(the_copies(garden), [("t", "pink")], [cast.ledger.pk, three.pk])
    assert found.matrix[0, 0] == pytest.approx(1)
    assert found.matrix[0, 1] != found.matrix[0, 1]
    assert found.mixture(cast.ledger.pk, three.pk) is None
    assert found.with_anybody()[1] == 0


def test_among__some_of_the_plants_keep_their_chances(garden: Garden, cast: Cast) -> None:
    keys = [cast.teapot.pk, cast.ledger.pk, cast.oboe.pk]
    whole = WantedTypes(the_copies(garden), [("t", "pink")], keys)
    some = whole.among([cast.oboe.pk, cast.teapot.pk])
    assert some.matrix[0, 1] == whole.matrix[2, 0]
    assert some.mixture(cast.oboe.pk, cast.teapot.pk).mean == pytest.approx(whole.matrix[2, 0])


def test_types_that_show__of_hidden_and_unknown_types(garden: Garden) -> None:
    loci = the_copies(garden).loci
    assert types_that_show(loci, [("V", "none"), ("Pl", "plicata")]) is None
    beside = types_that_show(loci, [("Pl", "plicata")])
    assert beside is not None
    assert beside["V"] == {"pigment"}
    assert beside["Pl"] == {"plicata"}
    assert "t" not in beside
    assert that_work(loci, [("t", "pink"), ("Zz", "x"), ("t", "plaid")]) == [("t", "pink")]


def test_chances__of_seedlings_of_a_noted_type_are_read_again(
    act: Acts, garden: Garden, cast: Cast
) -> None:
    keys = [cast.teapot.pk, cast.guest.pk]
    before = WantedTypes(the_copies(garden), [("t", "pink")], keys).matrix[0, 1]
    change_plant(act(), plant=cast.guest, standards="pink", falls="pink", beard="tangerine")
    after = WantedTypes(the_copies(Garden.get()), [("t", "pink")], keys).matrix[0, 1]
    assert after > before


def test_pairs__below_a_least_chance_are_never_chosen() -> None:
    import numpy as np

    from breeding.planning.candidates import Candidates
    from breeding.planning.pairs import pair_table

    chance = [[0, 0.004, 0.3], [0.004, 0, np.nan], [0.3, np.nan, 0]]
    pairs = pair_table(Candidates("ABC"), np.eye(3) / 4, chance, least_chance=0.005)
    assert pairs.unlikely.tolist() == [True, False, False]
    assert [pair.unlikely for pair in pairs.best(with_excluded=True)].count(True) == 1
    assert len(pairs.best()) == 2
    free = pair_table(Candidates("ABC"), np.eye(3) / 4, chance)
    assert not free.excluded.any()
