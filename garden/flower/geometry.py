"""Petals as curved coordinates: along the midrib and across it, so that marks follow the form."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

Point = tuple[float, float]


def number(value: float, digits: int = 1) -> str:
    """Shortest text of a coordinate, rounded."""
    text = f"{value:.{digits}f}"
    if digits and text.endswith(".0"):
        text = text[:-2]
    if text in ("-0", "0"):
        return "0"
    return text.replace("0.", ".", 1) if text.startswith(("0.", "-0.")) else text


def numbers(values: Sequence[float], digits: int = 1) -> str:
    """Numbers of a path command, without a blank before a minus sign."""
    out = ""
    for value in values:
        text = number(value, digits)
        out += text if not out or text[0] == "-" else " " + text
    return out


def smooth(points: Sequence[Point], closed: bool = False, digits: int = 1) -> str:
    """Path data of a uniform Catmull-Rom curve through `points`, with relative `s` commands."""
    count = len(points)

    def near(i: int) -> Point:
        return points[i % count] if closed else points[min(max(i, 0), count - 1)]

    def tangent(i: int) -> Point:
        (ax, ay), (bx, by) = near(i - 1), near(i + 1)
        return (bx - ax) / 6, (by - ay) / 6

    def snap(point: Point) -> Point:
        return round(point[0], digits), round(point[1], digits)

    x, y = snap(points[0])
    dx, dy = tangent(0)
    out = "M" + numbers((x, y), digits)
    for i in range(1, count + 1 if closed else count):
        (px, py), (tx, ty) = near(i), tangent(i)
        ends = (px - tx - x, py - ty - y, px - x, py - y)
        if i == 1:
            out += "c" + numbers((dx, dy, *ends), digits)
        else:
            out += "s" + numbers(ends, digits)
        x, y = snap((x + round(ends[2], digits), y + round(ends[3], digits)))
    return out + ("z" if closed else "")


def between(knots: Sequence[Point], t: float) -> float:
    """Value at `t` of a smooth curve through (t, value) knots in rising order."""
    i = 0
    while i < len(knots) - 2 and knots[i + 1][0] < t:
        i += 1

    def slope(k: int) -> float:
        low, high = knots[max(k - 1, 0)], knots[min(k + 1, len(knots) - 1)]
        return (high[1] - low[1]) / (high[0] - low[0])

    (t0, v0), (t1, v1) = knots[i], knots[i + 1]
    span = t1 - t0
    u = min(1.0, max(0.0, (t - t0) / span))
    return (
        (1 + 2 * u) * (1 - u) ** 2 * v0
        + u * (1 - u) ** 2 * span * slope(i)
        + u * u * (3 - 2 * u) * v1
        + u * u * (u - 1) * span * slope(i + 1)
    )


@dataclass(frozen=True)
class Petal:
    """A petal along a cubic midrib (haft to tip), in units of the 100 by 100 view box.

    `left` and `right` are (t, half-width) knots on either side of the midrib; `blunt` rounds the
    tip (higher is blunter); `ruffle` is (amplitude, waves round the margin, phase).
    """

    spine: tuple[Point, Point, Point, Point]
    left: tuple[Point, ...]
    right: tuple[Point, ...]
    blunt: float = 4.0
    ruffle: tuple[float, float, float] = (0.0, 9.0, 0.0)

    def at(self, t: float, across: float) -> Point:
        """Point at `t` (0 haft, 1 tip) and `across` (-1 left margin, 0 midrib, 1 right margin)."""
        (ax, ay), (bx, by), (cx, cy), (dx, dy) = self.spine
        u = 1 - t
        x = u**3 * ax + 3 * u * u * t * bx + 3 * u * t * t * cx + t**3 * dx
        y = u**3 * ay + 3 * u * u * t * by + 3 * u * t * t * cy + t**3 * dy
        gx = u * u * (bx - ax) + 2 * u * t * (cx - bx) + t * t * (dx - cx)
        gy = u * u * (by - ay) + 2 * u * t * (cy - by) + t * t * (dy - cy)
        length = math.hypot(gx, gy) or 1.0
        knots = self.left if across < 0 else self.right
        width = between(knots, t) * math.sqrt(max(0.0, 1 - t**self.blunt)) * across
        return x - gy / length * width, y + gx / length * width

    def mirrored(self) -> Petal:
        """The same petal on the other side of the flower's axis (x = 50)."""
        a, b, c, d = mirrored(self.spine)
        return replace(self, spine=(a, b, c, d), left=self.right, right=self.left)

    def margin(self, count: int, inset: float = 0.0) -> list[Point]:
        """`count` points evenly round the margin, left haft to tip to right haft, ruffled.

        `inset` moves them inward by that many units.
        """
        edge = even(self._bare_margin(), count)
        amplitude = self.ruffle[0]
        out = []
        for i, (x, y) in enumerate(edge):
            (ax, ay), (bx, by) = edge[max(i - 1, 0)], edge[min(i + 1, count - 1)]
            length = math.hypot(bx - ax, by - ay) or 1.0
            push = amplitude * self.wave(i / (count - 1)) - inset
            out.append((x + (by - ay) / length * push, y - (bx - ax) / length * push))
        return out

    def _bare_margin(self) -> list[Point]:
        steps = (2 * i / 120 - 1 for i in range(121))
        return [self.at(1 - abs(s) ** 1.7, -1 if s < 0 else 1) for s in steps]

    def wave(self, s: float) -> float:
        """Height of the ruffle at `s` (0 to 1) round the margin; the haft lies calm."""
        _, waves, phase = self.ruffle
        calm = min(1.0, max(0.0, 4.2 * min(s, 1 - s) - 0.35))
        high = math.sin(2 * math.pi * waves * s + phase)
        return calm * (high + 0.35 * math.sin(2 * math.pi * waves * 1.43 * s + phase * 2.1))

    def outline(self, count: int, digits: int = 1) -> str:
        """Closed path data of the margin through `count` points, rounded to `digits`."""
        return smooth(self.margin(count), closed=True, digits=digits)

    def within(self, count: int, inset: float, digits: int = 0) -> str:
        """Closed path data of a line `inset` units inside the margin."""
        return smooth(self.margin(count, inset), closed=True, digits=digits)

    def vein(self, start: Point, end: Point, bow: float = 0.0) -> str:
        """Path data of a line from (t, across) `start` to `end`, bowed to the margin by `bow`."""
        on = []
        for i in range(4):
            u = i / 3
            across = start[1] + (end[1] - start[1]) * u + bow * math.sin(math.pi * u)
            on.append(self.at(start[0] + (end[0] - start[0]) * u, across))
        return "M" + numbers(on[0]) + "c" + numbers(_cubic_through(*on))


