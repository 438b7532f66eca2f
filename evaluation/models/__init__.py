"""Facts of judging: rubrics, look-overs, scores, decisions, and the seedlings that got a letter."""

from __future__ import annotations

from evaluation.models.judging import (
    Candidate,
    ClearOut,
    Decision,
    Glance,
    JudgingVersion,
    LookOver,
    Mark,
    Scoring,
)
from evaluation.models.naming import Measuring, ProposedName
from evaluation.models.pictures import CandidatePhoto
from evaluation.models.rubrics import Criterion, Rubric
from evaluation.models.seedlings import Seedling

__all__ = [
    "Candidate",
    "CandidatePhoto",
    "ClearOut",
    "Criterion",
    "Decision",
    "Glance",
    "JudgingVersion",
    "LookOver",
    "Mark",
    "Measuring",
    "ProposedName",
    "Rubric",
    "Scoring",
    "Seedling",
]
