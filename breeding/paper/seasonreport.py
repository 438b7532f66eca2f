"""A season on paper: the way from flower to row, cross by cross, by parent, what was selected."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from breeding.paper.seasonplots import MOST_SEASONS, Day, Days, Step, Steps
from garden.flower import Recipe
from garden.paper import BOLD, NAME, Document, document
from garden.paper.words import paragraph


@dataclass(frozen=True, slots=True)
class Counts:
    """Sums along the thread, with how many were selected."""

    flowers: int
    pods: int
    failed: int
    seeds: int
    sown: int
    up: int
    lined_out: int
    selected: int = 0


@dataclass(frozen=True, slots=True)
class CrossLine:
    """A cross of the season."""

    code: str
    parents: str
    counts: Counts


@dataclass(frozen=True, slots=True)
class ParentLine:
    """A plant as seed or pollen parent in the season."""

    name: str
    crosses: int
    counts: Counts


@dataclass(frozen=True, slots=True)
class Selected:
    """A seedling selected out of the season's crosses."""

    code: str
    parents: str
    day: str
    reason: str
    name: str = ""
    flower: Recipe | None = None


@dataclass(frozen=True, slots=True)
class Season:
    """Everything that the report tells; `funnels` are (year, counts), the oldest first."""

    year: int
    crosses: tuple[CrossLine, ...]
    funnels: tuple[tuple[int, Counts], ...]
    days: tuple[Day, ...] = ()
    parents: tuple[tuple[str, tuple[ParentLine, ...]], ...] = ()
    selected: tuple[Selected, ...] = ()


STEPS = (
    ("flowers", "Flowers worked"),
    ("pods", "Pods set"),
    ("seeds", "Seeds harvested"),
    ("sown", "Seeds sown"),
    ("up", "Seedlings up"),
    ("lined_out", "Lined out"),
)
COLUMNS = ("Flowers", "Pods", "Set %", "Seeds", "Sown", "Up", "Up %", "Out", "Sel.")


def percent(part: int, whole: int) -> str:
    """'62', '' of nothing."""
    return f"{100 * part / whole:.0f}" if whole else ""


def rate(part: int, whole: int, digits: int = 0) -> str:
    """'62 %', '–' of nothing."""
    return f"{100 * part / whole:.{digits}f} %" if whole else "–"


def season_pdf(season: Season, garden: str, day: str, paper: str = "A4") -> bytes:
    """The report of a season; raises KeyError for an unknown paper."""
    sheet = document(f"Season {season.year}", garden, day, paper)
    if not season.crosses:
        sheet.text("No cross was made in this season.")
        sheet.remarks()
        return sheet.pdf()
    _way(sheet, season)
    _crosses(sheet, season)
    for heading, parents in season.parents:
        _parents(sheet, heading, parents)
    _selected(sheet, season.selected)
    sheet.remarks()
    return sheet.pdf()


def _way(sheet: Document, season: Season) -> None:
    """The plots, and the shares from step to step."""
    funnels = season.funnels[-MOST_SEASONS:]
    with sheet.together():
        sheet.heading("From flower to row")
        steps = [
            Step(title, tuple((year, getattr(sums, name)) for year, sums in funnels))
            for name, title in STEPS
        ]
        sheet.add(Steps(steps, sheet.room))
        sheet.gap(2)
    shares = [[title, *(told(sums) for _, sums in reversed(funnels))] for title, told in SHARES]
    years = [str(year) for year, _ in reversed(funnels)]
    sheet.table(["", *years], shares, widths=[0, *[26] * len(years)],
                right=tuple(range(1, len(years) + 1)))  # fmt: skip
    if season.days:
        with sheet.together():
            sheet.heading("Flowers by day")
            sheet.add(Days(season.days, sheet.room))
            sheet.gap(2)


SHARES: tuple[tuple[str, Callable[[Counts], str]], ...] = (
    ("Pods of 100 flowers looked at", lambda sums: rate(sums.pods, sums.pods + sums.failed)),
    ("Seeds a pod", lambda sums: f"{sums.seeds / sums.pods:.0f}" if sums.pods else "–"),
    ("Seedlings up of 100 seeds sown", lambda sums: rate(sums.up, sums.sown if sums.up else 0)),
    ("Lined out of 100 up", lambda sums: rate(sums.lined_out, sums.up)),
    ("Selected of 100 lined out", lambda sums: rate(sums.selected, sums.lined_out, 1)),
)


def cells(sums: Counts) -> list[str]:
    """A row of numbers under COLUMNS."""
    return [
        str(sums.flowers),
        str(sums.pods),
        percent(sums.pods, sums.pods + sums.failed),
        *(str(each or "") for each in (sums.seeds, sums.sown, sums.up)),
        # Seed that nobody has seen come up may come yet.
        percent(sums.up, sums.sown if sums.up else 0),
        str(sums.lined_out or ""),
        str(sums.selected or ""),
    ]


def total(of: Sequence[Counts]) -> Counts:
    """All of them together."""
    return Counts(*(sum(getattr(each, name) for each in of) for name in Counts.__slots__))


def _crosses(sheet: Document, season: Season) -> None:
    sheet.heading("Cross by cross")
    rows = [[each.code, each.parents, *cells(each.counts)] for each in season.crosses]
    sums = total([each.counts for each in season.crosses])
    rows.append(["", f"all {len(season.crosses)} crosses", *cells(sums)])
    sheet.table(
        ["Cross", "Seed × pollen parent", *COLUMNS], rows, right=tuple(range(2, 11)),
        faces={0: BOLD}, size=9,
    )  # fmt: skip
    sheet.note(
        "Set %: pods of a hundred flowers looked at. Up %: seedlings of a hundred seeds sown. "
        "Out: lined out. Sel.: selected."
    )


def _parents(sheet: Document, heading: str, parents: Sequence[ParentLine]) -> None:
    if parents:
        sheet.heading(heading)
        rows = [[each.name, str(each.crosses), *cells(each.counts)[:-1]] for each in parents]
        sheet.table(["Plant", "Crosses", *COLUMNS[:-1]], rows, right=tuple(range(1, 10)), size=9)


def _selected(sheet: Document, selected: Sequence[Selected]) -> None:
    if selected:
        sheet.heading("Selected")
        rows = [
            [each.flower or "", _called(each), each.parents, each.reason, each.day]
            for each in selected
        ]
        sheet.table(["", "Seedling", "Parents", "Why", "Selected"], rows,
                    widths=[9, 32, 0, 0, 28], size=9)  # fmt: skip


def _called(seedling: Selected) -> Any:
    """Its number, and its name below once it has one."""
    number = paragraph(seedling.code, BOLD, 9)
    return [number, paragraph(seedling.name, NAME, 10)] if seedling.name else number
