"""A bed on paper, across: rows and positions to scale, and the crosses that stand there."""

from __future__ import annotations

from dataclasses import replace

from breeding.paper.bedband import GUTTER, Band, EmptyRows, Look, upright
from breeding.paper.bedplan import Bed, drawn, spans
from garden.paper import BOLD, Document, document

# From roomy to dense: the first with which the map fits on one page.
LOOKS = (
    Look(0, False, 13.0, 34.0, 16.0),
    Look(0, False, 11.0, 26.0, 10.0),
    Look(0, False, 9.5, 20.0, 7.0),
    Look(0, False, 9.5, 15.0, 5.0),
)


def bed_map_pdf(bed: Bed, garden: str, day: str, paper: str = "A4") -> bytes:
    """The map of a bed; raises KeyError for an unknown paper."""
    sheet = document(bed.name, garden, day, paper, across=True, beside=_size(bed))
    if bed.note:
        sheet.text(bed.note)
    _map(sheet, bed)
    if bed.elsewhere:
        sheet.heading("Stands here too")
        sheet.table(["Mark", "Plant"], [list(each) for each in bed.elsewhere], widths=[40, 0],
                    faces={0: BOLD})  # fmt: skip
    if bed.crosses:
        sheet.heading("Crosses")
        rows = [[each.code, each.parents, each.lined_out, each.seedlings, each.where]
                for each in bed.crosses]  # fmt: skip
        sheet.table(
            ["Cross", "Seed × pollen parent", "Lined out", "Seedlings", "Row: positions"],
            rows, right=(3,), faces={0: BOLD},
        )  # fmt: skip
    sheet.remarks()
    return sheet.pdf()


def _size(bed: Bed) -> str:
    rows = f"{bed.rows} row{'s' if bed.rows > 1 else ''}"
    return f"{rows} of {bed.positions}"


def _map(sheet: Document, bed: Bed) -> None:
    parts, pitch = spans(bed.positions, sheet.room - GUTTER, bool(bed.plants))
    turned = not upright([plant.name for plant in bed.plants], pitch)
    shown = [part for part in parts if part == parts[0] or _stands(bed, *part)]
    for look in LOOKS:
        look = replace(look, pitch=pitch, turned=turned, bloom=min(look.bloom, pitch - 2))
        rows = {part: _rows(bed, part, look) for part in shown}
        if sum(row.wrap(0, 0)[1] for some in rows.values() for row in some) < _left(sheet, bed):
            break
    for (first, last), some in rows.items():
        if len(parts) > 1:
            sheet.heading(f"Positions {first} to {last}")
        sheet.add(*some)
    if blank := [part for part in parts if part not in shown]:
        sheet.note(f"Nothing stands at positions {_joined(blank)}.")


def _left(sheet: Document, bed: Bed) -> float:
    """Height of the first page below its title and note."""
    return sheet.height - 14 - (36 if bed.note else 0)


def _stands(bed: Bed, first: int, last: int) -> bool:
    """Whether anything stands between two positions."""
    return any(first <= plant.position <= last for plant in bed.plants) or any(
        each.first <= last and each.last >= first for each in bed.stretches
    )


def _rows(bed: Bed, part: tuple[int, int], look: Look) -> list[Band | EmptyRows]:
    long = (part[1] - part[0] + 1) * look.pitch
    return [
        EmptyRows(*piece, long) if isinstance(piece, tuple) else Band(piece, look)
        for piece in drawn(bed, *part)
    ]


def _joined(parts: list[tuple[int, int]]) -> str:
    """Neighbouring parts as one: '61 to 300'."""
    runs: list[tuple[int, int]] = []
    for first, last in parts:
        if runs and runs[-1][1] == first - 1:
            runs[-1] = (runs[-1][0], last)
        else:
            runs.append((first, last))
    return ", ".join(f"{first} to {last}" for first, last in runs)
