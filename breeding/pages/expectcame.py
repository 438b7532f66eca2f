"""What came from a cross, against what was expected of it without these seedlings."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from breeding.heredity import GardenCopies, Working
from breeding.models import Cross
from breeding.pages.expectbehind import make_up, one_way_round
from breeding.pages.expected import CannotExpect, Expected, span
from breeding.pages.expectwords import causes, nearly, p_words, percent, width

if TYPE_CHECKING:
    from breeding.inheritance.came import Came
    from breeding.inheritance.copies import Contradiction


# Below it counts are called stranger than chance; the usual convention.
STRANGE = 0.05
# Readings judged one by one, and the rows that they come to in the table.
MOST_READINGS, MOST_ROWS = 24, 6


def chosen_of(held: GardenCopies, cross: int) -> list[int]:
    """The selected seedlings of a cross."""
    return [plant for (of, _), plants in held.chosen.items() if of == cross for plant in plants]


def came(held: GardenCopies, cross: int, working: Working) -> dict[str, int]:
    """Seedlings of a cross by type: counted ones, and selected ones that no count can hold."""
    sums: defaultdict[str, int] = defaultdict(int)
    for tally in held.tallies:
        if tally.locus == working.pk and tally.place[0] == cross:
            for key, count in tally.counts.items():
                sums[key] += count
    places = {tally.place[1] for tally in held.tallies
              if tally.locus == working.pk and tally.place[0] == cross}  # fmt: skip
    left = dict(sums)
    for (of, row), plants in held.chosen.items():
        if of != cross:
            continue
        for plant in plants:
            key = held.type_seen(plant, working)
            if key is None:
                continue
            if (row in places or None in places) and left.get(key):
                left[key] -= 1
            else:
                sums[key] += 1
    return {type_.key: sums[type_.key] for type_ in working.locus.types if sums[type_.key]}


def without(held: GardenCopies, cross: int, working: Working) -> GardenCopies:
    """One locus of the same garden if nobody had looked at the seedlings of this cross.

    Frequencies in the garden at large stay as they are: one cross hardly moves them, and to
    estimate them is most of the work. Where they were averaged over, the garden is small, and they
    are estimated and averaged over again.
    """
    from breeding.inheritance.copies import infer

    gone = set(chosen_of(held, cross))
    tallies = tuple(tally for tally in held.tallies if tally.place[0] != cross)
    families = replace(held, tallies=tallies).families(working)
    seen = {plant: keys for plant, keys in held.seen(working).items() if plant not in gone}
    symbol = working.locus.symbol
    before = held.of(symbol)
    told = infer(
        held.kin.pedigree,
        working.locus,
        seen,
        families,
        double_reduction=held.key[2],
        frequencies=None if before.averaged else before.frequencies,
    )
    return replace(held, working=(working,), _found={symbol: told})


_kept: tuple[GardenCopies | None, dict[tuple[int, str], Came]] = (None, {})


def compared(held: GardenCopies, cross: Cross, working: Working, counts: dict[str, int]) -> Came:
    """Counts against the readings of the parents that are likely without them; kept in memory.

    The first time the locus is worked out once more without the seedlings of this cross.

    Raises
    ------
    CannotExpect
    """
    from breeding.inheritance.came import compare

    global _kept
    if _kept[0] is not held:
        _kept = (held, {})
    key = (cross.pk, working.locus.symbol)
    if key not in _kept[1]:
        found = Expected(
            without(held, cross.pk, working), cross.seed_parent_id, cross.pollen_parent_id
        )
        _kept[1][key] = compare(found.told.crosses[working.locus.symbol], counts, MOST_READINGS)
    return _kept[1][key]


def _known(held: GardenCopies, cross: Cross, symbol: str) -> bool:
    return _kept[0] is held and (cross.pk, symbol) in _kept[1]


def page_of(held: GardenCopies, cross: Cross, symbol: str, patient: bool = False) -> dict[str, Any]:
    """The page of one locus of a cross; no query.

    What has to be worked out first stands as `waiting`, unless somebody can wait for it.
    """
    counted = {each.locus.symbol: came(held, cross.pk, each) for each in held.working}
    counted = {each: counts for each, counts in counted.items() if counts}
    if not counted:
        return {"loci": []}
    if symbol not in counted:
        symbol = max(counted, key=lambda each: sum(counted[each].values()))
    working = held.locus(symbol)
    context: dict[str, Any] = {
        "loci": [(held.locus(each).locus, sum(counts.values()), each == symbol)
                 for each, counts in counted.items()],
        "locus": working.locus,
        "counts": [(type_.name, counted[symbol].get(type_.key, 0))
                   for type_ in working.locus.types],
        "seedlings": sum(counted[symbol].values()),
    }  # fmt: skip
    if not patient and not _known(held, cross, symbol):
        return context | {"waiting": True}
    context["odd"] = contradictions(held, cross, working)
    try:
        found = compared(held, cross, working, counted[symbol])
    except CannotExpect as refusal:
        return context | {"refusal": str(refusal)}
    return context | _against(found)


def _against(found: Came) -> dict[str, Any]:
    """Table, verdict and readings."""
    rows = []
    for share in found.shares:
        low, wide = span(share.low, share.high)
        rows.append(
            {
                "name": found.locus.type_named(share.key).name,
                "key": share.key,
                "came": share.came,
                "expected": f"{share.expected:.1f}",
                "share": percent(share.share),
                "low": percent(share.low),
                "high": percent(share.high),
                "from": low,
                "wide": wide,
                "at": width(share.expected / found.seedlings),
                "impossible": share.key in found.impossible,
            }
        )
    return {
        "rows": rows,
        "seedlings": found.seedlings,
        "p": f"{found.p:.3f}" if found.p >= 0.001 else "below 0.001",
        "verdict": "" if found.impossible else p_words(found.p),
        "strange": found.p < STRANGE,
        "impossible": [found.locus.type_named(key).name for key in found.impossible],
        "thrown": found.method == "simulated",
        "readings": _judged(found, splits := _splits(found)),
        "splits": found.locus.type_named(splits).name,
    }


def _splits(found: Came) -> str:
    """The type in which the likely readings differ, or that splits most of all."""

    def spread(key: str) -> tuple[float, float]:
        told = [(each.after, float(each.reading.chances[key])) for each in found.judged]
        whole = sum(weight for weight, _ in told) or 1.0
        mean = sum(weight * chance for weight, chance in told) / whole
        apart = sum(weight * (chance - mean) ** 2 for weight, chance in told) / whole
        return round(apart, 9), mean * (1 - mean)

    return max((type_.key for type_ in found.locus.types), key=spread)


def _judged(found: Came, splits: str) -> list[dict[str, Any]]:
    """The likely readings with the fit of what came, and their probability now."""
    from breeding.inheritance.parents import ratio_in_words

    alleles = found.locus.alleles
    rows: dict[tuple[str, str, str], list[float]] = {}
    for each in found.judged:
        pair = one_way_round(each.reading.seed, each.reading.pollen)
        seed, pollen = (make_up(told, alleles) for told in pair)
        key = (seed, pollen, ratio_in_words(each.reading.chances[splits]))
        held = rows.setdefault(key, [0.0, 0.0, each.fit.p])
        held[0] += each.reading.probability
        held[1] += each.after
    best = max(rows, key=lambda key: rows[key][1])
    shown = sorted(rows, key=lambda key: -rows[key][0])[:MOST_ROWS]
    shown += [] if best in shown else [best]
    return [
        {"seed": seed, "pollen": pollen, "ratio": ratio, "before": nearly(before),
         "after": nearly(after), "fit": f"{p:.2f}" if p >= 0.01 else "under 0.01"}
        for (seed, pollen, ratio) in shown
        for before, after, p in [rows[seed, pollen, ratio]]
    ]  # fmt: skip


def contradictions(held: GardenCopies, cross: Cross, working: Working) -> list[dict[str, Any]]:
    """What was seen of this cross that the hypothesis forbids, with what may lie behind it."""
    families = held.families_of_crosses(working)
    mine = {at for at, (_, crosses) in enumerate(families) if cross.pk in crosses}
    plants = set(chosen_of(held, cross.pk))
    found = held.of(working.locus.symbol).contradictions
    return [_odd(held, working, each) for each in found if _concerns(each, mine, plants)]


def _concerns(found: Contradiction, families: Collection[int], plants: Collection[int]) -> bool:
    return found.family in families or found.plant in plants


def _odd(held: GardenCopies, working: Working, found: Contradiction) -> dict[str, Any]:
    names = {key.pk: key for key in held.kin.pedigree.keys()}  # noqa: SIM118
    return {
        "types": [working.locus.type_named(key).name for key in found.types],
        "seedlings": found.seedlings,
        "plant": names.get(found.plant),
        "chance": percent(found.chance),
        "by_offspring": found.by_offspring,
        "causes": causes(found.odds),
    }
