"""Photos of candidates: kept with the seedling, and with the plant once it is one."""

from __future__ import annotations

from datetime import date
from typing import Any

from evaluation.models import Candidate
from garden.verbs import Act


def attach(act: Act, candidate: Candidate, photo: Any, day: date) -> Any:
    raise NotImplementedError
