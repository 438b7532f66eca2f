"""The whole web behind one cross: every ancestor once, joined as it was bred."""

from __future__ import annotations

from collections.abc import Mapping

from breeding.charts.lineage import ROLES, Unknown, lineage, meetings, shares
from breeding.charts.model import Chart, Edge, Key, Mark, Parents, Place, Plantlet, Plants


def web_chart(
    seed: Key,
    pollen: Key,
    parents: Parents,
    plants: Plants,
    depth: int = 6,
    contributions: Mapping[Key, float] | None = None,
) -> Chart:
    """Ancestors of the cross `seed` × `pollen`, each once, as layers by the longest way back.

    `depth` counts generations from the two parents by the shortest way. `contributions` are those
    to the cross, fraction 0 to 1; without them each parent gives half. A line's share is half
    that of the plant it leads from. Ancestors at which the two sides meet by ways that share no
    other plant are marked; they make the inbreeding of the cross.

    Raises
    ------
    ValueError
        When a plant is not among `plants`, or `depth` is negative.
    """
    line = lineage([seed, pollen], parents, plants, depth)
    begin = {seed: 0.5, pollen: 0.5} if seed != pollen else {seed: 1.0}
    share = shares(line, begin) | dict(contributions or {})
    names = f"{plants[seed].label} × {plants[pollen].label}"
    chart = Chart("web", names, [Place(None, Plantlet("×"), 0, "cross", 1.0)])
    layer = dict.fromkeys(line.order, 1)
    for key in line.order:
        for _, parent in line.above(key):
            layer[parent] = max(layer[parent], layer[key] + 1)
    joints = meetings(line, seed, pollen)
    index: dict[Key, int] = {}
    for key in sorted(line.order, key=layer.__getitem__):
        index[key] = len(chart.places)
        mark = Mark("", True) if key in joints else None
        place = Place(key, plants[key], layer[key], share=share.get(key, 0.0), mark=mark)
        place.more = key in line.beyond
        place.missing = tuple(
            role
            for role, parent in zip(ROLES, line.up[key], strict=False)
            if isinstance(parent, Unknown)
        )
        chart.places.append(place)
    chart.edges = [Edge(0, index[seed], "seed", 0.5), Edge(0, index[pollen], "pollen", 0.5)]
    for key in line.order:
        for role, parent in zip(ROLES, line.up[key], strict=False):
            if not isinstance(parent, Unknown):
                cut = (key, role) in line.cut
                half = 0.0 if cut else share.get(key, 0.0) / 2
                chart.edges.append(Edge(index[key], index[parent], role, half, cut=cut))
    chart.notes = tuple(
        f"{plants[key].label} stands among its own ancestors on record, as the dotted line shows."
        for key, _ in sorted(line.cut, key=lambda pair: index[pair[0]])
    )
    return chart
