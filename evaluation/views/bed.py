"""In the bed: the page that records without the garden in reach, and its lists."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseNotModified
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from evaluation.bed.lists import LISTS, content_mark, record_mark
from evaluation.bed.pages import Asked, plain
from evaluation.bed.shell import MENU, forms
from garden.names import is_key
from garden.phone import version
from garden.views.common import kept_on_phone, recorders_only


@kept_on_phone
@recorders_only
@require_safe
def bed(request: HttpRequest) -> HttpResponse:
    """Every recording form as a template; the phone brings lists and addresses."""
    context = {
        "forms": forms(),
        "menu": MENU,
        "lists": [(name, title) for name, (title, _) in LISTS.items()],
        "version": version(),
    }
    return render(request, "evaluation/bed.html", context)


@recorders_only
@require_safe
def bed_list(request: HttpRequest, name: str) -> HttpResponse:
    """A list, or the next part of it; 304 when the phone has it as it is."""
    after = request.GET.get("after", "")
    if name not in LISTS or (after and not is_key(after)):
        raise Http404
    today = request.garden.today()
    mark = record_mark(request.user, today)
    known, _, content = request.headers.get("If-None-Match", "").strip('W/"').partition(".")
    if known == mark:
        return _same(mark, content)
    page = LISTS[name][1](Asked(request.garden, request.user, today, after))
    if content == (now := content_mark(page)):
        return _same(mark, now)
    made = timezone.now().isoformat()
    told = {"name": name, "made": made, "rows": page.rows, "more": page.more}
    answer = HttpResponse(plain(told), content_type="application/json")
    answer.headers["ETag"] = f'W/"{mark}.{now}"'
    return answer


def _same(mark: str, content: str) -> HttpResponse:
    answer = HttpResponseNotModified()
    answer.headers["ETag"] = f'W/"{mark}.{content}"'
    return answer
