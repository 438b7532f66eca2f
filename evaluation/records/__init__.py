"""The verbs of judging: look over, score, decide, select, clear out; and the rubrics."""

from __future__ import annotations

from evaluation.records.deciding import clear_out, decide, decide_at
from evaluation.records.looking import glance
from evaluation.records.names import drop_name, give_name, measure, propose_name
from evaluation.records.rubrics import revise_rubric, write_rubric
from evaluation.records.scoring import correct_score, score
from evaluation.records.selecting import correct_seedling, letter_of, select_seedling

__all__ = [
    "clear_out",
    "correct_score",
    "correct_seedling",
    "decide",
    "decide_at",
    "drop_name",
    "give_name",
    "glance",
    "letter_of",
    "measure",
    "propose_name",
    "revise_rubric",
    "score",
    "select_seedling",
    "write_rubric",
]
