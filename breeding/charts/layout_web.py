"""A layered drawing of a web: layers given, order by barycentres, heights by least squares.

After Sugiyama, Tagawa and Toda, "Methods for visual understanding of hierarchical system
structures" (1981). Lines over several layers pass through way-points, which have a place of their
own in every layer between.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

SWEEPS, EXCHANGES = 10, 8


@dataclass
class Layers:
    """Nodes and way-points in order, layer by layer.

    `rows[layer]` lists nodes from top to bottom: below `count` a place of the chart, from there on
    a way-point. `ways[i]` are the nodes that the line `i` passes, both ends included. `near` and
    `far` hold the neighbours of each node one layer back and one layer on.
    """

    count: int
    rows: list[list[int]]
    ways: list[list[int]]
    near: list[list[int]]
    far: list[list[int]]


@lru_cache(maxsize=8)
def layered(layer: tuple[int, ...], lines: tuple[tuple[int, int], ...]) -> Layers:
    """Layers for nodes at `layer[node]`; every line must lead to a later layer.

    The order is the best of a few sweeps by barycentre, counted by crossings; the first line begins
    above the second where both lead to one layer. Remembered for the same web in another size.
    """
    depth = 1 + max(layer, default=-1)
    rows: list[list[int]] = [[] for _ in range(depth)]
    near: list[list[int]] = [[] for _ in layer]
    far: list[list[int]] = [[] for _ in layer]
    ways = []
    for start, end in lines:
        way = [start]
        for _ in range(layer[start] + 1, layer[end]):
            way.append(len(near))
            near.append([])
            far.append([])
        way.append(end)
        ways.append(way)
        for one, two in zip(way, way[1:], strict=False):
            far[one].append(two)
            near[two].append(one)
    _first_order(rows, layer, ways, far)
    layers = Layers(len(layer), rows, ways, near, far)
    _sweep(layers)
    _first_above(layers)
    return layers


def _first_above(layers: Layers) -> None:
    """Turn the web upside down where the sweeps put the second line above the first."""
    one, two = (way[1] for way in layers.ways[:2]) if len(layers.ways) > 1 else (0, 0)
    for row in layers.rows:
        if one in row and two in row and row.index(one) > row.index(two):
            for each in layers.rows:
                each.reverse()
            return


def _first_order(rows: list, layer: Sequence[int], ways: list[list[int]], far: list) -> None:
    """Depth first from the first node, so that the seed parent's side begins on top."""
    at = dict(enumerate(layer))
    for way in ways:
        for step, node in enumerate(way[1:-1], 1):
            at[node] = layer[way[0]] + step
    seen: set[int] = set()
    for root in range(len(layer)):
        stack = [root]
        while stack:
            node = stack.pop()
            if node not in seen:
                seen.add(node)
                rows[at[node]].append(node)
                stack += reversed(far[node])


def _sweep(layers: Layers) -> None:
    place = [0.0] * len(layers.near)
    for row in layers.rows:
        place_row(row, place)
    best, least = [list(row) for row in layers.rows], _crossings(layers, place)
    for sweep in range(SWEEPS):
        onward = sweep % 2 == 0
        links = layers.near if onward else layers.far
        for row in layers.rows if onward else layers.rows[::-1]:
            keys = {n: sum(place[m] for m in links[n]) / len(links[n]) for n in row if links[n]}
            row.sort(key=lambda node: keys.get(node, place[node]))
            place_row(row, place)
        for _ in range(EXCHANGES):
            if not sum(_exchange(layers, row, place) for row in layers.rows):
                break
        now = _crossings(layers, place)
        if now < least:
            best, least = [list(row) for row in layers.rows], now
    layers.rows[:] = best


def _exchange(layers: Layers, row: list[int], place: list[float]) -> int:
    """Let neighbours of a row change places where this undoes crossings; how many did."""
    changed = 0
    for at in range(len(row) - 1):
        one, two = row[at : at + 2]
        kept = swapped = 0
        for links in (layers.near, layers.far):
            for a in links[one]:
                for b in links[two]:
                    kept += place[a] > place[b]
                    swapped += place[a] < place[b]
        if swapped < kept:
            row[at : at + 2] = two, one
            place[one], place[two] = place[two], place[one]
            changed += 1
    return changed


def place_row(row: list[int], place: list[float]) -> None:
    """Write each node's position, 0 to 1 of its layer, so that layers of any length compare."""
    for at, node in enumerate(row):
        place[node] = (at + 0.5) / len(row)


def _crossings(layers: Layers, place: list[float]) -> int:
    total = 0
    for row in layers.rows[:-1]:
        ends = [
            place[far] for node in row for far in sorted(layers.far[node], key=place.__getitem__)
        ]
        total += _inversions(ends)
    return total


def _inversions(values: list[float]) -> int:
    """Pairs out of order, counted with a Fenwick tree; cost n log n."""
    rank = {value: at for at, value in enumerate(sorted(set(values)), 1)}
    tree, total = [0] * (len(rank) + 1), 0
    for seen, value in enumerate(values):
        at, before = rank[value], 0
        while at:
            before += tree[at]
            at &= at - 1
        total += seen - before
        at = rank[value]
        while at < len(tree):
            tree[at] += 1
            at += at & -at
    return total


def heights(
    layers: Layers, above: Sequence[float], below: Sequence[float], gap: float, way: float
) -> list[float]:
    """Height of every node and way-point: as level with its neighbours as the order allows.

    `above` and `below` are the rooms of the chart's places; a way-point takes `way` in all.
    Repeated least squares: each layer in turn goes to the mean of its neighbours, kept in order
    and apart by pooling adjacent violators (Ayer et al. 1955).
    """
    up = [*above, *[way / 2] * (len(layers.near) - layers.count)]
    down = [*below, *[way / 2] * (len(layers.near) - layers.count)]
    height = [0.0] * len(layers.near)
    for row in layers.rows:
        _spread(row, [0.0] * len(row), [1.0] * len(row), up, down, gap, height)
        middle = (height[row[0]] + height[row[-1]]) / 2 if row else 0
        for node in row:
            height[node] -= middle
    for sweep in range(SWEEPS):
        rows = layers.rows if sweep % 2 == 0 else layers.rows[::-1]
        for row in rows:
            wish, pull = [], []
            for node in row:
                links = layers.near[node] + layers.far[node]
                wish.append(sum(height[m] for m in links) / len(links) if links else height[node])
                pull.append(4.0 if node >= layers.count else 1.0)
            _spread(row, wish, pull, up, down, gap, height)
    top = min((height[n] - up[n] for row in layers.rows for n in row), default=0.0)
    return [y - top for y in height]


def _spread(
    row: list[int], wish: list, pull: list, up: list, down: list, gap: float, height: list
) -> None:
    """Nearest heights to `wish` (weighted squares) that keep the row's order and its gaps."""
    offset, offsets = 0.0, []
    for at, node in enumerate(row):
        if at:
            offset += down[row[at - 1]] + gap + up[node]
        offsets.append(offset)
    blocks: list[list[float]] = []  # [sum of weighted wishes, sum of weights, how many]
    for one, weight, off in zip(wish, pull, offsets, strict=True):
        block = [(one - off) * weight, weight, 1]
        while blocks and blocks[-1][0] / blocks[-1][1] >= block[0] / block[1]:
            block = [a + b for a, b in zip(blocks.pop(), block, strict=True)]
        blocks.append(block)
    at = 0
    for total, weight, many in blocks:
        for _ in range(int(many)):
            height[row[at]] = total / weight + offsets[at]
            at += 1
