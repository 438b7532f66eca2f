"""Addresses of labels and of scanning."""

from __future__ import annotations

from django.urls import path, re_path

from garden.views import labels, labelsheets, scanning

urlpatterns = [
    path("labels/", labels.labels, name="labels"),
    path("labels/of/<str:key>/", labels.labels_of_kind, name="labels-of"),
    path("labels/print/", labels.print_some, name="label-print"),
    path("labels/none/", labels.none_needed, name="label-none"),
    path("labels/runs/", labels.runs, name="label-runs"),
    path("labels/runs/<int:pk>/", labels.run, name="label-run"),
    path("labels/runs/<int:pk>/labels.pdf", labels.run_pdf, name="label-run-pdf"),
    path("labels/sheets/", labelsheets.sheets, name="label-sheets"),
    path("labels/sheets/new/", labelsheets.new, name="label-sheet-new"),
    path("labels/sheets/<int:pk>/change/", labelsheets.change, name="label-sheet-change"),
    path("labels/sheets/<int:pk>/strike/", labelsheets.strike, name="label-sheet-strike"),
    path("labels/sheets/<slug:key>/", labelsheets.sheet, name="label-sheet"),
    path("labels/sheets/<slug:key>/test.pdf", labelsheets.test_page, name="label-sheet-test"),
    path("labels/address/", labelsheets.address, name="label-address"),
    path("scan/", scanning.scan, name="scan"),
    path("t/<str:code>/", scanning.scanned, name="scan-code"),
    # As a label carries it: in capitals, without a stroke at the end.
    re_path(r"^[tT]/(?P<code>[^/]{1,80})/?$", scanning.scanned),
]
