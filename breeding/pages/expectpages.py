"""What the page of a cross to come shows: the sheet, the kinds, what the parents carry."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from django.http import QueryDict

from breeding.forms import SIDES
from breeding.heredity import the_copies
from breeding.models import Goal
from breeding.pages import expectasked
from breeding.pages.expectbehind import behind
from breeding.pages.expected import CannotExpect, Expected, Look, expected, ready, span, usual
from breeding.pages.expectflowers import chance_of, range_of
from breeding.pages.expectwords import between, copies_words, listed, odds, percent, rests_on, width
from garden.models import Garden, Plant

if TYPE_CHECKING:
    from breeding.inheritance.outcomes import Outcome

FLOWERS = 48
MOST_RARE = 5
# Kinds in the table; the rest is folded away, and what comes after that is told as a sum.
MOST_KINDS, MOST_FOLDED = 8, 16
# A type that so many seedlings show is said once, and not of each kind.
MOSTLY = 0.85


@dataclass(frozen=True, slots=True)
class Drawn:
    """Flowers of one look on the sheet."""

    look: Look
    count: int
    odds: str
    range: str

    @property
    def flowers(self) -> range:
        return range(self.count)


def part(htmx: Any) -> str:
    """The template of what is swapped: the answers, or all below the parents."""
    asked = htmx and htmx.target == "asked"
    return "breeding/_expect_asked.html" if asked else "breeding/_expect_whole.html"


def page_of(
    garden: Garden, seed: Plant, pollen: Plant | None, query: QueryDict, htmx: Any
) -> dict[str, Any]:
    """What is shown of a chosen pair: all, the answers alone, or that it has to be waited for."""
    held = the_copies(garden)
    if not (htmx or "worked" in query or ready(held)):
        return {"waiting": True}
    try:
        found = expected(held, seed.pk, pollen.pk if pollen else None)
    except CannotExpect as refusal:
        return {"refusal": str(refusal), "no_loci": not held.working}
    if htmx and htmx.target == "asked":
        return asked_part(garden, found, query)
    return whole(garden, found, (seed, pollen), query)


def whole(
    garden: Garden, found: Expected, parents: Sequence[Plant | None], query: QueryDict
) -> dict[str, Any]:
    """Everything on the page; queries are those of the answers."""
    return {
        **sheet(found),
        "silent": found.held.silent,
        **kinds(found),
        "odd": found.seedlings.ploidy % 2 == 1,
        "ploidy": found.seedlings.ploidy,
        "loci": [locus_card(found, each.symbol, parents) for each in found.loci],
        **asked_part(garden, found, query),
    }


def asked_part(garden: Garden, found: Expected, query: QueryDict) -> dict[str, Any]:
    """The part of the page that answers. A query for the goals, and those of the answers."""
    asked = expectasked.Asked.of(query, found.loci)
    season = garden.calendar.season(garden.today())
    context = expectasked.answers(found, asked, season)
    context["goals"] = goals(found)
    for side in SIDES:
        context[f"query_{side}"] = asked.query(testers=side)
    symbol = context.get("asked_symbol")
    if asked.testers and symbol and getattr(found, asked.testers) is not None:
        context["testers"] = expectasked.testers(found, symbol, asked.testers)
    return context


def sheet(found: Expected) -> dict[str, Any]:
    """Some four dozen flowers in the proportions that are expected, and those too rare for it."""
    from breeding.inheritance.outcomes import Outcome
    from breeding.inheritance.sheets import sheet as dealt

    by_place = {str(at): kind for at, kind in enumerate(found.kinds)}
    outcomes = [Outcome({"look": at}, kind.chance, 0, 1) for at, kind in by_place.items()]
    told = dealt(outcomes, FLOWERS)
    drawn = [
        Drawn(kind.look, count, kind.odds, range_of(found, kind))
        for kind, count in ((by_place[each.types["look"]], count) for each, count in told.counts)
    ]
    rare = [by_place[each.types["look"]] for each in told.rare]
    left = rare[MOST_RARE:]
    return {
        "sheet": drawn,
        "key": [each for each in drawn if each.count > 1],
        "singles": [each for each in drawn if each.count == 1],
        "sheet_label": f"{FLOWERS} seedlings as they are expected: "
        + listed([f"{each.count} {each.look.words}" for each in drawn]),
        "flowers": FLOWERS,
        "rare": rare[:MOST_RARE],
        "rarer": len(left),
        "rarer_odds": odds(sum(kind.chance for kind in left)),
    }


def kinds(found: Expected) -> dict[str, Any]:
    """Every combination of types that can be seen, with its chance and interval."""
    there = [each for each in found.outcomes if each.chance > 0]
    usual_ones = _usual_types(found)
    rows = [_kind(found, each, usual_ones) for each in there[: MOST_KINDS + MOST_FOLDED]]
    left = there[MOST_KINDS + MOST_FOLDED :]
    return {
        "kinds": rows[:MOST_KINDS],
        "more_kinds": rows[MOST_KINDS:],
        "more_share": percent(sum(each.chance for each in there[MOST_KINDS:])),
        "left_kinds": len(left),
        "left_share": percent(sum(each.chance for each in left) + found.told.left_out),
        "mostly": listed([found.name(*each) for each in usual_ones]),
    }  # fmt: skip


def _usual_types(found: Expected) -> list[tuple[str, str]]:
    """(symbol, key) of the types that nearly all seedlings show whose locus can be seen."""
    usual_ones = []
    for symbol, chances in found.visible.items():
        key = max(chances, key=lambda each: chances[each])
        if chances[key] > MOSTLY * sum(chances.values()):
            usual_ones.append((symbol, key))
    return usual_ones


def _kind(found: Expected, outcome: Outcome, mostly: Sequence[tuple[str, str]]) -> dict[str, Any]:
    types = [found.name(*each) for each in outcome.types.items() if each not in mostly]
    told = chance_of(found, [outcome]).chance()
    low, wide = span(told.low, told.high)
    return {
        "look": found.look(outcome),
        "types": types or ["as nearly all"],
        "odds": odds(outcome.chance),
        "percent": percent(outcome.chance),
        "between": between(outcome.chance, told.low, told.high),
        "at": width(outcome.chance),
        "from": low,
        "wide": wide,
    }


def locus_card(found: Expected, symbol: str, parents: Sequence[Plant | None]) -> dict[str, Any]:
    """One locus: what both parents probably carry, on what that rests, and what follows."""
    locus = found.held.locus(symbol).locus
    by_type = found.told.by_locus[symbol]
    rarest = min(by_type, key=lambda key: by_type[key].chance or 2)
    return {
        "locus": locus,
        "carry": [_carries(found, symbol, plant, side)
                  for plant, side in zip(parents, SIDES, strict=True)],
        "types": [{"name": locus.type_named(key).name, **expectasked.bar(chance)}
                  for key, chance in by_type.items()],
        "behind": behind(found, symbol, (rarest,)),
    }  # fmt: skip


def _carries(found: Expected, symbol: str, plant: Plant | None, side: str) -> dict[str, Any]:
    """Chances of a parent's copies as small bars, in words, and what they rest on."""
    copies = found.held.of(symbol)
    locus = copies.locus
    context: dict[str, Any] = {"plant": plant, "side": side}
    if plant is None:
        place = locus.alleles.index(locus.counted)
        chances = _counted(found, symbol, side, place)
        rests = "the garden’s usual frequency: this pollen is anybody’s"
        words = copies_words(chances, locus.counted)
        return context | {"bars": _bars(chances), "words": words, "rests": rests}
    chances = copies.copies(plant.pk)
    seen = found.held.type_seen(plant.pk, found.held.locus(symbol))
    return context | {
        "bars": _bars(chances),
        "words": copies_words(chances, locus.counted),
        "rests": rests_on(copies.support(plant.pk)),
        "seen": locus.type_named(seen).name if seen else "",
        "error": "" if copies.exact(plant.pk) else _error(copies.error(plant.pk)),
    }


