"""Ancestors and descendants of one plant, as trees whose repeated plants are drawn once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from breeding.charts.lineage import (
    ROLES,
    Lineage,
    Unknown,
    letter,
    lineage,
    meetings,
    parents_of,
    shares,
)
from breeding.charts.model import (
    Chart,
    Children,
    Edge,
    Key,
    Mark,
    Parents,
    Place,
    Plantlet,
    Plants,
)


def ancestors_chart(
    subject: Key,
    parents: Parents,
    plants: Plants,
    depth: int = 4,
    contributions: Mapping[Key, float] | None = None,
) -> Chart:
    """Ancestors of `subject` over `depth` generations, seed parent above, pollen parent below.

    Parameters
    ----------
    parents
        key -> (seed parent, pollen parent); None when not recorded, words for an unknown one.
    contributions
        Expected contribution of each ancestor to the subject, fraction 0 to 1. Without it each
        parent gives half, summed over all ways within the depth.

    A plant that comes again bears the same letter at each place; its branch is drawn at the
    first, which is the nearest to the subject. A plant among its own ancestors is cut there.

    Raises
    ------
    ValueError
        When the subject or a parent is not among `plants`, or `depth` is negative.
    """
    line = lineage([subject], parents, plants, depth)
    share = shares(line, {subject: 1.0}) | dict(contributions or {})
    chart = Chart("ancestors", f"Ancestors of {plants[subject].label}")
    chart.places.append(Place(subject, plants[subject], 0, share=1.0))
    first: dict[Key, int] = {subject: 0}
    at = 0
    while at < len(chart.places):
        place = chart.places[at]
        if place.kind == "plant" and place.again is None and not place.loop:
            _open(chart, at, line, plants, share, first)
        at += 1
    _mark(chart, line, subject, first)
    loops = [place.plant.label for place in chart.places if place.loop]
    chart.notes = tuple(
        f"{name} stands among its own ancestors on record; the branch is cut there."
        for name in dict.fromkeys(loops)
    )
    return chart


def _open(chart: Chart, at: int, line: Lineage, plants: Plants, share: dict, first: dict) -> None:
    """Add the parents of the place `at`."""
    key, step = chart.places[at].key, chart.places[at].generation + 1
    chart.places[at].more = key in line.beyond
    for role, parent in zip(ROLES, line.up[key], strict=False):
        far, cut = len(chart.places), (key, role) in line.cut
        if isinstance(parent, Unknown):
            chart.places.append(Place(None, Plantlet(parent.words), step, "unknown", 0.0))
        else:
            part = 0.0 if cut else share.get(parent, 0.0)
            place = Place(parent, plants[parent], step, share=part, loop=cut)
            place.again = None if cut else first.get(parent)
            chart.places.append(place)
            first.setdefault(parent, far)
        chart.edges.append(Edge(at, far, role, chart.places[far].share))


def _mark(chart: Chart, line: Lineage, subject: Key, first: dict[Key, int]) -> None:
    """Letters for plants that come more than once, and the lines of the subject's own loops."""
    pair = [parent for _, parent in line.above(subject)]
    joints = meetings(line, *pair) if len(pair) == 2 else set()
    again = {place.key for place in chart.places if place.again is not None}
    ringed = sorted(again, key=first.__getitem__)
    marks = {key: Mark(letter(at), key in joints) for at, key in enumerate(ringed)}
    for place in chart.places:
        place.mark = marks.get(place.key) if place.key is not None else None
    hot = {at for at, place in enumerate(chart.places) if place.mark and place.mark.closes}
    for edge in reversed(chart.edges):
        if edge.far in hot:
            hot.add(edge.near)
    chart.edges = [replace(edge, closes=edge.far in hot) for edge in chart.edges]


def descendants_chart(
    subject: Key,
    children: Children,
    plants: Plants,
    depth: int = 3,
    parents: Parents | None = None,
) -> Chart:
    """Descendants of `subject` over `depth` generations, children in the order given.

    With `parents` each line tells whether the plant before it was the seed or the pollen parent,
    and the other parent stands beside the child's name. `share` is the part of the subject in each
    descendant, ½ to the power of the generation. A plant that comes again is marked as among
    ancestors.

    Raises
    ------
    ValueError
        When the subject or a child is not among `plants`, or `depth` is negative.
    """
    if depth < 0:
        raise ValueError(f"depth {depth} is negative")
    if subject not in plants:
        raise ValueError(f"{subject!r} is not among the plants")
    chart = Chart("descendants", f"Descendants of {plants[subject].label}")
    chart.places.append(Place(subject, plants[subject], 0, share=1.0))
    near: list[int | None] = [None]
    first: dict[Key, int] = {subject: 0}
    at = 0
    while at < len(chart.places):
        place = chart.places[at]
        if place.again is None and not place.loop:
            place.more = place.generation == depth and bool(children.get(place.key))
            for child in children.get(place.key, ()) if place.generation < depth else ():
                _bear(chart, at, child, plants, parents or {}, near, first)
        at += 1
    again = {place.key for place in chart.places if place.again is not None}
    ringed = sorted(again, key=first.__getitem__)
    marks = {key: Mark(letter(number), False) for number, key in enumerate(ringed)}
    for place in chart.places:
        place.mark = marks.get(place.key)
    return chart


def _bear(
    chart: Chart, at: int, child: Key, plants: Plants, parents: Parents, near: list, first: dict
) -> None:
    """Add one child of the place `at`."""
    if child not in plants:
        raise ValueError(f"the child {child!r} is not among the plants")
    above = chart.places[at]
    role, mate = _mate(above.key, child, parents, plants)
    plant = plants[child]
    if mate:
        plant = replace(plant, small=mate)
    far = len(chart.places)
    place = Place(child, plant, above.generation + 1, share=above.share / 2)
    line: int | None = at
    while line is not None:
        place.loop = place.loop or chart.places[line].key == child
        line = near[line]
    place.again = None if place.loop else first.get(child)
    first.setdefault(child, far)
    near.append(at)
    chart.places.append(place)
    chart.edges.append(Edge(at, far, role, place.share))


def _mate(parent: Key, child: Key, parents: Parents, plants: Plants) -> tuple[str, str]:
    """What `parent` was to `child`, and its mate in words: '× Name' or 'Name ×'."""
    pair = parents_of(child, parents, plants)
    if parent not in pair:
        return "", ""
    role = "seed" if pair[0] == parent else "pollen"
    other = pair[1] if role == "seed" else pair[0]
    if isinstance(other, Unknown):
        name = other.words or "unknown"
    else:
        name = "self" if other == parent else plants[other].label
    return role, f"× {name}" if role == "seed" else f"{name} ×"
