"""Plants that are still closed, which tell of the year too: expectation propagation."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from breeding.flowering.absorbing import Floats, Ints, Parts, Posterior
from breeding.flowering.components import Components
from breeding.flowering.layout import Layout, products
from breeding.flowering.solving import Sized, solve

ROUNDS, STEP = 10, 0.7
# Days by which no first day moves any more.
NEARLY = 0.02


@dataclass(frozen=True)
class Sites:
    """What plants still closed say of their first day, and what is said of it; shape (sites,).

    Attributes
    ----------
    plant, column, day : ndarray
        Index of the plant, column of the year, and until when it was closed.
    sharp, pull : ndarray
        As if the first day had been noted: 1 / variance, and that times the day.
    centre, variance : ndarray
        The first day as the others tell it, without this plant's being closed.
    """

    plant: Ints
    column: Ints
    day: Floats
    sharp: Floats
    pull: Floats
    centre: Floats
    variance: Floats

    @classmethod
    def of(cls, plant: Ints, column: Ints, day: Sequence[float]) -> Sites:
        """Sites that say nothing yet."""
        none = np.zeros(len(plant))
        return cls(plant, column, np.array(day), none, none, none, none + 1)


@dataclass(frozen=True)
class Settled:
    """The answer for one share of plants that are noted, and how well it explains what was seen.

    `evidence` is the logarithm of the chance that these plants stay closed or unnoticed until
    their day, given all notes.
    """

    sites: Sites
    posterior: Posterior
    evidence: float


def settle(
    layout: Layout,
    there: tuple[Sized, ...],
    held: Components,
    bare: Posterior,
    sites: Sites,
    share: float,
) -> Settled:
    """What plants say that were closed until the end of a day, by expectation propagation.

    Such a plant either opens after that day or, with the chance 1 - `share`, is not noted in
    bloom that year at all, which says nothing of its day. The mean and variance of its first day
    under this are matched, given all notes and the other closed plants, round by round.

    Parameters
    ----------
    layout, there, held
        As for `solve`.
    bare : Posterior
        Without these plants.
    sites : Sites
        From where to begin: saying nothing, or settled for a share close by.
    share : float
        Above 0 and up to 1.

    Returns
    -------
    Settled

    References
    ----------
    Minka 2001, Expectation propagation for approximate Bayesian inference, Proc. UAI 17:362-369.
    """
    found = solve(layout, there, held, _added(layout, held, sites))
    for _ in range(ROUNDS):
        sites = _without(layout, held, sites, found)
        sharp, pull, _ = _match(sites, share)
        moved = STEP * np.abs(sites.variance * (pull - sites.pull)
                              - sites.variance * sites.centre * (sharp - sites.sharp))  # fmt: skip
        sites = replace(
            sites,
            sharp=sites.sharp + STEP * (sharp - sites.sharp),
            pull=sites.pull + STEP * (pull - sites.pull),
        )
        found = solve(layout, there, held, _added(layout, held, sites))
        if moved.max(initial=0.0) < NEARLY:
            break
    sites = _without(layout, held, sites, found)
    seen = _match(sites, share)[2]
    return Settled(sites, found, _evidence(layout, held, bare, found, sites, seen))


def _evidence(
    layout: Layout, held: Components, bare: Posterior, found: Posterior, sites: Sites, seen: Floats
) -> float:
    """Log of the integral over everything of all sites, as expectation propagation has it.

    `seen` are the logarithms of what each plant shows, given the others. Each site stands as a
    normal of that integral; the normals together are a quotient of determinants and what the
    means do to them.
    """
    own, shared = layout.rows(sites.plant, sites.column, 0)
    loose = held.turn**2 + held.note**2
    before, after = (each.value(sites.plant, own, shared) for each in (bare, found))
    of_all = _normal(sites, 0 * sites.centre, np.full(len(before), loose)).sum()
    weight, right = (each / (1 + loose * sites.sharp) for each in (sites.sharp, sites.pull))
    of_all += (right * (before + after) - weight * before * after).sum() / 2
    of_all += (bare.log_det - found.log_det) / 2
    return float(of_all + (seen - _normal(sites, sites.centre, sites.variance)).sum())


def _normal(sites: Sites, centre: Floats, variance: Floats) -> Floats:
    """Log of the mean of exp(pull · day - sharp · day² / 2) over a normal day."""
    wide = 1 + variance * sites.sharp
    told = 2 * sites.pull * centre + variance * sites.pull**2 - sites.sharp * centre**2
    found: Floats = (told / wide - np.log(wide)) / 2
    return found


def _without(layout: Layout, held: Components, sites: Sites, found: Posterior) -> Sites:
    """Each plant's first day as everything but its own site tells it."""
    own, shared = layout.rows(sites.plant, sites.column, 0)
    loose = held.turn**2 + held.note**2
    gain = loose * sites.sharp / (1 + loose * sites.sharp)
    mean = (1 - gain) * found.value(sites.plant, own, shared)
    mean += loose * sites.pull / (1 + loose * sites.sharp)
    variance = (1 - gain) ** 2 * found.variance(sites.plant, own, shared) + loose * (1 - gain)
    without = 1 / (1 / variance - sites.sharp)
    return replace(sites, variance=without, centre=without * (mean / variance - sites.pull))


def _match(sites: Sites, share: float) -> tuple[Floats, Floats, Floats]:
    """(sharp, pull) of the normal site that matches, and the log chance of what is seen."""
    from scipy.special import log_ndtr

    error = np.sqrt(sites.variance)
    z = (sites.centre - sites.day) / error
    later = log_ndtr(z)
    seen = np.logaddexp(np.log(share) + later, np.log1p(-share)) if share < 1 else later
    slope = np.exp(np.log(share) - z * z / 2 - seen) / np.sqrt(2 * np.pi) / error
    bend = np.clip(slope**2 + slope * z / error, 0, 0.999 / sites.variance)
    left = 1 - sites.variance * bend
    return bend / left, (slope + bend * sites.centre) / left, seen


def _added(layout: Layout, held: Components, sites: Sites) -> Parts:
    """What closed plants add to the equations; a site of no sharpness may still pull."""
    own, shared = layout.rows(sites.plant, sites.column, 0)
    loose = 1 + sites.sharp * (held.turn**2 + held.note**2)
    weight, right = sites.sharp / loose, sites.pull / loose
    root = np.sqrt(weight)[:, None]
    added = products(
        sites.plant, root * own, np.column_stack([root * shared, 0 * weight]), len(layout.group)
    )
    for at in range(2):
        np.add.at(added.border[:, at, -1], sites.plant, right * own[:, at])
    added.shared[:-1, -1] += shared.T @ right
    return added
