"""What every sheet to print is answered with: the paper asked for, a PDF under its name."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse

PAPERS = ("A4", "Letter")


def paper_asked(request: HttpRequest, usual: str = PAPERS[0]) -> str:
    """The paper asked for, else the usual one."""
    asked = request.GET.get("paper")
    return asked if asked in PAPERS else usual


def pdf_answer(pdf: bytes, name: str, kept: bool = False) -> HttpResponse:
    """A PDF to look at, or to be kept as a file; `name` without its ending."""
    way = "attachment" if kept else "inline"
    headers = {"Content-Disposition": f'{way}; filename="{name}.pdf"'}
    return HttpResponse(pdf, content_type="application/pdf", headers=headers)
