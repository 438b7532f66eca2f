"""Everything out, at any time: the whole book, plants for other collections, pedigrees."""

from __future__ import annotations

import io
import tempfile
from typing import IO

from django.db import DEFAULT_DB_ALIAS
from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from breeding.outgoing import passport_entries, pedigree_lines, the_stock
from breeding.passport import passport_csv, pedigree_csv, pedigree_graphml
from garden.carrying import one_moment
from garden.givingout import photo_files, tables
from garden.outward import write_folder, write_onefile
from garden.views.common import owners_only

CSV = "text/csv; charset=utf-8"


@require_safe
def everything(request: HttpRequest) -> HttpResponse:
    """What can be carried away, and in which form."""
    return render(request, "breeding/everything.html")


@owners_only
@require_safe
def whole_folder(request: HttpRequest) -> HttpResponse:
    """The whole book: CSV with a data dictionary, and the photos."""
    file: IO[bytes] = tempfile.TemporaryFile()  # noqa: SIM115 - closed when it has been sent
    with one_moment(DEFAULT_DB_ALIAS):
        write_folder(file, tables(), photo_files(), *_about(request))
    return _attached(request, file, "zip", "application/zip")


@owners_only
@require_safe
def whole_onefile(request: HttpRequest) -> HttpResponse:
    """The whole book as one JSON."""
    file: IO[bytes] = tempfile.TemporaryFile()  # noqa: SIM115 - closed when it has been sent
    text = io.TextIOWrapper(file, encoding="utf-8", newline="\n")
    with one_moment(DEFAULT_DB_ALIAS):
        write_onefile(text, tables(), *_about(request))
    text.flush()
    return _attached(request, text.detach(), "json", "application/json")


def _about(request: HttpRequest) -> tuple[str, str]:
    return request.garden.name, request.garden.today().isoformat()


def _attached(request: HttpRequest, file: IO[bytes], ending: str, kind: str) -> FileResponse:
    file.seek(0)
    name = f"haftbook-{request.garden.today():%Y-%m-%d}.{ending}"
    return FileResponse(file, as_attachment=True, filename=name, content_type=kind)


@require_safe
def passport(request: HttpRequest) -> HttpResponse:
    """Plants as multi-crop passport descriptors."""
    return _file(passport_csv(passport_entries(the_stock())), "passport.csv", CSV)


@require_safe
def pedigree_table(request: HttpRequest) -> HttpResponse:
    """Plant, seed parent, pollen parent."""
    return _file(pedigree_csv(pedigree_lines(the_stock())), "pedigree.csv", CSV)


@require_safe
def pedigree_graph(request: HttpRequest) -> HttpResponse:
    """The pedigree as a graph, for programs that draw."""
    content = pedigree_graphml(pedigree_lines(the_stock()))
    return _file(content, "pedigree.graphml", "application/graphml+xml")


def _file(content: str | bytes, name: str, kind: str) -> HttpResponse:
    return HttpResponse(
        content,
        content_type=kind,
        headers={"Content-Disposition": f'attachment; filename="{name}"'},
    )
