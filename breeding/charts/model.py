"""What a chart is made of, before anybody decides where things stand. Free of Django."""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from garden.flower import Recipe

Key = Hashable
# (seed parent, pollen parent): a key, None when not recorded, or words such as 'unknown'.
Parents = Mapping[Key, tuple[Key | None, Key | None]]
Children = Mapping[Key, Sequence[Key]]


@dataclass(frozen=True)
class Plantlet:
    """One plant as a chart shows it.

    `label` is its name or number (`is_number`: set in the face of numbers), `small` a few words
    beside it such as ``'TB 1988'``, `href` its page, `flower` the recipe of its drawn flower.
    """

    label: str
    is_number: bool = False
    small: str = ""
    href: str = ""
    flower: Recipe | None = None


Plants = Mapping[Key, Plantlet]


@dataclass(frozen=True)
class Mark:
    """The letter that a repeated ancestor bears at each of its places.

    `closes` says that both parents of the chart's subject lead to it by ways that share no other
    plant: it adds to the subject's own inbreeding. Otherwise it adds to that of an ancestor.
    """

    letter: str
    closes: bool


@dataclass
class Place:
    """One place of a chart.

    kind
        ``'plant'``, ``'unknown'`` (a parent nobody knows; `plant.label` has the words that were
        recorded) or ``'cross'`` (where a web begins).
    generation
        0 at the subject, counted outward; in a web the longest way from the cross.
    share
        Contribution to the subject (of the subject, among descendants), fraction 0 to 1.
    again
        Index of the place where the same plant's branch is drawn, at its later places.
    loop
        The plant would stand among its own ancestors here; the branch is cut.
    more
        There is more on record beyond the depth of the chart.
    missing
        In a web: roles of the parents nobody knows, where the other one is on record.
    """

    key: Key | None
    plant: Plantlet
    generation: int
    kind: str = "plant"
    share: float = 0.0
    mark: Mark | None = None
    again: int | None = None
    loop: bool = False
    more: bool = False
    missing: tuple[str, ...] = ()


@dataclass(frozen=True)
class Edge:
    """A line from the place `near` the subject to the one `far` from it.

    `role` is what the parent of the two is to the other: ``'seed'``, ``'pollen'`` or ``''`` (not
    told). `share` is the contribution that comes this way, fraction 0 to 1. `closes`: the line is
    part of a loop that adds to the subject's inbreeding. `cut`: it would close a circle.
    """

    near: int
    far: int
    role: str = ""
    share: float = 0.0
    closes: bool = False
    cut: bool = False


@dataclass
class Chart:
    """Places and the lines between them; the subject or the cross is place 0.

    `kind` is ``'ancestors'``, ``'descendants'`` or ``'web'``; `edges` from one place run from top
    to bottom, seed parent first. `notes` are sentences that belong under the chart;
    `cut_after` is the last generation kept where a sheet was too small for all.
    """

    kind: str
    title: str
    places: list[Place] = field(default_factory=list)
    edges: list[Edge] = field(default_factory=list)
    notes: tuple[str, ...] = ()
    cut_after: int | None = None

    @property
    def generations(self) -> int:
        """Number of generations, the subject's own included."""
        return 1 + max((place.generation for place in self.places), default=-1)

    def onward(self) -> list[list[int]]:
        """For each place the places one line farther out, top to bottom; cut lines left out."""
        out: list[list[int]] = [[] for _ in self.places]
        for edge in self.edges:
            if not edge.cut:
                out[edge.near].append(edge.far)
        return out


def shallower(chart: Chart, depth: int) -> Chart:
    """The same chart with the places up to generation `depth` only, and told so in `cut_after`."""
    kept = [at for at, place in enumerate(chart.places) if place.generation <= depth]
    if len(kept) == len(chart.places):
        return chart
    new = {old: at for at, old in enumerate(kept)}
    places = []
    for old in kept:
        place = chart.places[old]
        places.append(replace(place, again=new.get(place.again)))
    edges = []
    for edge in chart.edges:
        if edge.near in new and edge.far in new:
            edges.append(replace(edge, near=new[edge.near], far=new[edge.far]))
        elif edge.near in new and chart.places[edge.far].kind == "plant":
            places[new[edge.near]].more = True
    return replace(chart, places=places, edges=edges, cut_after=depth)
