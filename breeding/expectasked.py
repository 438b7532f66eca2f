"""What somebody asks of a cross to come: wanted types, how many, and what would tell most."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Any
from urllib.parse import urlencode

from django.http import QueryDict

from breeding.expected import Expected, span, uneven
from breeding.expectwords import listed, odds, percent, width
from breeding.expectwork import work
from breeding.inheritance.loci import Locus, visible
from garden.models import Plant

if TYPE_CHECKING:
    from breeding.inheritance.mixtures import Chance

LEASTS = (1, 3, 5, 10)
# As good as sure, and as good as never.
SURE, NEVER = 0.995, 0.005
MOST_TESTERS = 3
# So many mates are weighed; known copies tell most, so that these come first.
MOST_MATES = 300
# Flowers that somebody may look at in a test cross.
SEEDLINGS = 20
# Readings gone through for each row of the table, and the ratios that are told exactly.
MOST_READINGS, LARGEST_DENOMINATOR = 20, 5000
Wanted = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Asked:
    """Wanted types, one for a locus, and how many seedlings of them."""

    wanted: Wanted
    least: int
    testers: str = ""

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
        return cls(wanted, least, side if side in ("seed", "pollen") else "")

    def query(self, **more: Any) -> str:
        """The same as part of an address."""
        words = ",".join(f"{symbol}:{key}" for symbol, key in self.wanted)
        return urlencode({"wanted": words, "least": self.least, **more})


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
    }
    if not asked.wanted:
        return context
    names = [found.name(symbol, key) for symbol, key in asked.wanted]
    context["wanted_words"] = listed([f"‘{name}’" for name in names])
    if (covered := _covered(found.loci, asked.wanted)) is not None:
        return context | {"verdict": covered, "covered": True}
    from breeding.inheritance.raising import grow_for

    mixture = found.told.mixture_of(dict(asked.wanted))
    chance = mixture.chance()
    grown = grow_for(mixture, asked.least)
    return context | {
        "verdict": verdict(chance, context["wanted_words"]),
        "chance": bar(chance),
        "grow": grown,
        "sure": percent(grown.probability),
        "work": work(found.seed, found.pollen, mixture, asked.least, season),
        "behind": [behind(found, symbol, key) for symbol, key in asked.wanted],
        "together": percent(chance.chance) if len(asked.wanted) > 1 else "",
    }


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


def verdict(chance: Chance, wanted: str) -> str:
    """Whether the cross can give it, in a sentence."""
    if chance.possible == 0:
        return f"No: by what is recorded these two cannot give {wanted}."
    if chance.possible < NEVER:
        return (
            f"Hardly: that these two can give {wanted} at all has a probability of "
            f"{percent(chance.possible)}."
        )
    if chance.possible > SURE:
        return f"Yes: {wanted} in about {odds(chance.chance)} of the seedlings."
    return (
        f"Perhaps: with a probability of {percent(chance.possible)} these two can give {wanted}; "
        f"if they can, about {odds(chance.if_possible)} of the seedlings."
    )


def bar(chance: Chance) -> dict[str, str]:
    """A chance with its interval, as words and as the lengths of a bar."""
    low, wide = span(chance.low, chance.high)
    return {
        "odds": odds(chance.chance),
        "percent": percent(chance.chance),
        "low": percent(chance.low),
        "high": percent(chance.high),
        "at": width(chance.chance),
        "from": low,
        "wide": wide,
        "possible": percent(chance.possible),
    }


def behind(found: Expected, symbol: str, key: str, most: int = 6) -> dict[str, Any]:
    """The likely readings of both parents at a locus, and how many of a type each gives.

    Readings alike in copies and ratio are one: which pair of sets they lie in, nobody asks.
    """
    from breeding.inheritance.parents import ratio_in_words
    from breeding.inheritance.sets import totals

    cross = found.told.crosses[symbol]
    locus, place = cross.locus, cross.keys.index(key)
    counted = locus.alleles.index(locus.counted)
    order = (-cross.weights).argsort(kind="stable")[: MOST_READINGS * most].tolist()
    sums: defaultdict[tuple[int, int, float], float] = defaultdict(float)
    for at in order:
        seed, pollen = (totals(each)[counted] for each in cross.pairs[at])
        ratio = round(float(cross.chances[at, place]), 10)
        sums[seed, pollen, ratio] += float(cross.weights[at])
    told = sorted(sums.items(), key=lambda item: -item[1])[:most]
    rest = 1 - sum(chance for _, chance in told)
    rows = [
        {"seed": seed, "pollen": pollen, "probability": percent(chance),
         "ratio": ratio_in_words(Fraction(ratio).limit_denominator(LARGEST_DENOMINATOR))}
        for (seed, pollen, ratio), chance in told if chance >= NEVER
    ]  # fmt: skip
    return {
        "locus": locus,
        "type": locus.type_named(key).name,
        "rows": rows,
        "rest": percent(rest) if rest > NEVER else "",
    }


def testers(found: Expected, symbol: str, side: str) -> dict[str, Any]:
    """The growing plants of the same sets whose seedlings with a parent would tell most."""
    from breeding.inheritance.parents import Mating
    from breeding.inheritance.telling import best_testers, uncertainty

    target = found.seed if side == "seed" else found.pollen
    copies, lines = found.held.of(symbol), found.held.kin.lines
    sets = copies.sets(target)
    mates = {key: copies.genotypes(key) for key, line in lines.items()
             if (line.growing or key == target) and copies.sets(key) == sets}  # fmt: skip
    mine = copies.genotypes(target)
    best_known = sorted(mates, key=lambda key: (key != target, -max(mates[key].values())))
    mates = {key: mates[key] for key in best_known[:MOST_MATES]}
    kinds = {key: (uneven(found.held, target), uneven(found.held, key)) for key in mates}
    matings = {key: Mating(sets, sets, sets, found.held.key[2], kind)
               for key, kind in kinds.items()}  # fmt: skip
    unknown = uncertainty(mine, copies.locus)
    ranked = best_testers(mine, mates, copies.locus, matings, SEEDLINGS, itself=target)
    best = [(key, bits) for key, bits in ranked if bits > 0.005][:MOST_TESTERS]
    plants = Plant.live.in_bulk([target, *(key for key, _ in best)])
    return {
        "target": plants.get(target),
        "symbol": symbol,
        "allele": copies.locus.counted,
        "unknown": f"{unknown:.2f}",
        "seedlings": SEEDLINGS,
        "best": [
            {"plant": plants[key], "itself": key == target, "bits": f"{bits:.2f}",
             "part": percent(bits / unknown), "width": width(bits / unknown)}
            for key, bits in best if key in plants
        ],
    }  # fmt: skip
