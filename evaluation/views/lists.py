"""Lists for the spade: what is cleared out, what is moved; on the page and on paper."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_http_methods, require_safe

from breeding.models import Row
from evaluation.clearing import SEASONS, beds_to_clear, resets, spade_rows, strays
from evaluation.forms.lists import ClearOutForm
from evaluation.records import clear_out
from evaluation.spadework import Fate, SpadeBed, SpadeRow, draw_key, draw_strip
from garden.forms.base import keep
from garden.verbs import written
from garden.views.common import form_page, kept_at, recorders_only
from garden.views.printing import PAPERS, paper_asked, pdf_answer

WORDS = dict(
    zip(
        SEASONS, ("Discarded", "And a season of nothing", "And two seasons of nothing"), strict=True
    )
)
KEY = (
    (Fate.DIG, "dig"),
    (Fate.LEAVE, "leave"),
    (Fate.WAIT, "leave: not judged, or passed over"),
    (Fate.MOVED, "moved"),
    (Fate.GONE, "nothing there"),
)


def asked_seasons(request: HttpRequest) -> int:
    """After how many seasons of nothing a seedling goes; 0 for nonsense."""
    text = request.GET.get("passed", "")
    return int(text) if text in {str(each) for each in SEASONS} else 0


def asked_bed(request: HttpRequest, beds: list[SpadeBed]) -> SpadeBed | None:
    """The bed asked for; else the first in which there is something to dig, or any with rows."""
    asked = request.GET.get("bed", "")
    order = [bed for bed in beds if str(bed.key) == asked]
    order += [bed for bed in beds if bed.dig] + [bed for bed in beds if bed.rows]
    return next(iter(order), None)


def sums(beds: list[SpadeBed]) -> dict[str, int]:
    """What is to be dug in all."""
    rows = [row for bed in beds for row in bed.rows if row.dig]
    return {
        "dig": sum(len(row.dig) for row in rows),
        "stays": sum(len(row.stays) for row in rows),
        "rows": len(rows),
    }


def card(row: SpadeRow, form: ClearOutForm | None = None) -> dict[str, Any]:
    """A row with its strip, and the form that says what was dug of it."""
    form = form or ClearOutForm(auto_id=f"id_{row.key}_%s", initial={"positions": row.dig_text})
    return {"row": row, "strip": mark_safe(draw_strip(row)), "form": form}


@require_safe
def clear_out_list(request: HttpRequest) -> HttpResponse:
    """What the spade takes, bed by bed and row by row. A fixed number of queries."""
    passed = asked_seasons(request)
    beds = beds_to_clear(passed)
    bed = asked_bed(request, beds)
    context = {
        "beds": [each for each in beds if each.rows],
        "bed": bed,
        "cards": [card(row) for row in bed.rows] if bed else [],
        "sums": sums(beds),
        "strays": strays(),
        "passed": passed,
        "choices": WORDS.items(),
        "key": [(mark_safe(draw_key(fate)), word) for fate, word in KEY],
        "papers": PAPERS,
    }
    return render(request, "evaluation/clear_out.html", context)


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def clear_out_row(request: HttpRequest, pk: int) -> HttpResponse:
    """Note what was dug out of a row; HTMX gets the row's card again."""
    row = get_object_or_404(Row.live.select_related("bed", "cross"), pk=pk)
    passed = asked_seasons(request)
    start = {"positions": spade_rows([row], passed)[0].dig_text}
    form = ClearOutForm(request.POST or None, initial=start, auto_id=f"id_{pk}_%s")
    kept = keep(request, form, clear_out, row=row) if request.method == "POST" else None
    if kept and not request.htmx:
        return kept_at(kept, "clear-out", bed=row.bed_id, passed=passed)
    shown = card(spade_rows([row], passed)[0], None if kept else form)
    shown |= {"thing": row, "passed": passed}
    if not request.htmx:
        return form_page(request, "evaluation/clear_out_row.html", **shown)
    if kept:
        kept.line.undo_offered = kept.line.may_be_undone_by(request.user)
        shown |= {"line": kept.line, "sums": sums(beds_to_clear(passed))}
    return form_page(request, "evaluation/_clear_out_row.html", **shown)


def footer_of(request: HttpRequest) -> str:
    return f"{request.garden.name}, {written(request.garden.today())}"


@require_safe
def clear_out_sheet(request: HttpRequest) -> HttpResponse:
    """The clear-out list on paper: all beds, or the one asked for."""
    # The PDF library is loaded when the first sheet is asked for, not at every start.
    from evaluation.spadework.clearsheet import clear_out_pdf

    asked, paper = request.GET.get("bed"), paper_asked(request)
    beds = [each for each in beds_to_clear(asked_seasons(request)) if each.dig]
    if asked:
        beds = [each for each in beds if str(each.key) == asked]
    loose = [] if asked else strays()
    return pdf_answer(clear_out_pdf(beds, loose, footer_of(request), paper), f"clear-out-{paper}")


@require_safe
def reset_list(request: HttpRequest) -> HttpResponse:
    """What is kept and still stands in its row. A fixed number of queries."""
    return render(request, "evaluation/resets.html", {"resets": resets(), "papers": PAPERS})


@require_safe
def reset_sheet(request: HttpRequest) -> HttpResponse:
    """The reset list on paper, with lines to write the new places on."""
    from evaluation.spadework.resetsheet import Move, resets_pdf
    from garden.flower import Recipe

    moves = [
        Move(
            code=each.seedling.code,
            verdict=each.verdict,
            bed=str(each.seedling.row.bed),
            row=each.seedling.row.row,
            position=each.seedling.position,
            increases=each.increases,
            flower=Recipe.from_mapping(each.seedling.plant.recipe_fields())
            if each.seedling.plant.has_colours
            else None,
        )
        for each in resets()
    ]
    paper = paper_asked(request)
    return pdf_answer(resets_pdf(moves, footer_of(request), paper), f"resets-{paper}")
