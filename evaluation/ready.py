"""The rubrics that every garden begins with, read from `fixtures/rubrics`."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from django.db import transaction

FOLDER = Path(__file__).resolve().parent.parent / "fixtures" / "rubrics"


def ready_rubrics() -> list[dict[str, Any]]:
    """What the files say, each with its criteria."""
    return [json.loads(path.read_text(encoding="utf-8")) for path in sorted(FOLDER.glob("*.json"))]


def lay_out_rubrics(**_: Any) -> None:
    """Put the ready rubrics into a garden that has never had them; run after each migration.

    A garden that revised or struck out one of them keeps its own: a name once there is left alone.
    """
    from evaluation.models import Criterion, Rubric

    for told in ready_rubrics():
        if Rubric.objects.filter(name=told["name"]).exists():
            continue
        with transaction.atomic():
            head = {name: told[name] for name in ("name", "version", "purpose", "source")}
            rubric = Rubric.objects.create(**head)
            for order, each in enumerate(told["criteria"]):
                Criterion.objects.create(rubric=rubric, order=order, **each)
