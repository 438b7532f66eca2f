"""Pages of labels and of scanning, as addresses in the small garden of the tests."""

from __future__ import annotations

from django.urls import reverse

from garden.labels.codes import keyed
from garden.models import LabelRun, LabelSheet, Person
from garden.records import add_label_sheet, print_labels
from tests.cast import IN_BLOOM, Cast, act_of

USUAL = "a4-24-70x36"
STAKES = {
    "title": "Stakes, 4 of 190 × 60 mm", "roll": False, "label_width": 190.0, "label_height": 60.0,
    "columns": 1, "rows": 4, "page_width": 210.0, "page_height": 297.0, "left": 10.0, "top": 20.0,
    "gap_x": 0.0, "gap_y": 5.0,
}  # fmt: skip


def an_own_sheet() -> LabelSheet:
    """A size of the garden's own, written down now if there is none."""
    act = act_of(Person.objects.get(role="owner"), IN_BLOOM)
    return LabelSheet.live.first() or add_label_sheet(act, **STAKES).thing


def a_run(cast: Cast) -> LabelRun:
    """Labels that were printed, now if none were."""
    act = act_of(Person.objects.get(role="owner"), IN_BLOOM)
    things = [("plant", cast.teapot.pk), ("cup", cast.cup.pk)]
    return LabelRun.live.first() or print_labels(act, things=things, sheet=USUAL, start=3).thing


def label_pages(cast: Cast) -> dict[str, str]:
    own = an_own_sheet()
    things = f"?thing=pot.{cast.pot.pk}&thing=row.{cast.row.pk}"
    return {
        "labels": reverse("labels"),
        "labels-of": reverse("labels-of", args=["plant"]),
        "label-print": reverse("label-print") + things,
        "label-none": reverse("label-none") + things,
        "label-runs": reverse("label-runs"),
        "label-run": reverse("label-run", args=[a_run(cast).pk]),
        "label-sheets": reverse("label-sheets"),
        "label-sheet": reverse("label-sheet", args=[USUAL]),
        "label-sheet-new": reverse("label-sheet-new"),
        "label-sheet-change": reverse("label-sheet-change", args=[own.pk]),
        "label-sheet-strike": reverse("label-sheet-strike", args=[own.pk]),
        "label-address": reverse("label-address"),
        "scan": reverse("scan"),
        "scan-wrong": reverse("scan") + "?code=24-001-1-9",
    }


def label_files(cast: Cast) -> dict[str, str]:
    return {
        "label-run-pdf": reverse("label-run-pdf", args=[a_run(cast).pk]),
        "label-sheet-test": reverse("label-sheet-test", args=[USUAL]),
        "scan-code": reverse("scan-code", args=[keyed("P", cast.teapot.pk)]),
    }
