"""Lines and spots that lie on the petals: veins, haft marks, stitches, splashes, beard hairs."""

from __future__ import annotations

import math
import random
from collections.abc import Sequence
from itertools import pairwise

from garden.flower.geometry import Petal, Point, dashes, even, number, numbers, polyline


def veins(petal: Petal, each_side: int, reach: float = 0.93, spread: float = 0.9) -> str:
    """Path data of a midrib and `each_side` veins that fan from the haft to both margins."""
    lines = [petal.vein((0.06, 0), (reach, 0))]
    for k in range(1, each_side + 1):
        share = k / each_side
        for side in (-1, 1):
            start = (0.07 + 0.03 * k, side * 0.75 * share)
            end = (reach - 0.3 * share**1.5 + 0.03 * (k % 2), side * share * spread)
            lines.append(petal.vein(start, end, side * -0.1 * share))
    return "".join(lines)


def forks(petal: Petal, each_side: int) -> str:
    """Path data of the short outer branches between the main veins."""
    lines = []
    for k in range(each_side):
        share = (k + 0.5) / each_side
        for side in (-1, 1):
            start = (0.5 - 0.12 * share, side * share * 0.8)
            lines.append(petal.vein(start, (0.95 - 0.25 * share, side * share * 0.94)))
    return "".join(lines)


def haft_marks(petal: Petal, each_side: int) -> str:
    """Path data of the marks that fan out on both sides of the beard."""
    lines = []
    for k in range(1, each_side + 1):
        share = k / each_side
        for side in (-1, 1):
            end = 0.46 - 0.13 * share + 0.04 * (k % 2)
            lines.append(petal.vein((0.1, side * share * 0.85), (end, side * share * 0.86)))
    return "".join(lines)


def stitches(petal: Petal, count: int, depth: float, salt: int) -> str:
    """Path data of `count` stitches from the margin inward and of dots further in.

    `depth` is the mean length of a stitch in units.
    """
    rng = random.Random(salt)
    heart_x, heart_y = petal.at(0.25, 0)
    marks, dots = [], []
    for i, (x, y) in enumerate(petal.margin(count + 6, 0.2)[3:-3]):
        far = math.hypot(heart_x - x, heart_y - y) or 1.0
        ux, uy = (heart_x - x) / far, (heart_y - y) / far
        long = min(depth * rng.uniform(0.5, 1.5), far * 0.6)
        marks.append((x, y, ux * long, uy * long))
        if i % 2 and far > depth * 3:
            off = long + depth * rng.uniform(0.35, 1.2)
            dots.append((x + ux * off, y + uy * off, ux * 0.6, uy * 0.6))
    return dashes(marks + dots[::-1])


def splashes(petal: Petal, count: int, rng: random.Random, size: float, digits: int = 1) -> str:
    """Path data of `count` irregular streaks that run along the petal, broader to the tip."""
    out = ""
    for i in range(count):
        across = -0.82 + 1.64 * (i + rng.random()) / count
        start = rng.uniform(0.22, 0.74)
        end = min(0.99, start + rng.uniform(0.1, 0.34) * size)
        wide = rng.uniform(0.04, 0.13) * size
        middle, lean = start + (end - start) * rng.uniform(0.5, 0.85), rng.uniform(-0.06, 0.06)
        x, y = petal.at(start, across)
        bx, by = petal.at(middle, across - wide)
        cx, cy = petal.at(end, across + lean)
        dx, dy = petal.at(middle, across + wide * rng.uniform(0.3, 1))
        out += f"M{numbers((x, y), digits)}q{numbers((bx - x, by - y, cx - x, cy - y), digits)}"
        out += f"q{numbers((dx - cx, dy - cy, x - cx, y - cy), digits)}z"
    return out


def folds(petal: Petal, depth: float = 0.24) -> str:
    """Path data of the creases that run inward from the ruffle's troughs, tapering to nothing."""
    steps = 160
    height = [petal.wave(i / steps) for i in range(steps + 1)]
    margin = petal.margin(steps + 1)
    heart = petal.at(0.3, 0)
    out = ""
    for i in range(4, steps - 3):
        if height[i] < -0.3 and height[i - 1] > height[i] <= height[i + 1]:
            (ax, ay), (x, y), (bx, by) = margin[i - 3], margin[i], margin[i + 3]
            dx, dy = (heart[0] - x) * depth, (heart[1] - y) * depth
            tip = x + dx - ax, y + dy - ay
            into = x - ax + dx * 0.35, y - ay + dy * 0.35
            back = dx * -0.65, dy * -0.65, bx - x - dx, by - y - dy
            out += f"M{numbers((ax, ay))}q{numbers((*into, *tip))}q{numbers(back)}z"
    return out


def hairs(ridge: Sequence[Point], count: int, half_width: float, salt: int) -> str:
    """Path data of `count` tufts of a beard: one thread to and fro between ridge and hair tips."""
    rng = random.Random(salt)
    line = even(ridge, count + 1)
    thread = []
    for i, ((ax, ay), (bx, by)) in enumerate(pairwise(line)):
        width = half_width * (0.55 + 0.5 * math.sin(math.pi * min(1, 0.22 + i / count * 0.8)))
        side = 1 if i % 2 else -1
        angle = math.atan2(by - ay, bx - ax) + side * rng.uniform(0.35, 1.5)
        long = width * rng.uniform(0.7, 1.1)
        slip = rng.uniform(-0.22, 0.22) * width
        thread.append((ax + slip, ay + rng.uniform(-0.5, 0.5)))
        thread.append((ax + math.cos(angle) * long, ay + math.sin(angle) * long))
    return polyline([*thread, line[-1]])


def ellipse(x: float, y: float, rx: float, ry: float, turn: float, fill: str) -> str:
    """An ellipse turned by `turn` degrees, for soft lights and shadows."""
    spin = f' transform="rotate({number(turn)} {number(x)} {number(y)})"' if turn else ""
    size = f'rx="{number(rx)}" ry="{number(ry)}"'
    return f'<ellipse cx="{number(x)}" cy="{number(y)}" {size} fill="{fill}"{spin}/>'
