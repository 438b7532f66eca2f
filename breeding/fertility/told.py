"""What an answer rests on, in bits of sentences."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from breeding.fertility.tuning import Fitted

# From so many parents on the spread between them is called estimated.
ENOUGH = 10


def many(count: int, thing: str) -> str:
    """'1 pod', '2 pods'."""
    return f"{count:,} {thing}{'' if count == 1 else 's'}"


def counted(came: int, tried: int, things: str, beside: int, parents: str) -> tuple[str, ...]:
    """What a plant counted itself, and what it is pooled with."""
    own = f"{came:,} of {tried:,} {things}" if tried else f"none of its own {things}"
    return own, f"pooled with {many(beside, parents)}"


def spreads(fitted: Fitted, what: str, third: str) -> tuple[str, ...]:
    """How much parents differ, and whether that is estimated or the usual, in sentences.

    `third` says what the third component is, with its size and counts filled in by the caller.
    """
    from breeding.fertility.tuning import FEW

    said = []
    sides = (("seed parents", fitted.rows.seeds), ("pollen parents", fitted.rows.pollens))
    for (side, there), spread in zip(sides, fitted.parts, strict=False):
        by = f"{what} differs between {side} by {spread:.2f}"
        if not there:
            said.append(f"{by}: a usual value, nothing counted tells.")
        elif there < ENOUGH:
            usual = "a usual value" if there < FEW else "mostly a usual value"
            said.append(f"{by}: {usual}, beside {many(there, side[:-1])}.")
        else:
            said.append(f"{by}: estimated from {many(there, side[:-1])}.")
    return (*said, f"{third} {fitted.parts[2]:.2f}.")
