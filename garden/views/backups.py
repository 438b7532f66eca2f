"""The garden's backups: what lies there, one more, one to carry away. For the owner alone."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Any

from django.http import FileResponse, Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from garden.backup import BackupRefused, folder
from garden.backup.disk import megabytes
from garden.safekeeping import ask_now, backups, is_being_made, state
from garden.views.common import owners_only, page

WORDS = {"before-upgrade": "before an upgrade", "before-restore": "before another was restored"}


@owners_only
@require_safe
def all_backups(request: HttpRequest) -> HttpResponse:
    """What lies there and how the last one went."""
    return _shown(request)


@owners_only
@require_POST
def make_one(request: HttpRequest) -> HttpResponse:
    """Make one now; the page says how it goes on when that takes long."""
    try:
        ask_now()
    except BackupRefused as error:
        return _shown(request, str(error), status=422)
    return HttpResponseRedirect(reverse("backups"), status=303)


@owners_only
@require_safe
def backup_file(request: HttpRequest, name: str) -> HttpResponse:
    """A backup to carry away, piece by piece: it may be larger than the memory."""
    found = next((path for _, path, _ in folder.copies(backups()) if path.name == name), None)
    if found is None:
        raise Http404
    return FileResponse(
        found.open("rb"), as_attachment=True, filename=name, content_type="application/zip"
    )


def _shown(request: HttpRequest, refused: str = "", status: int = 200) -> HttpResponse:
    known, there = state(), folder.copies(backups())
    answer = page(
        request,
        "garden/backups.html",
        "garden/_backups.html",
        state=known,
        made=_moment(known.made),
        trouble=refused or known.trouble,
        being_made=is_being_made(),
        copies=[_line(copy.name, copy.made, size) for copy, _, size in there],
        all_size=megabytes(sum(size for _, _, size in there)),
        folder=Path(backups()),
    )
    answer.status_code = status
    return answer


def _moment(text: str) -> datetime | None:
    try:
        return timezone.localtime(datetime.fromisoformat(text)) if text else None
    except ValueError:
        return None


def _line(name: str, made: Any, size: int) -> dict[str, Any]:
    known = folder.NAME.fullmatch(name)
    reason = WORDS.get(known["reason"] or "", "") if known else ""
    return {"name": name, "made": made, "size": megabytes(size), "reason": reason}
