"""Path data of the large petals and their marks, reckoned once when the module loads."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from garden.flower.geometry import Petal
from garden.flower.marks import folds, forks, haft_marks, stitches, veins
from garden.flower.shapes import BACK_STANDARD, FRONT_FALL, SIDE_FALL, SIDE_STANDARD

UPPER = (BACK_STANDARD, SIDE_STANDARD)
LOWER = (SIDE_FALL, FRONT_FALL)


@dataclass(frozen=True)
class Form:
    """One petal with its SVG path data; `name` is the letter its ids end with."""

    name: str
    petal: Petal
    outline: str
    veins: str
    forks: str
    hafts: str
    stitches: str
    creases: str
    rim: str


def _rim_dash(petal: Petal) -> str:
    """Dash array that paints the outline but for the haft, where it begins and ends."""
    length = sum(math.dist(a, b) for a, b in pairwise(petal.margin(120)))
    return f"0 {length * 0.13:.0f} {length * 0.74:.0f} 99"


def _form(name: str, petal: Petal, points: int, each_side: int, count: int) -> Form:
    return Form(
        name=name,
        petal=petal,
        outline=petal.outline(points),
        veins=veins(petal, each_side),
        forks=forks(petal, each_side) if petal is not BACK_STANDARD else "",
        hafts=haft_marks(petal, each_side) if petal in LOWER else "",
        stitches=stitches(petal, count, 3.4, points) if count else "",
        creases=folds(petal),
        rim=_rim_dash(petal),
    )


FORMS: tuple[Form, Form, Form, Form] = (
    _form("B", BACK_STANDARD, 20, 2, 0),
    _form("S", SIDE_STANDARD, 32, 4, 26),
    _form("L", SIDE_FALL, 33, 4, 28),
    _form("F", FRONT_FALL, 37, 5, 36),
)
