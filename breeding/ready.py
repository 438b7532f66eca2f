"""The loci that every garden begins with, read from `fixtures/loci`: hypotheses with sources."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from django.db import transaction

FOLDER = Path(__file__).resolve().parent.parent / "fixtures" / "loci"


def ready_loci() -> list[dict[str, Any]]:
    """What the files say, in the order in which a flower is painted."""
    return [json.loads(path.read_text(encoding="utf-8")) for path in sorted(FOLDER.glob("*.json"))]


def lay_out_loci(**_: Any) -> None:
    """Put the ready loci into a garden that has never had them; run after each migration.

    A garden that changed or struck out one of them keeps its own.
    """
    from breeding.models import Locus

    known = set(Locus.objects.values_list("symbol", flat=True))
    with transaction.atomic():
        for order, told in enumerate(ready_loci()):
            if told["symbol"] not in known:
                Locus.objects.create(order=order, **told)
