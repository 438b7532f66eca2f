"""From flowers worked to seedlings in bloom, as this garden's own record has it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.db.models import F, Sum

from breeding.fertile import the_fertility
from breeding.models import Cross, Tally
from breeding.pages.expectwords import odds, percent
from garden.models import Garden

if TYPE_CHECKING:
    from breeding.fertility import Amount, Rate
    from breeding.inheritance.mixtures import Mixture
    from breeding.inheritance.working import Flowers, Rates, Step

# A share that varies more than this part of the most it can would be nothing but 0 and 1.
WIDEST = 0.9
STAGES = {
    "flowers": ("flower to work", "flowers to work"),
    "pods": ("pod", "pods"),
    "seeds": ("seed", "seeds"),
    "seedlings": ("seedling up", "seedlings up"),
    "blooming": ("seedling in bloom", "seedlings in bloom"),
    "wanted": ("of them as wanted", "of them as wanted"),
}


@dataclass(frozen=True, slots=True)
class Share:
    """A part of a whole, pooled over lots, and how it varies from lot to lot; None: no record."""

    mean: float | None
    variance: float = 0.0
    lots: int = 0
    part: int = 0
    whole: int = 0


def share_of(lots: Sequence[tuple[int, int]]) -> Share:
    """Pool (part, whole) of several lots.

    The variance between lots is that of their shares about the pooled one, weighed by size, less
    what chance alone makes of so few; method of moments, not below 0.
    """
    known = [(min(part, whole), whole) for part, whole in lots if whole > 0]
    whole = sum(size for _, size in known)
    if not whole:
        return Share(None)
    mean = sum(part for part, _ in known) / whole
    about = sum(size * (part / size - mean) ** 2 for part, size in known) / whole
    chance = mean * (1 - mean) * len(known) / whole
    variance = min(max(0.0, about - chance), WIDEST * mean * (1 - mean))
    return Share(mean, variance, len(known), sum(part for part, _ in known), whole)


@dataclass(frozen=True, slots=True)
class Living:
    """What becomes of the seedlings that came up: lined out, and of these seen in bloom."""

    out: Share
    seen: Share

    @property
    def mean(self) -> float:
        """Share of the seedlings up that bloom; what is not recorded is taken as all."""
        return (self.out.mean or 1.0) * (self.seen.mean or 1.0)

    @property
    def variance(self) -> float:
        one, other = self.out.mean or 1.0, self.seen.mean or 1.0
        spread = self.out.variance * other**2 + self.seen.variance * one**2
        spread += self.out.variance * self.seen.variance
        return min(spread, WIDEST * self.mean * (1 - self.mean))


def living(season: int) -> Living:
    """Seedlings lined out of those up, and seen in bloom of those lined out. Three queries.

    In bloom were those that somebody counted by type in a row, by the highest count of one locus;
    of the season that runs nothing is taken, nor of it what is in the pots still.
    """
    crosses = Cross.live.filter(lined_out__gt=0, up__gt=0, season__lt=season)
    out = [(out, up) for out, up in crosses.values_list("lined_out", "up")]
    tallies = (
        Tally.live.filter(row__isnull=False, row__struck=False, cross__struck=False)
        .filter(day__lt=Garden.get().calendar.season_starts(season), counts__struck=False)
        .values("row", "pk", size=F("row__last") - F("row__first") + 1)
        .annotate(seen=Sum("counts__count"))
    )
    rows: dict[int, tuple[int, int]] = {}
    for tally in tallies:
        most = max(tally["seen"], rows.get(tally["row"], (0, 0))[0])
        rows[tally["row"]] = (most, tally["size"])
    return Living(share_of(out), share_of(list(rows.values())))


@dataclass(frozen=True, slots=True)
class Work:
    """Flowers to work for a pair, and each step of the sum with what it rests on."""

    flowers: Flowers
    steps: list[tuple[str, str, str]]
    rests: list[tuple[str, str, str]]
    lived: Living


def work(seed: int, pollen: int | None, chance: Mixture, wanted: int, season: int) -> Work | None:
    """How many flowers of a pair to work for `wanted` seedlings; None where none can come."""
    from breeding.inheritance.working import flowers_to_work

    if chance.possible <= 0:
        return None
    held = the_fertility()
    found = (
        held.pods.pair(seed, pollen),
        held.seeds.pair(seed, pollen),
        held.germination.pair(seed, pollen),
    )
    lived = living(season)
    flowers = flowers_to_work(chance, wanted, rates(*found, lived))
    rests = [*_fertile(*found), *_lived(lived)]
    rests.append(("Of the wanted type", percent(chance.mean), f"{odds(chance.mean)}, as above"))
    return Work(flowers, [_step(step) for step in flowers.steps], rests, lived)


def rates(pods: Rate, seeds: Amount, up: Amount, lived: Living) -> Rates:
    """What becomes of a worked flower, with all that is not known of it."""
    from breeding.inheritance.quadrature import Spread
    from breeding.inheritance.working import Rates

    def share(mean: float, variance: float) -> Spread:
        return Spread(mean, min(variance, WIDEST * mean * (1 - mean)))

    return Rates(
        pods=share(pods.mean, pods.variance),
        seeds=Spread(seeds.mean, seeds.spread**2),
        germination=share(up.mean, up.variance),
        bloom=share(lived.mean, lived.variance),
        seeds_of_crosses=seeds.error**2,
    )


def _step(step: Step) -> tuple[str, str, str]:
    """('pods', '4', '1 to 7') of one stage."""
    one, many = STAGES[step.stage]
    number = f"{step.mean:.0f}" if step.mean >= 9.5 else f"{step.mean:.1f}".removesuffix(".0")
    spread = "" if step.stage == "flowers" else f"{step.low:,.0f} to {step.high:,.0f}"
    return (one if number == "1" else many, number, spread)


def _fertile(pods: Rate, seeds: Amount, up: Amount) -> list[tuple[str, str, str]]:
    return [
        ("Pods set of flowers worked", percent(pods.mean), "; ".join(pods.told_by)),
        ("Seeds in a pod", f"{seeds.mean:.0f}", "; ".join(seeds.told_by)),
        ("Seeds that come up", percent(up.mean), "; ".join(up.told_by)),
    ]


def _lived(lived: Living) -> list[tuple[str, str, str]]:
    rests = []
    for title, share, nothing, of in (
        ("Lined out of those up", lived.out, "taken as all: nothing recorded", "crosses"),
        (
            "Seen in bloom of those lined out",
            lived.seen,
            "taken as all: no row counted yet",
            "rows",
        ),
    ):
        told = f"{share.part:,} of {share.whole:,} in {share.lots} {of}" if share.lots else nothing
        rests.append((title, percent(share.mean if share.mean is not None else 1), told))
    return rests
