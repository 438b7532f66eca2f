"""What is derived from scores and decisions, worked out anew for one candidate."""

from __future__ import annotations

from django.db.models import Count, F, Max

from evaluation.models import Candidate, Decision, Glance, JudgingVersion, Scoring


def recount(candidate: Candidate) -> None:
    """Bring a candidate's standing decision and its counts up to date. Four queries."""
    newest = Decision.live.filter(candidate=candidate).order_by("-day", "-id").first()
    seen = Scoring.live.filter(candidate=candidate).aggregate(count=Count("pk"), last=Max("day"))
    days = [seen["last"], _called_on(candidate)]
    Candidate.objects.filter(pk=candidate.pk).update(
        verdict=newest.verdict if newest else "",
        decided_on=newest.day if newest else None,
        scores=seen["count"],
        seen_on=max((day for day in days if day), default=None),
    )
    judging_moved()


def _called_on(candidate: Candidate) -> object:
    """The last day on which somebody asked for another look."""
    if candidate.row_id is None:
        return None
    called = Glance.live.filter(
        look_over__row=candidate.row_id, position=candidate.position, found=Glance.Found.AGAIN
    )
    return called.aggregate(last=Max("day"))["last"]


def judging_moved() -> None:
    """Let every sum that is kept in memory know that it is old."""
    if not JudgingVersion.objects.filter(pk=1).update(version=F("version") + 1):
        JudgingVersion.objects.create(pk=1)
