"""Shapes of a photographed flower: the drawn petals, each a little different, seen by a camera.

Free of Django.
"""

from __future__ import annotations

import math
import random
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from garden.flower.geometry import Petal, Point

Line = list[Point]
_COMMAND = re.compile(r"([a-zA-Z])([^a-zA-Z]*)")
_NUMBER = re.compile(r"-?(?:\d+\.?\d*|\.\d+)")
_STEPS = 5


@dataclass(frozen=True)
class View:
    """From the 100 by 100 box of the drawn flower to pixels of a square layer.

    `scale` is in pixels a unit; `yaw` and `roll` turn the flower (radians); `lift` (up to 1)
    foreshortens it as seen from above.
    """

    scale: float
    yaw: float = 0.0
    roll: float = 0.0
    lift: float = 1.0

    @property
    def side(self) -> int:
        """Pixels of the layer's side; it leaves room round the box for what is turned."""
        return round(118 * self.scale)

    def line(self, points: Sequence[Point], depth: float = 0.0) -> Line:
        """Pixels of points that lie `depth` units in front of the flower's axis."""
        narrow, shift = math.cos(self.yaw), depth * math.sin(self.yaw)
        cos, sin = math.cos(self.roll) * self.scale, math.sin(self.roll) * self.scale
        middle, lift = self.side / 2, self.lift
        seen = [((x - 50) * narrow + shift, (y - 50) * lift) for x, y in points]
        return [(middle + x * cos - y * sin, middle + x * sin + y * cos) for x, y in seen]


def varied(petal: Petal, dice: random.Random, ruffle: float) -> Petal:
    """The petal as one flower of the kind has it: bent, widened and ruffled by the dice.

    `ruffle` multiplies the height of the ruffles.
    """

    def near(point: Point, by: float) -> Point:
        return point[0] + dice.gauss(0, by), point[1] + dice.gauss(0, by)

    haft, low, high, tip = petal.spine
    amplitude, waves, phase = petal.ruffle
    return replace(
        petal,
        spine=(haft, near(low, 0.5), near(high, 1.2), near(tip, 1.1)),
        left=_widened(petal.left, dice.uniform(0.94, 1.07)),
        right=_widened(petal.right, dice.uniform(0.94, 1.07)),
        ruffle=(
            amplitude * ruffle * dice.uniform(0.85, 1.15),
            waves + dice.uniform(-1.5, 2),
            phase + dice.uniform(-1.6, 1.6),
        ),
    )


def _widened(knots: Sequence[Point], by: float) -> tuple[Point, ...]:
    return tuple((t, width * (by if t > 0.25 else 1)) for t, width in knots)


def flattened(data: str) -> list[Line]:
    """The lines of path data as points; knows the commands M m l c s q z of `garden.flower`.

    Closed lines end where they begin.
    """
    lines: list[Line] = []
    here: Point = (0.0, 0.0)
    handle: Point = (0.0, 0.0)
    for command, rest in _COMMAND.findall(data):
        values = [float(number) for number in _NUMBER.findall(rest)]
        pairs = list(zip(values[::2], values[1::2], strict=True))
        if command == "z":
            lines[-1].append(lines[-1][0])
        elif command in "Mm":
            start = (0.0, 0.0) if command == "M" else here
            lines.append([_plus(start, pairs[0])])
        else:
            legs = {"l": 1, "q": 2, "s": 2, "c": 3}[command]
            for i in range(0, len(pairs), legs):
                first = [here, handle] if command == "s" else [here]
                knots = first + [_plus(here, pair) for pair in pairs[i : i + legs]]
                lines[-1] += _bend(knots)
                here, (x, y) = knots[-1], knots[-2]
                handle = 2 * here[0] - x, 2 * here[1] - y
        here = lines[-1][-1]
    return lines


def _plus(one: Point, other: Point) -> Point:
    return one[0] + other[0], one[1] + other[1]


def _bend(knots: Line) -> Line:
    """Points of a Bézier curve of any degree after its first knot (de Casteljau)."""
    if len(knots) == 2:
        return knots[1:]
    out = []
    for k in range(1, _STEPS + 1):
        share, points = k / _STEPS, knots
        while len(points) > 1:
            points = [
                (ax + (bx - ax) * share, ay + (by - ay) * share)
                for (ax, ay), (bx, by) in pairwise(points)
            ]
        out.append(points[0])
    return out
