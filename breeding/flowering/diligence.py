"""How many plants somebody notes varies from year to year, and is not known of the running one."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from breeding.flowering.absorbing import Floats, Posterior
from breeding.flowering.closed import Settled, Sites
from breeding.flowering.notes import Noted, Waiting

# Of plants that bloomed lately, as many as these bloom and are noted: an assumption that weighs as
# ten plants' years beside what the notes tell.
AGAIN, BESIDE = 0.8, 10
# A year's share strays from the garden's usual one as if it were known from so many plants: widely.
KNOWN_FROM = 2.0
# A plant that was not noted for so many years is not waited for.
REMEMBERED = 3
# Shares to begin with; the heaviest are parted until none outweighs the rest.
SHARES = (0.99, 0.95, 0.85, 0.65, 0.4, 0.2, 0.08, 0.02)
MOST_SHARES, HEAVY, LIGHT = 14, 0.5, 1e-3
# So far below the best in logs a share is out of the question.
NOTHING = 15.0


@dataclass(frozen=True)
class Part:
    """One share of plants that may be noted this year, its weight, and what then is to be said.

    `weight` 0-1; `mean` and `spread` are those of the shared unknowns.
    """

    share: float
    weight: float
    sites: Sites
    mean: Floats
    spread: Floats

    @classmethod
    def of(cls, share: float, weight: float, told: Settled) -> Part:
        """A part of the answer for one share."""
        return cls(share, weight, told.sites, told.posterior.mean, told.posterior.spread)


def lately(noted: Sequence[Noted], year: int) -> dict[Hashable, None]:
    """Plants noted within the three years before `year`, in the order of their notes."""
    return dict.fromkeys(n.plant for n in noted if year - REMEMBERED <= n.year < year)


def still_closed(noted: Sequence[Noted], year: int, today: float) -> list[Waiting]:
    """Plants noted lately and not yet in `year`: closed, or not noted at all.

    They count until yesterday, or until today where something is noted today; none when nothing
    is noted yet this year.
    """
    days = [each.day for each in noted if each.year == year]
    if not days:
        return []
    walked = max(*days, today - 1)
    here = {each.plant for each in noted if each.year == year}
    return [Waiting(plant, year, walked) for plant in lately(noted, year) if plant not in here]


def usual_share(noted: Sequence[Noted], year: int) -> float:
    """Share, 0-1, of the plants noted lately that were noted again; whole years before `year`."""
    by_year: dict[int, set[Hashable]] = {}
    for each in noted:
        by_year.setdefault(each.year, set()).add(each.plant)
    again, of = AGAIN * BESIDE, float(BESIDE)
    for past, here in by_year.items():
        if past < year:
            before = lately(noted, past).keys()
            again += len(before & here)
            of += len(before)
    return again / of


def averaged(
    settled: Callable[[Sites, float], Settled], sites: Sites, tapped: int, usual: float
) -> tuple[tuple[Part, ...], Posterior]:
    """What closed plants say, over all shares of plants that may be noted this year.

    Either a year is late, or few plants are noted in it: both explain why a plant that should be
    open is not noted. Each share is weighed by how well it explains which plants were noted and
    which were not, beside a wide beta distribution about the garden's usual share.

    Parameters
    ----------
    settled : callable
        From sites to begin with and a share to the answer.
    sites : Sites
        Saying nothing yet.
    tapped : int
        Plants noted lately that are noted this year already.
    usual : float
        Share, 0-1, of past years.

    Returns
    -------
    parts : tuple of Part
        Those that weigh anything, the largest share first; weights with the sum 1.
    posterior : Posterior
        One normal for all: means and covariances of each plant with the shared unknowns are those
        of the mixture.
    """
    found: dict[float, Settled] = {}
    best = -np.inf
    for share in SHARES:
        # No evidence is above 0, so that lower shares have no weight at all.
        if tapped * np.log(share) < best - NOTHING:
            break
        found[share] = settled(found[min(found)].sites if found else sites, share)
        best = max(best, tapped * np.log(share) + found[share].evidence)
    weights = _weights(found, tapped, usual)
    while len(found) < MOST_SHARES and max(weights.values()) > HEAVY:
        heaviest = max(weights, key=lambda share: weights[share])
        for share in _beside(list(weights), heaviest):
            found[share] = settled(found[heaviest].sites, share)
        weights = _weights(found, tapped, usual)
    heavy = {share: weight for share, weight in weights.items() if weight > LIGHT}
    whole = sum(heavy.values())
    parts = tuple(Part.of(share, weight / whole, found[share]) for share, weight in heavy.items())
    answers = [found[part.share].posterior for part in parts]
    return parts, together([part.weight for part in parts], answers)


def _weights(found: Mapping[float, Settled], tapped: int, usual: float) -> dict[float, float]:
    """By share, falling, how likely it is: each stands for all shares about it."""
    from scipy.special import betainc

    shares = np.array(sorted(found, reverse=True))
    edges = np.concatenate(([1.0], _between(shares[:-1], shares[1:]), [0.0]))
    below = betainc(KNOWN_FROM * usual, KNOWN_FROM * (1 - usual), edges)
    evidence = np.array([found[share].evidence for share in shares.tolist()])
    logs = np.log(np.maximum(below[:-1] - below[1:], 1e-300)) + tapped * np.log(shares) + evidence
    weights = np.exp(logs - logs.max())
    return dict(zip(shares.tolist(), (weights / weights.sum()).tolist(), strict=True))


def _between(one: Floats, other: Floats) -> Floats:
    """The middle of shares, as odds in logs."""
    odds = np.sqrt(one / (1 - one) * other / (1 - other))
    found: Floats = odds / (1 + odds)
    return found


def _beside(shares: Sequence[float], best: float) -> list[float]:
    """Shares to either side of the best one, halfway to the next."""
    at = shares.index(best)
    near = [shares[each] for each in (at - 1, at + 1) if 0 <= each < len(shares)]
    found: list[float] = _between(np.array([best] * len(near)), np.array(near)).tolist()
    return found


def together(weights: Sequence[float], found: Sequence[Posterior]) -> Posterior:
    """One normal with the moments of a mixture: of each block with the shared unknowns.

    Cost: parts × blocks × shared². What two blocks have in common beside the shared is left out.
    """
    if len(found) == 1:
        return found[0]
    mean = np.asarray(sum(w * each.mean for w, each in zip(weights, found, strict=True)))
    own = np.asarray(sum(w * each.own for w, each in zip(weights, found, strict=True)))
    spread, cross, within = np.zeros_like(found[0].spread), 0 * found[0].pull, 0 * found[0].left
    for weight, each in zip(weights, found, strict=True):
        off, own_off = each.mean - mean, each.own - own
        spread += weight * (each.spread + np.outer(off, off))
        cross += weight * (each.pull @ each.spread + own_off[:, :, None] * off)
        within += weight * (each.own_spread() + own_off[:, :, None] * own_off[:, None])
    pull = cross @ np.linalg.inv(spread)
    left = within - pull @ cross.transpose(0, 2, 1)
    return replace(
        found[0], mean=mean, spread=spread, start=own - pull @ mean, pull=pull, left=left
    )


def mean_sites(parts: Sequence[Part]) -> Sites:
    """The sites of a mixture as one, by their weights."""
    first = parts[0].sites
    names = ("sharp", "pull", "centre", "variance")
    means = {
        name: np.asarray(sum(part.weight * getattr(part.sites, name) for part in parts))
        for name in names
    }
    return replace(first, **means)


def quantile(weights: Floats, means: Floats, errors: Floats, share: float) -> float:
    """The value that a mixture of normals stays below with the chance `share`."""
    from scipy.optimize import brentq
    from scipy.special import ndtr

    ends = (float((means - 9 * errors).min()), float((means + 9 * errors).max()))
    return float(brentq(lambda at: weights @ ndtr((at - means) / errors) - share, *ends))
