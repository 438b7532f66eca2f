"""Pollen that nobody knows: whose copies stand for it, and whose seedlings are odd. Beside it
numbers that end where nobody grows or works more."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from types import SimpleNamespace

import pytest
from django.template.loader import render_to_string

from breeding.heredity import Counted, GardenCopies, the_copies
from breeding.inheritance.copies import Contradiction, Odds
from breeding.inheritance.matrices import at_random
from breeding.inheritance.mixtures import mixture
from breeding.inheritance.quadrature import Spread
from breeding.inheritance.raising import grow_for
from breeding.inheritance.working import Rates, flowers_to_work
from breeding.models import Cross
from breeding.pages import expectcame
from breeding.pages.expected import Expected
from breeding.pages.locipages import against
from breeding.records import record_pollination
from tests.cast import Acts, Cast

pytestmark = pytest.mark.django_db


@pytest.fixture
def two_pods(cast: Cast, act: Acts) -> tuple[Cross, Cross]:
    """Bee pods of one seed parent from two seasons."""
    later = record_pollination(
        act(day=date(2025, 6, 3)),
        seed_parent=cast.bee_cross.seed_parent,
        pollen_parent=None,
        pollen_unknown=True,
        tag=cast.free_tag,
    ).thing
    assert later.cross_id != cast.bee_cross.pk
    return cast.bee_cross, later.cross


def counted_in(*crosses: Cross) -> GardenCopies:
    """The garden's copies with five pink seedlings of each of these crosses."""
    held = the_copies()
    of = held.locus("t").pk
    tallies = (
        Counted(of, (cross.pk, None), (cross.seed_parent_id, None), {"pink": 5})
        for cross in crosses
    )
    return replace(held, tallies=tuple(tallies), _found={})


def test_contradictions__are_those_of_the_pod_itself(two_pods: tuple[Cross, Cross]) -> None:
    held = counted_in(*two_pods)
    odds = Odds(0.5, 0.2, 0.1, 0.1, 0.1)
    held.of("t").contradictions = (Contradiction(None, 1, ("pink",), 5, 1e-9, odds),)
    working = held.locus("t")
    assert expectcame.contradictions(held, two_pods[0], working) == []
    (odd,) = expectcame.contradictions(held, two_pods[1], working)
    assert odd["seedlings"] == 5
    (told,) = against(held, "t")
    assert told["crosses"] == [two_pods[1]]
    assert told["seed"] == two_pods[1].seed_parent
    assert told["pollen"] is None


def test_expected__of_unknown_pollen_is_over_all_frequencies(cast: Cast) -> None:
    held = the_copies()
    copies = held.of("t")
    assert copies.averaged
    found = Expected(held, cast.teapot.pk, None)
    drawn = list(found._genotypes(None)["t"].values())
    sets = copies.sets(cast.teapot.pk)
    assert drawn == list(copies.founder(sets).values())
    plain = at_random(sets, list(copies.frequencies.values()))
    assert max(abs(drawn - plain)) > 0.01


def test_without__is_averaged_over_frequencies_where_the_garden_is(
    two_pods: tuple[Cross, Cross],
) -> None:
    held = counted_in(*two_pods)
    left = expectcame.without(held, two_pods[0].pk, held.locus("t")).of("t")
    alone = counted_in(two_pods[1]).of("t")
    assert held.of("t").averaged
    assert left.averaged
    seed = two_pods[0].seed_parent_id
    assert left.genotypes(seed) == pytest.approx(alone.genotypes(seed))


def test_numbers__end_where_nobody_works_more() -> None:
    """A type as rare as one in a billion is not said to need a billion flowers."""
    rates = Rates(Spread(0.5), Spread(20, 20), Spread(0.5))
    for values, told in (
        ([1e-9], "more than 2\u202f000 for 1 on the average"),
        ([1e-9], "more than 2\u202f000 for 95 % sure"),
        ([1e-9], "more than 100\u202f000 for 95 % sure of 1"),
        ([0, 1e-9], "more than 100\u202f000 if it can at all"),
        ([0, 1e-9], "– for 95 % sure of 1"),
        ([0, 1e-9], "– for 95 % sure"),
        ([0.25], "20 for 95 % sure"),
    ):
        chance = mixture(values, [1] * len(values))
        work = SimpleNamespace(flowers=flowers_to_work(chance, 1, rates), steps=[], rests=[])
        if values == [0.25]:
            told = f"{work.flowers.sure} for 95 % sure"
        page = render_to_string(
            "breeding/_expect_numbers.html",
            {"grow": grow_for(chance), "work": work, "sure": "95 %"},
        )
        text = page.replace("<b>", "").replace("</b>", "").replace("&#8239;", "\u202f")
        assert told in text
        assert "000\u202f000" not in text