def _counted(found: Expected, symbol: str, side: str, place: int) -> tuple[float, ...]:
    """Chances of the counted copies of a parent of which nothing is known."""
    from breeding.inheritance.sets import totals

    sets = getattr(found.mating, side)
    rate = float(found.mating.rates[SIDES.index(side)])
    sums = [0.0] * (sets.ploidy + 1)
    for genotype, chance in usual(found.held, symbol, sets, rate).items():
        sums[totals(genotype)[place]] += chance
    return tuple(sums)


def _error(error: float) -> str:
    """What an approximation may be off by."""
    if error != error:
        return "worked out roughly"
    return f"worked out roughly, mostly right to within {percent(max(error, 0.001))}"


def _bars(chances: Sequence[float]) -> dict[str, Any]:
    """Small upright bars, one for each number of copies; lengths in units of the drawing."""
    tall, wide = 48, 32
    bars = [
        {"x": at * wide + 4, "y": f"{tall - tall * chance:.1f}", "height": f"{tall * chance:.1f}",
         "middle": at * wide + wide // 2, "copies": at}
        for at, chance in enumerate(chances)
    ]  # fmt: skip
    return {"bars": bars, "width": wide * len(chances), "tall": tall}


def goals(found: Expected) -> list[tuple[str, str]]:
    """(name, wanted types as part of an address) of the open goals. A query."""
    known = {(locus.symbol, type_.key) for locus in found.loci for type_ in locus.types}
    told = Goal.live.filter(closed_on=None).values_list("name", "wanted")
    return [
        (name, ",".join(f"{symbol}:{key}" for symbol, key in wanted))
        for name, wanted in told
        if wanted and all(tuple(pair) in known for pair in wanted)
    ]
