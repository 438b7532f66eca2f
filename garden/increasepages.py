"""What the pages of increase show, gathered from the counts and the sums."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from math import exp
from typing import Any

from django.http import QueryDict
from django.utils.safestring import SafeString, mark_safe

from garden.forms.increase import AskForm
from garden.increase import Dot, Vigour, counts_svg, table, vigours
from garden.increase.pooling import LEAST_SAMPLES
from garden.increasing import Looks, looks_at
from garden.models import Garden, Plant, StockCount, StockTaken
from garden.names import is_key

ON_A_PAGE = 50
MOST_AHEAD = 8
SALES = 3


@dataclass(frozen=True, slots=True)
class Line:
    """One plant of the list."""

    plant: Plant
    looks: Looks
    vigour: Vigour | None

    @property
    def seen(self) -> int:
        """Years that its factor rests on."""
        return max(1, round(self.vigour.years)) if self.vigour else 0


def listed(after: str) -> dict[str, Any]:
    """Plants that were counted, fifty at a time, by name. Six queries at most."""
    looks = looks_at()
    plants = Plant.live.filter(pk__in=[pk for pk, one in looks.items() if one.counts])
    if is_key(after) and (last := Plant.live.filter(pk=int(after)).first()):
        plants = plants.filter(folded__gt=last.folded)
    shown = list(plants.order_by("folded")[: ON_A_PAGE + 1])
    known = vigours({pk: one.spans for pk, one in looks.items()})
    lines = [Line(plant, looks[plant.pk], known.get(plant.pk)) for plant in shown[:ON_A_PAGE]]
    return {"lines": lines, "more": shown[ON_A_PAGE - 1].pk if shown[ON_A_PAGE:] else ""}


def plant_page(plant: Plant, garden: Garden, query: QueryDict) -> dict[str, Any]:
    """A plant's counts, its vigour, and what is to come. A fixed number of queries."""
    everybody = looks_at()
    own = looks_at([plant.pk]).get(plant.pk, Looks())
    spans = {pk: one.spans for pk, one in everybody.items()} | {plant.pk: own.spans}
    known = vigours(spans)
    found = known.get(plant.pk)
    counts = StockCount.live.filter(plant=plant).select_related("bed").order_by("-day", "-pk")
    gone = StockTaken.live.filter(plant=plant).select_related("bed").order_by("-day", "-pk")
    context = {
        "plant": plant, "looks": own, "vigour": found, "counts": list(counts[:60]),
        "gone": list(gone[:60]), "usual": _usual(known, plant.pk), **_table(plant, own),
        "seen": max(1, round(found.years)) if found else 0,
        "leaned": round(100 * found.leaning) if found else 0,
    }  # fmt: skip
    if found and found.tells_spread and own.there is not None and own.day:
        context["between"] = found.between()
        context |= ahead(own, found, query, garden.today().year)
    context["plot"] = _plot(context)
    return context


def _usual(known: dict[Any, Vigour], plant: int) -> float | None:
    """The yearly factor of the garden's other plants, where this one tells nothing."""
    if plant in known or len(known) < LEAST_SAMPLES:
        return None
    return exp(next(iter(known.values())).usual)


def _table(plant: Plant, looks: Looks) -> dict[str, Any]:
    """Counts by place and year, with what was taken out in each year."""
    years, rows = table(looks.counts)
    names = spot_names(plant)
    taken: dict[int, int] = defaultdict(int)
    for one in looks.taken:
        taken[one.day.year] += one.number
    years = sorted({*years, *taken})
    totals = {year: sum(row.get(year, 0) for row in rows.values()) for year in years}
    counted = [year for year in years if any(year in row for row in rows.values())]
    return {
        "years": years,
        "rows": [(names.get(key, key), [row.get(year) for year in years])
                 for key, row in rows.items()],
        "totals": [totals[year] if year in counted else None for year in years],
        "taken": [taken.get(year) or None for year in years],
        "by_year": {year: totals[year] for year in counted},
    }  # fmt: skip


def spot_names(plant: Plant) -> dict[str, str]:
    """Each of a plant's places in words, also those it has left. Two queries."""
    from garden.models.increase import spot_of

    placings = plant.placings.filter(struck=False).select_related("bed")
    names = {spot_of(one.bed_id, one.position): str(one) for one in placings}
    for count in plant.stockcounts.filter(struck=False).select_related("bed"):
        names[count.spot] = count.place
    return names


def ahead(looks: Looks, found: Vigour, query: QueryDict, today: int) -> dict[str, Any]:
    """The years to come as they are asked for, and what may be held back and sold."""
    from garden.increase import forecast, hold_back, may_sell, refill_from

    this = looks.day.year
    first, last = max(this + 1, today), this + MOST_AHEAD
    if first > last:
        return {"too_old": this}
    form = AskForm(query, first=first, last=last)
    standing = {"year": today + 3, "need": 50, "take": 0, "keep": 5, "sales": SALES}
    asked = form.asked(standing)
    steps, there = asked["year"] - this, looks.there or 0
    told = forecast(there, found, steps, asked["take"])
    chance = told.chance(steps, asked["need"])
    return {
        "form": form,
        "asked": asked,
        "years_ahead": [(this + year.ahead, year) for year in told.years],
        "chance": round(100 * chance),
        "hold": hold_back(asked["need"], found, asked["year"] - today, take=asked["take"]),
        "sell": may_sell(there, found, steps, asked["sales"], asked["keep"], take=asked["take"]),
        "refill": refill_from(asked["need"], found, asked["sales"]),
        "last_sale": asked["year"] + asked["sales"] - 1,
    }


def _plot(context: dict[str, Any]) -> SafeString:
    dots = [Dot(year, number) for year, number in sorted(context["by_year"].items())]
    for year, one in context.get("years_ahead", []):
        dots.append(Dot(year, one.middle, one.low, one.high))
    if len(dots) < 2:
        return mark_safe("")
    told = ", ".join(f"{dot.year}: {dot.number}" for dot in dots)
    return mark_safe(counts_svg(dots, f"Fans of {context['plant']} by year; {told}"))
