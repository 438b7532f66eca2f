"""The flowers that a cross may give, by the words of the sheet: asking for one, and its chance."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from breeding.pages.expected import Expected, Kind
from breeding.pages.expectwords import between, odds

if TYPE_CHECKING:
    from breeding.inheritance.mixtures import Mixture
    from breeding.inheritance.outcomes import Outcome

Wanted = Sequence[tuple[str, str]]
# Flowers that are offered, and those named where a wanted type comes in several colours.
MOST_OFFERED, MOST_INCLUDED = 40, 5


def flowers(kinds: Sequence[Kind]) -> list[Kind]:
    """Kinds of the same words as one, the likeliest first."""
    by_words: dict[str, list[Kind]] = {}
    for kind in kinds:
        by_words.setdefault(kind.look.words, []).append(kind)
    found = [
        Kind(several[0].look, sum(kind.chance for kind in several),
               tuple(outcome for kind in several for outcome in kind.outcomes))
        for several in by_words.values()
    ]  # fmt: skip
    return sorted(found, key=lambda flower: -flower.chance)


def named(found: Expected, words: str) -> Kind | None:
    """The flower that somebody asks for; None where this cross has none of these words."""
    there = flowers(found.kinds) if words else []
    return next((each for each in there if each.look.words == words), None)


def that_show(outcomes: Sequence[Outcome], wanted: Wanted) -> tuple[Outcome, ...]:
    """The outcomes on which all these types can be seen."""
    return tuple(
        each for each in outcomes if all(each.types.get(symbol) == key for symbol, key in wanted)
    )


def chance_of(found: Expected, outcomes: Sequence[Outcome]) -> Mixture:
    """What the chance of a seedling of any of these outcomes may be."""
    from breeding.inheritance.wanted import mixture_of_any

    return mixture_of_any(found.told.crosses, [each.types for each in outcomes])


def included(found: Expected, wanted: Wanted) -> list[tuple[str, str]]:
    """(words, odds) of the flowers that wanted types come in; empty where it is one alone."""
    there = [
        (each.look.words, sum(one.chance for one in that_show(each.outcomes, wanted)))
        for each in flowers(found.kinds)
    ]
    several = sorted((each for each in there if each[1] > 0), key=lambda each: -each[1])
    if len(several) < 2:
        return []
    return [(words, odds(chance)) for words, chance in several[:MOST_INCLUDED]]


def range_of(found: Expected, kind: Kind) -> str:
    """How far the chance of a kind may lie from what is expected, in words."""
    told = chance_of(found, kind.outcomes).chance()
    return between(told.chance, told.low, told.high)
