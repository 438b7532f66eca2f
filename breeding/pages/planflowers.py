"""How many flowers to work for planned pairs, as a first proposal; the sum of the cross itself."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from breeding.pages.expected import expected, ready
from breeding.pages.expectwords import odds, percent
from breeding.pages.expectwork import Work, work
from breeding.pages.plans import Plan

if TYPE_CHECKING:
    from breeding.inheritance.mixtures import Mixture
    from breeding.inheritance.working import Flowers

Pair = tuple[int, int]
# Nobody is proposed fewer, or more: beyond that it is somebody's own decision.
LEAST, MOST, USUAL = 2, 12, 4
# For more pairs at once the usual number stands.
MOST_WORKED_OUT = 40
MOST_COUNTED = "2,000"


def proposed(plan: Plan, pairs: Sequence[Pair]) -> dict[Pair, tuple[int, str]]:
    """(flowers, why) of each pair: what gives one seedling as wanted with 95 %.

    Two queries for each pair that is new, and some hundredths of a second.
    """
    if plan.ground.wanted is None or len(pairs) > MOST_WORKED_OUT:
        return {}
    season = plan.ground.question.season
    found: dict[Pair, tuple[int, str]] = {}
    for pair in pairs:
        mixture = _chance(plan, pair)
        told = work(*pair, mixture, 1, season) if mixture is not None else None
        if mixture is not None and told is not None:
            found[pair] = _said(told, mixture)
    return found


def _chance(plan: Plan, pair: Pair) -> Mixture | None:
    """The chance of the wanted types, as it is told of the cross alone where it is."""
    ground = plan.ground
    wanted, held = ground.wanted, ground.sources.copies
    if wanted is None or held is None or wanted.hidden or not set(pair) <= wanted.place.keys():
        return None
    if not ready(held):
        return wanted.mixture(*pair)
    try:
        return expected(held, *pair).told.mixture_of(dict(wanted.wanted))
    except ValueError:
        # A locus of which nothing is known in this garden, or a pair that nothing is told of.
        return wanted.mixture(*pair)


def _said(told: Work, mixture: Mixture) -> tuple[int, str]:
    flowers = told.flowers
    many = flowers.sure if flowers.sure is not None else flowers.given_possible
    said = f"{odds(mixture.mean)} as wanted. {flowers_words(flowers)}"
    if many is None:
        return USUAL, said
    if many > MOST:
        return MOST, f"{said} {MOST} to begin with."
    return max(many, LEAST), said


def flowers_words(flowers: Flowers) -> str:
    """How many flowers to work for one as wanted, as it is said of the cross.

    'No number up to 2,000 makes 95 %; 498 if it can at all (22 %).'
    """
    sure = percent(flowers.probability)
    if flowers.sure is not None:
        return f"{_many(flowers.sure)} for {sure} sure."
    begin = f"No number up to {MOST_COUNTED} makes {sure}"
    at_all = f"if it can at all ({percent(flowers.possible)})"
    if flowers.given_possible is not None:
        return f"{begin}; {_many(flowers.given_possible)} {at_all}."
    return f"{begin}; more than {MOST_COUNTED} {at_all}." if flowers.beyond else f"{begin}."


def _many(flowers: int) -> str:
    return f"{flowers:,} flower{'' if flowers == 1 else 's'}"
