"""A tidy tree: parents of one plant close together, subtrees as near as their outlines allow.

After Reingold and Tilford, "Tidier drawings of trees" (1981), with nodes of any height and any
number of branches; the tree grows to the right, so that only heights matter here.
"""

from __future__ import annotations

from collections.abc import Sequence


def tidy(
    onward: Sequence[Sequence[int]],
    above: Sequence[float],
    below: Sequence[float],
    gap: float,
    kin: float = 0.0,
) -> list[float]:
    """Height (downward) of every node of a tree, the topmost edge of all nodes at 0.

    Parameters
    ----------
    onward
        For each node its branches, top to bottom; node 0 is the root and every node has a larger
        index than the one it branches from.
    above, below
        Room that a node takes over and under its height.
    gap
        Least blank between nodes of one generation that have different parents or the same.
    kin
        Extra blank between two branches for each generation that both hold beyond the first.

    A node stands midway between its first and last branch. Cost: n times the number of
    generations.
    """
    count = len(onward)
    shift = [0.0] * count  # of a node against the one it branches from
    outlines: list[tuple[list[float], list[float]]] = [([], [])] * count
    for node in range(count - 1, -1, -1):
        tops: list[float] = []
        ends: list[float] = []
        for branch in onward[node]:
            high, low = outlines[branch]
            outlines[branch] = ([], [])
            shift[branch] = _beside(ends, high, gap, kin)
            moved = [y + shift[branch] for y in high]
            tops += moved[len(tops) :]
            ends[: len(low)] = [y + shift[branch] for y in low]
        if onward[node]:
            middle = (shift[onward[node][0]] + shift[onward[node][-1]]) / 2
            for branch in onward[node]:
                shift[branch] -= middle
            tops, ends = [y - middle for y in tops], [y - middle for y in ends]
        outlines[node] = ([-above[node], *tops], [below[node], *ends])
    return _placed(onward, shift, above)


def _beside(ends: list[float], high: list[float], gap: float, kin: float) -> float:
    """How far down the next branch must go to stand clear of those before it."""
    both = list(zip(ends, high, strict=False))
    if not both:
        return 0.0
    return max(end - top for end, top in both) + gap + kin * (len(both) - 1)


def _placed(onward: Sequence[Sequence[int]], shift: list[float], above: Sequence[float]) -> list:
    height = [0.0] * len(onward)
    for node, branches in enumerate(onward):
        for branch in branches:
            height[branch] = height[node] + shift[branch]
    top = min((y - up for y, up in zip(height, above, strict=True)), default=0.0)
    return [y - top for y in height]
