"""The journal, and taking back a line of it."""

from __future__ import annotations

from datetime import timedelta
from urllib.parse import parse_qsl, urlencode, urlsplit

from django.db.models import Q, QuerySet
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, render
from django.urls import Resolver404, resolve, reverse
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST, require_safe

from garden.forms.base import RecordForm, keep
from garden.models import JournalLine, Person
from garden.names import is_key
from garden.records import undo
from garden.verbs import find
from garden.views.common import recorders_only

ON_A_PAGE = 50
# Older lines are corrected on the page of their thing: others may have built on them since.
UNDO_OFFERED = timedelta(days=2)


class UndoForm(RecordForm):
    """Only the entry and the clock."""

    day = None


@require_safe
def journal(request: HttpRequest) -> HttpResponse:
    """Everything that was written, what happened last first. A fixed number of queries."""
    lines = JournalLine.objects.select_related("person", "undone_by")
    lines = lines.order_by("-happened_at", "-id")
    person, before = (number(request.GET.get(name, "")) for name in ("person", "before"))
    if person:
        lines = lines.filter(person=person)
    if before:
        lines = _before(lines, before)
    shown = list(lines[: ON_A_PAGE + 1])
    lately = timezone.now() - UNDO_OFFERED
    asked = {"person": person} if person else {}
    more = urlencode({**asked, "before": shown[ON_A_PAGE - 1].pk}) if shown[ON_A_PAGE:] else ""
    for line in shown:
        line.written_on = timezone.localtime(line.happened_at).date()
        line.undo_offered = line.received_at > lately and line.may_be_undone_by(request.user)
    context = {"lines": shown[:ON_A_PAGE], "people": Person.objects.order_by("name"),
               "chosen": person, "before": before, "more": more}  # fmt: skip
    return render(request, "garden/journal.html", context)


def _before(lines: QuerySet[JournalLine], pk: int) -> QuerySet[JournalLine]:
    """The lines of what happened before line `pk` did; a phone may have sent them later."""
    moment = JournalLine.objects.filter(pk=pk).values_list("happened_at", flat=True).first()
    if moment is None:
        return lines.filter(pk__lt=pk)
    # One range of the index; what happened at that very moment goes by its key.
    return lines.filter(happened_at__lte=moment).filter(Q(happened_at__lt=moment) | Q(pk__lt=pk))


def number(text: str) -> int:
    """A key as it came in an address; 0 for nonsense."""
    return int(text) if is_key(text) else 0


@recorders_only
@require_POST
def take_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Undo one line and go back to where the person was."""
    line = get_object_or_404(JournalLine.objects.select_related("person"), pk=pk)
    form = UndoForm(request.POST)
    if kept := keep(request, form, undo, line=line):
        return HttpResponseRedirect(back(request, kept.line), status=303)
    context = {"line": line, "form": form, "back": came_from(request) or reverse("today")}
    return render(request, "garden/not_undone.html", context, status=422)


def back(request: HttpRequest, line: JournalLine) -> str:
    """The page that the person came from, now naming the line just written.

    Today instead, when that page spoke of what has just been struck out.
    """
    path, _, query = came_from(request).partition("?")
    if not path or struck_out(path, line):
        path, query = reverse("today"), ""
    asked = [pair for pair in parse_qsl(query, keep_blank_values=True) if pair[0] != "kept"]
    return f"{path}?{urlencode([*asked, ('kept', line.pk)])}"


def struck_out(path: str, line: JournalLine) -> bool:
    """Whether the page at `path` is about a thing that this line struck out."""
    try:
        page = resolve(path)
    except Resolver404:
        return True
    room = (page.url_name or "").partition("-")[0]
    gone = [find(part["kind"], part["id"]) for part in line.changed if part["after"].get("struck")]
    return any(
        room in thing._meta.model_name and {thing.pk, str(thing)} & {*page.kwargs.values()}
        for thing in gone
    )


def came_from(request: HttpRequest) -> str:
    """Path and query of the page that sent this form, if it is one of ours; else ''."""
    address = request.headers.get("Referer", "")
    if not url_has_allowed_host_and_scheme(address, {request.get_host()}, request.is_secure()):
        return ""
    parts = urlsplit(address)
    # A path of two slashes would be read as another place.
    path = "/" + parts.path.lstrip("/")
    return f"{path}?{parts.query}" if parts.query else path
