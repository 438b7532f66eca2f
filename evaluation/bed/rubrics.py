"""The marks of each rubric as they are filled outdoors: the very form of the score's page."""

from __future__ import annotations

from django.template.loader import render_to_string
from django.utils.safestring import mark_safe

from evaluation.bed.pages import Asked, Page, Row
from evaluation.forms.scoring import ScoreForm
from evaluation.models import Rubric
from evaluation.stalk import tappable_stalk


def rubrics(asked: Asked) -> Page:
    """One rubric an answer. Two queries."""
    found = list(Rubric.live.filter(replaced_by=None, pk__gt=asked.key).order_by("pk")[:2])
    more = str(found[0].pk) if len(found) > 1 else None
    return Page([_form(rubric) for rubric in found[:1]], more)


def _form(rubric: Rubric) -> Row:
    # A version of a rubric never changes; what is newer has a key of its own.
    stalk = mark_safe(tappable_stalk("stalk"))
    context = {"form": ScoreForm(rubric=rubric), "tappable": stalk}
    html = render_to_string("evaluation/_score_marks.html", context)
    return {"pk": rubric.pk, "name": str(rubric), "purpose": rubric.purpose, "html": html}
