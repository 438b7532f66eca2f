"""Addresses of the lists for the spade, and of the cross behind its seedlings."""

from __future__ import annotations

from django.urls import path

from evaluation.views import crosses, lists

urlpatterns = [
    path("clear-out/", lists.clear_out_list, name="clear-out"),
    path("clear-out.pdf", lists.clear_out_sheet, name="clear-out-pdf"),
    path("rows/<int:pk>/clear-out/", lists.clear_out_row, name="clear-out-row"),
    path("resets/", lists.reset_list, name="resets"),
    path("resets.pdf", lists.reset_sheet, name="resets-pdf"),
    path("crosses/<str:code>/seedlings/", crosses.seedlings, name="cross-seedlings"),
]