def _cubic_through(a: Point, b: Point, c: Point, d: Point) -> list[float]:
    """Handles and end, relative to `a`, of the cubic that is in b and c at thirds of its way."""
    one = [(-5 * p + 18 * q - 9 * r + 2 * s) / 6 - p for p, q, r, s in zip(a, b, c, d, strict=True)]
    two = [(2 * p - 9 * q + 18 * r - 5 * s) / 6 - p for p, q, r, s in zip(a, b, c, d, strict=True)]
    return [*one, *two, d[0] - a[0], d[1] - a[1]]


def dashes(marks: Sequence[tuple[float, float, float, float]]) -> str:
    """Path data of short lines (x, y, dx, dy), each begun where the last one left off."""
    out, here = "", (0.0, 0.0)
    for x, y, dx, dy in marks:
        step = round(x - here[0], 1), round(y - here[1], 1)
        leg = round(dx, 1), round(dy, 1)
        out += f"m{numbers(step)}l{numbers(leg)}"
        here = here[0] + step[0] + leg[0], here[1] + step[1] + leg[1]
    return out.replace("m", "M", 1)


def polyline(points: Sequence[Point]) -> str:
    """Path data of straight legs through `points`."""
    x, y = (round(value, 1) for value in points[0])
    out = f"M{numbers((x, y))}l"
    for px, py in points[1:]:
        step = numbers((px - x, py - y))
        out += step if out[-1] == "l" or step[0] == "-" else " " + step
        x, y = x + round(px - x, 1), y + round(py - y, 1)
    return out


def even(points: Sequence[Point], count: int) -> list[Point]:
    """`count` points at even distances along a polyline, its ends included."""
    reach = [0.0]
    for (ax, ay), (bx, by) in pairwise(points):
        reach.append(reach[-1] + math.hypot(bx - ax, by - ay))
    out, i = [], 0
    for k in range(count):
        want = reach[-1] * k / (count - 1)
        while i < len(points) - 2 and reach[i + 1] < want:
            i += 1
        share = (want - reach[i]) / ((reach[i + 1] - reach[i]) or 1.0)
        (ax, ay), (bx, by) = points[i], points[i + 1]
        out.append((ax + (bx - ax) * share, ay + (by - ay) * share))
    return out


def mirrored(points: Sequence[Point]) -> list[Point]:
    """Points on the other side of the flower's axis (x = 50)."""
    return [(100 - x, y) for x, y in points]
