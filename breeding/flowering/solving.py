"""The mixed model of bloom: its equations, and its components by EM."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from breeding.flowering.absorbing import Floats, Ints, Parts, Posterior, absorb
from breeding.flowering.components import USUAL, Components, pooled
from breeding.flowering.layout import FIRST_GROUP, Layout, Turns, products

MOST_ROUNDS, SETTLED = 80, 0.003


@dataclass(frozen=True)
class Sized:
    """All turns of `size` notes: products of their notes, and of the sums of each turn's notes.

    The day is the last shared column, so that residuals come from the same products.
    """

    size: int
    turns: int
    each: Parts
    sums: Parts


def sized(layout: Layout, found: Turns, centre: float) -> tuple[Sized, ...]:
    """The products of all notes, by the number of notes of a turn."""
    made = []
    for size in np.unique(found.many):
        here = found.many == size
        turn, stage = np.nonzero(~np.isnan(found.days[here]))
        plant, year = found.plant[here], found.year[here]
        own, shared = layout.rows(plant[turn], year[turn], stage)
        shared = np.column_stack([shared, found.days[here][turn, stage] - centre])
        summed = [np.add.reduceat(rows, np.arange(0, len(turn), size)) for rows in (own, shared)]
        plants = len(layout.group)
        made.append(
            Sized(
                int(size),
                int(here.sum()),
                products(plant[turn], own, shared, plants),
                products(plant, summed[0], summed[1], plants),
            )
        )
    return tuple(made)


def solve(
    layout: Layout, there: tuple[Sized, ...], held: Components, more: Parts | None = None
) -> Posterior:
    """All unknowns, given the notes, the components and what else is added to the equations."""
    variance = held.variances()
    mean, spread = layout.before(held.year)
    width, plants = layout.width, len(layout.group)
    own = np.zeros((plants, 2, 2))
    own[:, 0, 0] = 1 / np.where(layout.lettered > 0, variance["lettered"], variance["plain"])
    own[:, 1, 1] = 1 / variance["length"]
    shared = np.zeros((width + 1, width + 1))
    shared[:width, :width] = np.diag(1 / spread)
    shared[:width, -1] = mean / spread
    matrix = Parts(own, np.zeros((plants, 2, width + 1)), shared)
    for kind in there:
        share = together(held, kind.size)
        matrix = matrix.plus(kind.each, 1 / variance["note"])
        matrix = matrix.plus(kind.sums, -share / variance["note"])
    if more is not None:
        matrix = matrix.plus(more)
    return absorb(
        Parts(matrix.own, matrix.border[:, :, :-1], matrix.shared[:-1, :-1]),
        matrix.border[:, :, -1],
        matrix.shared[:-1, -1],
    )


def together(held: Components, size: int) -> float:
    """The part of a turn's summed residuals that is the turn's own."""
    return held.turn**2 / (held.note**2 + size * held.turn**2)


def estimate(
    layout: Layout, there: tuple[Sized, ...], counted: dict[str, int], noted: Turns
) -> Components:
    """Components by expectation and maximisation, the usual ones weighing as so many beside.

    Each round costs plants × shared².

    References
    ----------
    Dempster, Laird and Rubin 1977, Maximum likelihood from incomplete data via the EM algorithm,
    J. R. Stat. Soc. B 39:1-38.
    """
    held, found = USUAL, solve(layout, there, USUAL)
    for _ in range(MOST_ROUNDS if there else 0):
        after = pooled(_expected(layout, there, held, found, noted), counted)
        moved = max(
            abs(np.log(new / held.variances()[name])) for name, new in after.variances().items()
        )
        held, found = after, solve(layout, there, after)
        if moved < SETTLED:
            break
    return held


def _expected(
    layout: Layout, there: tuple[Sized, ...], held: Components, found: Posterior, noted: Turns
) -> dict[str, float]:
    """Expected sums of squares of everything random, given the notes."""
    own, own_spread = found.own, found.own_spread()
    between = found.pull @ found.spread
    squares = np.diagonal(own_spread, axis1=1, axis2=2) + own**2
    with_letter, without, lasting = telling(layout, noted)
    years = slice(FIRST_GROUP + 2 * len(layout.groups), -1)
    turn = note = 0.0
    for kind in there:
        share = together(held, kind.size)
        left = held.turn**2 * (1 - kind.size * share)
        each, sums = (
            _squares(parts, own, found.mean, own_spread, between, found.spread)
            for parts in (kind.each, kind.sums)
        )
        turn += share**2 * sums + kind.turns * left
        note += each - (2 * share - kind.size * share**2) * sums + kind.size * kind.turns * left
    return {
        "year": float((found.mean[years] ** 2 + np.diagonal(found.spread)[years]).sum()),
        "lettered": float(squares[with_letter, 0].sum()),
        "plain": float(squares[without, 0].sum()),
        "length": float(squares[lasting, 1].sum()),
        "turn": turn,
        "note": note,
    }


def _squares(
    parts: Parts, own: Floats, mean: Floats, own_spread: Floats, between: Floats, spread: Floats
) -> float:
    """Expected sum of squared residuals of the rows that `parts` are products of.

    From the means and covariances of the plants' own and of the shared unknowns.
    """
    shared = np.append(mean, -1.0)
    value = (own * (parts.own @ own[:, :, None])[:, :, 0]).sum()
    value += 2 * (own * (parts.border @ shared)).sum() + shared @ parts.shared @ shared
    value += (parts.own * own_spread).sum() + 2 * (parts.border[:, :, :-1] * between).sum()
    return float(value + (parts.shared[:-1, :-1] * spread).sum())


def telling(layout: Layout, noted: Turns) -> tuple[Ints, Ints, Ints]:
    """Noted plants with a recorded season, those without, and those with a peak or last day."""
    plants = np.unique(noted.plant)
    lettered = layout.lettered[plants] > 0
    lasting = np.unique(noted.plant[~np.isnan(noted.days[:, 1:]).all(1)])
    return plants[lettered], plants[~lettered], lasting


def counts(layout: Layout, noted: Turns) -> dict[str, int]:
    """How many things of each kind tell of the components."""
    with_letter, without, lasting = telling(layout, noted)
    return {
        "year": len(layout.years),
        "lettered": len(with_letter),
        "plain": len(without),
        "length": len(lasting),
        "turn": len(noted.plant),
        "note": int(noted.many.sum()),
    }
