"""The few sentences that tell how to read a chart; only those that this chart needs."""

from __future__ import annotations

from breeding.charts.model import Chart


def legend(chart: Chart) -> list[str]:
    """Sentences to stand under the chart, its notes last."""
    said = list(_LINES[chart.kind])
    marks = {place.mark for place in chart.places if place.mark}
    if chart.kind == "web":
        if marks:
            said.append("An orange ring: here both sides meet and make the cross inbred.")
    elif marks:
        branch = "parents are" if chart.kind == "ancestors" else "children are"
        said.append(f"A letter marks a plant that comes again; its {branch} drawn once.")
        if any(mark.closes for mark in marks):
            name = chart.places[0].plant.label
            said.append(f"Orange: both parents of {name} go back to it.")
    if any(place.more for place in chart.places):
        said.append("Dots: more is on record.")
    if chart.cut_after is not None:
        said.append(f"Generations after number {chart.cut_after} did not fit on this sheet.")
    said += chart.notes[:MOST_NOTES]
    if len(chart.notes) > MOST_NOTES:
        said.append(f"The same of {len(chart.notes) - MOST_NOTES} more.")
    return said


MOST_NOTES = 3
_LINES = {
    "ancestors": (
        "Seed parent above, pollen parent below.",
        "The heavier a line, the larger the expected share.",
    ),
    "descendants": (
        "Violet, unbroken: as seed parent; green, dashed: as pollen parent.",
        "The heavier a line, the larger the expected share.",
    ),
    "web": (
        "Violet, unbroken: seed parent; green, dashed: pollen parent.",
        "The heavier a line, the larger the expected share that came this way.",
    ),
}
