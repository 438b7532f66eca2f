"""How many flowers to work for planned pairs, as a first proposal."""

from __future__ import annotations

from collections.abc import Sequence

from breeding.expectwords import odds
from breeding.expectwork import living, rates
from breeding.plans import Plan

Pair = tuple[int, int]
# Nobody is proposed fewer, or more: beyond that it is somebody's own decision.
LEAST, MOST, USUAL = 2, 12, 4
# For more pairs at once the usual number stands.
MOST_WORKED_OUT = 40


def proposed(plan: Plan, pairs: Sequence[Pair]) -> dict[Pair, tuple[int, str]]:
    """(flowers, why) of each pair: what gives one seedling as wanted nineteen times in twenty.

    Two queries, and a hundredth of a second or so for each pair.
    """
    from breeding.inheritance.working import flowers_to_work

    wanted = plan.ground.wanted
    if wanted is None or len(pairs) > MOST_WORKED_OUT:
        return {}
    pods = plan.ground.sources.fertility
    lived = living(plan.ground.question.season)
    found: dict[Pair, tuple[int, str]] = {}
    for pair in pairs:
        mixture = wanted.mixture(*pair) if set(pair) <= wanted.place.keys() else None
        if mixture is None or mixture.possible <= 0:
            continue
        told = rates(
            pods.pods.pair(*pair), pods.seeds.pair(*pair), pods.germination.pair(*pair), lived
        )
        flowers = flowers_to_work(mixture, 1, told)
        sure = flowers.sure if flowers.sure is not None else flowers.given_possible
        found[pair] = _said(sure, odds(mixture.mean))
    return found


def _said(sure: int | None, share: str) -> tuple[int, str]:
    if sure is None:
        return USUAL, f"{share} as wanted; no number of flowers makes one sure"
    begin = f"{share} as wanted: {sure} flower{'' if sure == 1 else 's'} for one, 19 times in 20"
    if sure > MOST:
        return MOST, f"{begin}; {MOST} to begin with"
    return max(sure, LEAST), begin
