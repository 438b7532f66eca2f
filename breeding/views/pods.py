"""Looking at pods and harvesting them."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_http_methods

from breeding.forms import FAILURES, HarvestForm, PodForm
from breeding.models import Pollination
from breeding.records import harvest, note_pod
from garden.forms.base import keep
from garden.views.common import form_page, kept_at, recorders_only


def the_flower(pk: int) -> Pollination:
    """A flower that stands in the record, with its tag and parents; 404 otherwise."""
    flowers = Pollination.live.select_related("tag", "cross__seed_parent", "cross__pollen_parent")
    return get_object_or_404(flowers, pk=pk)


def flower_of_tag(code: str) -> int:
    """The key of the flower that a tag hangs on; 404 when it hangs nowhere."""
    return get_object_or_404(Pollination.live.only("pk"), tag__code=code).pk


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def look(request: HttpRequest, pk: int | None = None, code: str = "") -> HttpResponse:
    """Has the flower set a pod? Asked for by its key, or by its tag."""
    flower = the_flower(pk or flower_of_tag(code))
    form = PodForm(request.POST or None)
    if request.method == "POST" and (kept := keep(request, form, note_pod, pollination=flower)):
        if request.htmx:
            kept.line.undo_offered = kept.line.may_be_undone_by(request.user)
            return render(request, "garden/_kept_item.html", {"line": kept.line})
        return kept_at(kept, "tag", flower.tag.code)
    return form_page(request, "breeding/look.html", form, flower=flower, failures=FAILURES)


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def harvest_pod(request: HttpRequest, pk: int | None = None, code: str = "") -> HttpResponse:
    """Harvest one pod, by its key or its tag: count its seed, put it into a cup."""
    flower = the_flower(pk or flower_of_tag(code))
    form = HarvestForm(request.POST or None, pod=flower)
    if request.method == "POST" and (kept := keep(request, form, harvest, pollination=flower)):
        return kept_at(kept, "cup", kept.thing.code)
    return form_page(request, "breeding/harvest.html", form, flower=flower)
