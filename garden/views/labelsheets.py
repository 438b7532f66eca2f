"""Sizes of labels: ready-made and the garden's own, the test page, the address in the codes."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from garden.forms.base import RecordForm, keep
from garden.forms.labels import AddressForm, LabelSheetForm, ShiftForm
from garden.labelbase import label_base
from garden.labelsheets import Paper, own_sheets, paper_of, ready, shift_of
from garden.models import LabelAddress, LabelSheet
from garden.records import (
    add_label_sheet,
    change_label_sheet,
    fix_label_address,
    shift_sheet,
    strike_label_sheet,
)
from garden.views.common import form_page, kept_at, owners_only, recorders_only
from garden.views.printing import pdf_answer


@recorders_only
@require_safe
def sheets(request: HttpRequest) -> HttpResponse:
    """Every size that can be printed on, and what the codes carry."""
    made = list(ready().values())
    groups = [
        ("A4", [one for one in made if one.key.startswith("a4-")]),
        ("Letter", [one for one in made if one.key.startswith("letter-")]),
        ("Rolls", [one for one in made if one.sheet.roll]),
    ]
    context = {"own": own_sheets(), "groups": groups, "base": label_base(request)}
    return render(request, "garden/label_sheets.html", context)


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def new(request: HttpRequest) -> HttpResponse:
    """A size of the garden's own."""
    form = LabelSheetForm(request.POST or None)
    if request.method == "POST" and (kept := keep(request, form, add_label_sheet)):
        return kept_at(kept, "label-sheet", kept.thing.key)
    return form_page(request, "garden/label_sheet_form.html", form)


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def change(request: HttpRequest, pk: int) -> HttpResponse:
    """Other measures for a size of the garden's own."""
    own = get_object_or_404(LabelSheet.live, pk=pk)
    form = LabelSheetForm(request.POST or None, own=own)
    if request.method == "POST" and (kept := keep(request, form, change_label_sheet, sheet=own)):
        return kept_at(kept, "label-sheet", own.key)
    return form_page(request, "garden/label_sheet_form.html", form, own=own)


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def strike(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a size of the garden's own away."""
    own = get_object_or_404(LabelSheet.live, pk=pk)
    form = PlainForm(request.POST or None)
    if request.method == "POST" and (kept := keep(request, form, strike_label_sheet, sheet=own)):
        return kept_at(kept, "label-sheets")
    return form_page(request, "garden/label_sheet_strike.html", form, own=own)


class PlainForm(RecordForm):
    """A form of one button."""

    day = None


def the_paper(key: str) -> Paper:
    paper = paper_of(key)
    if paper is None:
        raise Http404
    return paper


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def sheet(request: HttpRequest, key: str) -> HttpResponse:
    """One size: its measures, its test page, how far the printer misses it."""
    paper = paper_of(key, struck=True)
    if paper is None:
        raise Http404
    if paper.own and paper.own.struck:
        # Its making was just undone on this page.
        return HttpResponseRedirect(f"{reverse('label-sheets')}?{request.GET.urlencode()}")
    right, down = shift_of(key)
    form = ShiftForm(request.POST or None, initial={"right": f"{right:g}", "down": f"{down:g}"})
    if request.method == "POST" and (kept := keep(request, form, shift_sheet, sheet=key)):
        return kept_at(kept, "label-sheet", key)
    made = paper.sheet
    about = {
        "paper": paper,
        "right": right,
        "down": down,
        "page": (made.page_width + 2, made.page_height + 2),
        "spots": [made.place(index) for index in range(made.places)],
    }
    return form_page(request, "garden/label_sheet.html", form, **about)


@recorders_only
@require_safe
def test_page(request: HttpRequest, key: str) -> HttpResponse:
    """The test page of a size as PDF."""
    from garden.labels import calibration_pdf

    pdf = calibration_pdf(the_paper(key).sheet, shift_of(key))
    return pdf_answer(pdf, f"test-{key}")


@owners_only
@require_http_methods(["GET", "HEAD", "POST"])
def address(request: HttpRequest) -> HttpResponse:
    """Fix the address in the codes, or let it follow how the garden is opened."""
    fixed = LabelAddress.live.order_by("-id").first()
    form = AddressForm(request.POST or None, initial={"address": fixed.address if fixed else ""})
    if request.method == "POST" and (kept := keep(request, form, fix_label_address)):
        return kept_at(kept, "label-sheets")
    return form_page(request, "garden/label_address.html", form, base=label_base(request))
