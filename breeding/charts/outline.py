"""A chart as a nested list, for a page that opens one branch at a time."""

from __future__ import annotations

from dataclasses import dataclass, field

from breeding.charts.model import Chart, Mark, Plantlet


@dataclass
class Branch:
    """One place with its branches, seed parent first.

    `number` is the place's index in the chart, `kind` as there, `role` what this parent is to the
    plant before it (among descendants: what that one is to this plant). `again` is the number
    where the branch is listed, at the later places of a plant, which have no branches here; `more`
    and `loop` as in `Place`.
    """

    plant: Plantlet
    number: int
    kind: str
    role: str = ""
    share: float = 0.0
    mark: Mark | None = None
    again: int | None = None
    loop: bool = False
    more: bool = False
    branches: list[Branch] = field(default_factory=list)


def to_tree(chart: Chart) -> Branch:
    """The nested structure of any chart, from the subject (or the cross of a web).

    Raises
    ------
    ValueError
        When the chart is empty.
    """
    if not chart.places:
        raise ValueError("nothing to list")
    onward: dict[int, list[tuple[int, str, bool]]] = {}
    for edge in chart.edges:
        onward.setdefault(edge.near, []).append((edge.far, edge.role, edge.cut))
    root = _branch(chart, 0, "")
    opened, stack = {0}, [root]
    while stack:
        branch = stack.pop()
        for far, role, cut in onward.get(branch.number, ()):
            child = _branch(chart, far, role)
            branch.branches.append(child)
            if cut:
                child.loop = True
            elif far in opened:  # in a web the same place is reached by several lines
                child.again = far
            else:
                opened.add(far)
                stack.append(child)
    return root


def _branch(chart: Chart, at: int, role: str) -> Branch:
    place = chart.places[at]
    return Branch(
        place.plant,
        at,
        place.kind,
        role,
        place.share,
        place.mark,
        place.again,
        place.loop,
        place.more,
    )
