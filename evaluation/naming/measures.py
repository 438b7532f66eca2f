"""What was measured of a plant, by whom and when: measurings, marks of scores, counted stalks."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from evaluation.models import Measuring
from evaluation.sheets import Line, Sheet
from garden.irisclass import CM_PER_INCH
from garden.models import Plant

# What is measured: its key here, and the keys of criteria that mark the same thing.
CRITERIA = {
    "height": ("height", "height_cm", "stalk_height", "plant_height"),
    "flower_height": ("flower_height",),
    "flower_width": ("flower_width",),
    "branches": ("branching", "branches"),
    "buds": ("buds", "buds_seen"),
}
# Criteria that are counts; others are lengths with a unit.
COUNTS = ("branches", "buds")
IN_CM = {"cm": 1.0, "mm": 0.1, "in": CM_PER_INCH, "m": 100.0}


@dataclass(frozen=True, slots=True)
class Measure:
    """One measure: a length in cm or a count, whose it is, from which day, and what it is from."""

    value: float
    day: date | None
    by: str
    of: str


Measures = Mapping[str, list[Measure]]


def measures_of(
    plant: Plant, measurings: Iterable[Measuring], sheets: Iterable[Sheet]
) -> dict[str, list[Measure]]:
    """By key of `CRITERIA`, all measures, the newest first. No query."""
    found: dict[str, list[Measure]] = defaultdict(list)
    for key, measure in (*_measured(measurings), *_scored(sheets)):
        found[key].append(measure)
    for each in found.values():
        each.sort(key=lambda one: one.day or date.min, reverse=True)
    if plant.height_cm and "height" not in found:
        found["height"] = [Measure(plant.height_cm, None, "", "the record, without day or name")]
    return dict(found)


def _measured(measurings: Iterable[Measuring]) -> Iterator[tuple[str, Measure]]:
    for each in measurings:
        values = {
            "height": each.height_cm,
            "flower_height": each.flower_height_mm and each.flower_height_mm / 10,
            "flower_width": each.flower_width_mm and each.flower_width_mm / 10,
            "branches": each.branches,
            "buds": each.buds,
        }
        for key, value in values.items():
            if value is not None:
                yield key, Measure(value, each.day, str(each.person), "measured")


def _scored(sheets: Iterable[Sheet]) -> Iterator[tuple[str, Measure]]:
    for sheet in sheets:
        day, by = sheet.scoring.day, str(sheet.scoring.person)
        if sheet.stalk and sheet.stalk.buds:
            stalk = sheet.stalk
            yield (
                "branches",
                Measure(len(stalk.branches) + len(stalk.spurs), day, by, "a counted stalk"),
            )
            yield "buds", Measure(stalk.buds, day, by, "a counted stalk")
        for key, value in _marks(sheet):
            yield key, Measure(value, day, by, f"a score under {sheet.scoring.rubric}")


def _marks(sheet: Sheet) -> Iterator[tuple[str, float]]:
    counted = bool(sheet.stalk and sheet.stalk.buds)
    for line in sheet.lines:
        key = next((key for key, keys in CRITERIA.items() if line.criterion.key in keys), "")
        if key and line.value is not None and not (counted and key in COUNTS):
            value = _value(line, key)
            if value is not None:
                yield key, value


def _value(line: Line, key: str) -> float | None:
    """The mark as a count or in cm; None where it is neither."""
    scale = line.criterion.scale
    if key in COUNTS:
        return line.value if scale == "count" else None
    factor = IN_CM.get(line.criterion.unit.strip().rstrip("."))
    return line.value * factor if scale in ("measure", "count") and factor else None
