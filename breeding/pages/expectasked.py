"""What somebody asks of a cross to come: wanted types, how many, and what would tell most."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import ceil
from typing import TYPE_CHECKING, Any
from urllib.parse import urlencode

from django.http import QueryDict

from breeding.inheritance.loci import Locus, visible
from breeding.pages.expectbehind import the_sum
from breeding.pages.expected import Expected, span
from breeding.pages.expectflowers import (
    MOST_OFFERED,
    chance_of,
    flowers,
    included,
    named,
    that_show,
)
from breeding.pages.expectwords import HOLD, HOLDS, between, listed, odds, percent, width
from breeding.pages.expectwork import work
from breeding.pages.testcrosses import MOST_MATES, SEEDLINGS, ranked
from garden.models import Plant

if TYPE_CHECKING:
    from breeding.inheritance.mixtures import Chance, Mixture
    from breeding.inheritance.raising import Grow
    from breeding.pages.expectwork import Work

LEASTS = (1, 3, 5, 10)
# As good as sure, and as good as never.
SURE, NEVER = 0.995, 0.005
# Parts of what is not known that are called much and little; a convention.
MUCH, SOME = 0.3, 0.1
Wanted = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Asked:
    """Wanted types, one for a locus, or a flower by its words, and how many seedlings of them."""

    wanted: Wanted
    least: int
    testers: str = ""
    flower: str = ""

    @classmethod
    def of(cls, query: QueryDict, loci: Sequence[Locus]) -> Asked:
        """From an address; nonsense is passed over."""
        known = {f"{locus.symbol}:{type_.key}": (locus.symbol, type_.key)
                 for locus in loci for type_ in locus.types}  # fmt: skip
        words = [word for told in query.getlist("wanted")[:40]
                 for word in ([told] if told in known else told[:400].split(","))]  # fmt: skip
        chosen = dict(known[word.strip()] for word in words if word.strip() in known)
        wanted = tuple((each.symbol, chosen[each.symbol]) for each in loci
                       if each.symbol in chosen)  # fmt: skip
        told = query.get("least", "")
        least = int(told) if told in map(str, LEASTS) else LEASTS[0]
        side = query.get("testers", "")
        flower = query.get("flower", "")[:400]
        return cls(wanted, least, side if side in ("seed", "pollen") else "", flower)

    def query(self, **more: Any) -> str:
        """The same as part of an address."""
        words = ",".join(f"{symbol}:{key}" for symbol, key in self.wanted)
        told = {"wanted": words, "flower": self.flower, "least": self.least, **more}
        return urlencode({name: value for name, value in told.items() if value != ""})


def choices(loci: Iterable[Locus], asked: Asked) -> list[dict[str, Any]]:
    """The selects of the form: each locus with its types."""
    chosen = dict(asked.wanted)
    return [
        {
            "symbol": locus.symbol,
            "name": locus.name,
            "types": [(f"{locus.symbol}:{type_.key}", type_.name,
                       chosen.get(locus.symbol) == type_.key) for type_ in locus.types],
        }
        for locus in loci
    ]  # fmt: skip


def answers(found: Expected, asked: Asked, season: int) -> dict[str, Any]:
    """Answers to what is asked; the choices alone where nothing is."""
    context: dict[str, Any] = {
        "asked": asked,
        "choices": choices(found.loci, asked),
        "leasts": [(each, each == asked.least) for each in LEASTS],
        "flowers_offered": [(each.look.words, each.odds, each.look.words == asked.flower)
                            for each in flowers(found.kinds)[:MOST_OFFERED]],
    }  # fmt: skip
    sought = _sought(found, asked)
    if sought is None:
        return context
    if sought.refusal:
        return context | {"verdict": sought.refusal, "covered": True}
    from breeding.inheritance.raising import grow_for

    chance = sought.mixture.chance()
    grown = grow_for(sought.mixture, asked.least)
    worked = work(found.seed, found.pollen, sought.mixture, asked.least, season)
    told = the_sum(found, sought.ways)
    holds = HOLDS if [len(way["factors"]) for way in told["sum_ways"]] == [1] else HOLD
    return context | {
        "verdict": verdict(chance, sought.words, holds),
        "chance": bar(chance, holds),
        "grow": grown,
        "sure": percent(grown.probability),
        "work": worked,
        "lined_out": _lined_out(grown, worked),
        "included": [] if asked.flower else included(found, asked.wanted),
        "asked_symbol": asked.wanted[0][0] if asked.wanted else _least_likely(told),
        **told,
    }


@dataclass(frozen=True, slots=True)
class _Sought:
    """What is asked for in words, what its chance may be, and the types of each way it may come."""

    words: str
    mixture: Mixture
    ways: list[dict[str, str]]
    refusal: str = ""


def _sought(found: Expected, asked: Asked) -> _Sought | None:
    """The flower or the types that are asked for; None where nothing is."""
    from breeding.inheritance.mixtures import mixture

    names = listed([f"‘{found.name(symbol, key)}’" for symbol, key in asked.wanted])
    flower = named(found, asked.flower)
    if flower is None:
        if not asked.wanted:
            return None
        if (covered := _covered(found.loci, asked.wanted)) is not None:
            return _Sought(names, mixture([0.0], [1.0]), [], covered)
        types = dict(asked.wanted)
        return _Sought(names, found.told.mixture_of(types), [types])
    outcomes = that_show(flower.outcomes, asked.wanted)
    words = f"‘{flower.look.inline}’"
    if not outcomes:
        refusal = f"What is {words} does not show {names}."
        return _Sought(words, mixture([0.0], [1.0]), [], refusal)
    return _Sought(words, chance_of(found, outcomes), [each.types for each in outcomes])


def _least_likely(told: dict[str, Any]) -> str:
    """The locus of a flower that is hardest to get right: a test cross asks for it first."""
    factors = told["sum_ways"][0]["factors"]
    return str(min(factors, key=lambda each: each["chance"])["symbol"]) if factors else ""


def _lined_out(grown: Grow, worked: Work | None) -> dict[str, Any] | None:
    """Seedlings to line out so that enough of them bloom, by the rows that were counted."""
    if worked is None:
        return None
    seen, told = worked.lived.seen, {"rests": ""}
    number = grown.seedlings or grown.given_possible
    if seen.mean and number:
        told["number"] = ceil(number / seen.mean - 1e-9)
        told["of"] = number
        told["rests"] = f"{seen.part:,} of {seen.whole:,} in {seen.lots} row"
        told["rests"] += "" if seen.lots == 1 else "s"
    return told


def _covered(loci: Sequence[Locus], wanted: Wanted) -> str | None:
    """Why the wanted types can never be seen together."""
    types = dict(wanted)
    hidden = [symbol for symbol in types if symbol not in visible(loci, types)]
    if not hidden:
        return None
    by_symbol = {each.symbol: each for each in loci}
    name = by_symbol[hidden[0]].type_named(types[hidden[0]]).name
    others = [
        f"‘{by_symbol[symbol].type_named(key).name}’"
        for symbol, key in wanted
        if hidden[0] in by_symbol[symbol].type_named(key).hides
    ]
    return f"No flower shows both: where there is {listed(others)}, ‘{name}’ cannot be seen."


def verdict(chance: Chance, wanted: str, holds: str = HOLD) -> str:
    """Whether the cross can give it, in a sentence."""
    if chance.possible == 0:
        return f"No: by what is recorded, and {holds}, these two cannot give {wanted}."
    if chance.possible < NEVER:
        return (
            f"Hardly: that these two can give {wanted} at all has a probability of "
            f"{percent(chance.possible)}."
        )
    if chance.chance >= 1:
        return f"Yes: {wanted} in all of the seedlings, {holds}."
    if chance.possible > SURE:
        return f"Yes: {wanted} in about {odds(chance.chance)} of the seedlings."
    return (
        f"Perhaps: with a probability of {percent(chance.possible)} these two can give {wanted}; "
        f"if they can, about {odds(chance.if_possible)} of the seedlings."
    )


def bar(chance: Chance, holds: str = HOLDS) -> dict[str, str]:
    """A chance with its interval, as words and as the lengths of a bar."""
    low, wide = span(chance.low, chance.high)
    return {
        "odds": odds(chance.chance),
        "percent": percent(chance.chance),
        "low": percent(chance.low),
        "high": percent(chance.high),
        "between": between(chance.chance, chance.low, chance.high, holds),
        "at": width(chance.chance),
        "from": low,
        "wide": wide,
        "possible": percent(chance.possible),
    }


def tells(part: float) -> str:
    """How much of what is not known somebody may learn, in words."""
    return "much" if part >= MUCH else "little" if part >= SOME else "next to nothing"


def testers(found: Expected, symbol: str, side: str) -> dict[str, Any]:
    """The growing plants of the same sets whose seedlings with a parent would tell most."""
    from breeding.inheritance.telling import uncertainty

    target = found.seed if side == "seed" else found.pollen
    copies, lines = found.held.of(symbol), found.held.kin.lines
    sets = copies.sets(target)
    mates = {key: copies.genotypes(key) for key, line in lines.items()
             if (line.growing or key == target) and copies.sets(key) == sets}  # fmt: skip
    best_known = sorted(mates, key=lambda key: (key != target, -max(mates[key].values())))
    unknown = uncertainty(copies.genotypes(target), copies.locus)
    best = ranked(found.held, copies, target, best_known[:MOST_MATES])
    plants = Plant.live.in_bulk([target, *(key for key, _ in best)])
    return {
        "target": plants.get(target),
        "symbol": symbol,
        "allele": copies.locus.counted,
        "unknown": f"{unknown:.2f}",
        "seedlings": SEEDLINGS,
        "best": [
            {"plant": plants[key], "itself": key == target, "bits": f"{bits:.2f}",
             "tells": tells(bits / unknown), "part": percent(bits / unknown),
             "width": width(bits / unknown)}
            for key, bits in best if key in plants
        ],
    }  # fmt: skip
