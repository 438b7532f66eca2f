"""Tags: print a sheet, and the page that a tag leads to."""

from __future__ import annotations

from django.db.models import OuterRef, Subquery
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_http_methods, require_safe

from breeding.forms import PrintTagsForm, SpoilTagForm
from breeding.lifeline import life_of
from breeding.models import Pollination, Tag, TagBatch
from breeding.records import print_tags, spoil_tag
from garden.forms.base import keep
from garden.views.common import form_page, journal_of, kept_at, recorders_only
from garden.views.printing import paper_asked, pdf_answer


@require_http_methods(["GET", "HEAD", "POST"])
@recorders_only
def tags(request: HttpRequest) -> HttpResponse:
    """Print tags; sheets printed before."""
    form = PrintTagsForm(request.POST or None)
    if request.method == "POST" and (kept := keep(request, form, print_tags)):
        return kept_at(kept, "tags")
    codes = Tag.objects.filter(batch=OuterRef("pk")).values("code")
    batches = TagBatch.live.order_by("-id").annotate(
        first_code=Subquery(codes.order_by("id")[:1]),
        last_code=Subquery(codes.order_by("-id")[:1]),
    )[:12]
    return form_page(request, "breeding/tags.html", form, batches=batches)


@require_safe
def sheet(request: HttpRequest, pk: int) -> HttpResponse:
    """A sheet of tags as PDF, on A4 or Letter."""
    # The PDF library is loaded when the first sheet is asked for, not at every start.
    from breeding.tagsheet import tag_sheet

    batch = get_object_or_404(TagBatch.live, pk=pk)
    paper = paper_asked(request)
    codes = list(batch.tags.filter(spoiled="").values_list("code", flat=True))
    pdf = tag_sheet(codes, request.garden.name, paper)
    name = f"tags-{codes[0]}-{codes[-1]}-{paper}" if codes else "tags"
    return pdf_answer(pdf, name)


@require_safe
def tag(request: HttpRequest, code: str) -> HttpResponse:
    """A tag: the flower it hangs on and what is due for it."""
    thing = get_object_or_404(Tag.live.filter(batch__struck=False), code=code)
    flower = (
        Pollination.live.filter(tag=thing)
        .select_related("tag", "cup", "cross__seed_parent", "cross__pollen_parent")
        .first()
    )
    calendar = request.garden.calendar
    return render(
        request,
        "breeding/tag.html",
        {
            "tag": thing,
            "flower": flower,
            "cross": flower.cross if flower else None,
            "look_on": calendar.pod_check_due(flower.day) if flower else None,
            "ripe_on": calendar.pod_ripe_due(flower.day) if flower else None,
            "journal": journal_of(flower or thing),
            **(life_of(flower, calendar, request.garden.today()) if flower else {}),
        },
    )


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def spoil(request: HttpRequest, code: str) -> HttpResponse:
    """Set a tag aside that was lost or torn before it was used."""
    thing = get_object_or_404(Tag.live.filter(batch__struck=False), code=code)
    form = SpoilTagForm(request.POST or None)
    if request.method == "POST" and (kept := keep(request, form, spoil_tag, tag=thing)):
        return kept_at(kept, "tag", thing.code)
    return form_page(request, "breeding/spoil.html", form, tag=thing)
