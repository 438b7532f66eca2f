"""How the rows of an archive come into the database's tables."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from tests.speed.archive import Archive

HAPPENED = "{} 12:00:00"


def pour(model: Any, names: str, rows: Iterable[tuple]) -> None:
    """Insert rows of the named columns; the other columns get the model's defaults.

    Neither verbs nor bulk_create: two million rows through either would take longer than all the
    measuring. That the result is what verbs would have written is checked in test_queries.py.
    """
    from django.db import connection

    given = names.split()
    fields = {f.column: f for f in model._meta.concrete_fields if f.column not in given}
    fixed = {c: f.get_db_prep_save(f.get_default(), connection) for c, f in fields.items()
             if not f.primary_key}  # fmt: skip
    columns = ", ".join(f'"{column}"' for column in [*given, *fixed])
    marks = ", ".join("?" * (len(given) + len(fixed)))
    rest = tuple(fixed.values())
    connection.ensure_connection()
    connection.connection.executemany(
        f'INSERT INTO "{model._meta.db_table}" ({columns}) VALUES ({marks})',  # noqa: S608
        (row + rest for row in rows),
    )


def write(archive: Archive) -> None:
    """Everything but the journal."""
    from breeding import models as thread
    from evaluation.models import Seedling
    from garden.models import Bed, Garden, Plant

    pour(Plant, "id kind name number folded iris_class ploidy year seed_parent_id pollen_parent_id "
         "standards falls beard", archive.plants)  # fmt: skip
    beds = archive.beds
    pour(Bed, "id name folded rows positions", (
        (bed, f"Field {bed}", f"field {bed}", *archive.size_of_bed)
        for bed in range(1, beds + 1)))  # fmt: skip
    pour(thread.TagBatch, "id printed_on count", archive.batches)
    pour(thread.Tag, "id code batch_id", archive.tags)
    pour(thread.Cross, "id season number code seed_parent_id pollen_parent_id flowers pods failed "
         "seeds sown up lined_out", archive.crosses)  # fmt: skip
    pour(thread.SeedCup, "id cross_id number code filled_on seeds sown closed_on closed_reason",
         archive.cups)  # fmt: skip
    pour(thread.Pollination, "id cross_id tag_id day state looked_on fail_reason harvested_on "
         "seeds cup_id", map(tuple, archive.flowers))  # fmt: skip
    pour(thread.Pot, "id cup_id number code sown_on seeds up lined_out first_up_on counted_on "
         "closed_on closed_reason", archive.pots)  # fmt: skip
    pour(thread.PotCount, "id pot_id day standing", archive.counts)
    pour(thread.Row, "id pot_id cross_id bed_id row first last lined_out_on closed_on "
         "closed_reason", archive.rows)  # fmt: skip
    pour(
        Seedling, "id cross_id row_id position letter code selected_on plant_id", archive.seedlings
    )
    Garden.objects.update_or_create(
        pk=1,
        # Pods ripen fast here, so that on one day in bloom every kind of work is due.
        defaults={"name": "Archive", "next_tag": archive.serial + 1, "pod_ripe_days": 30,
                  "time_zone": "Europe/Berlin"},
    )  # fmt: skip


def write_journal(archive: Archive, people: list[int]) -> None:
    """A line for each thing done, in the order of the days, with what it speaks of."""
    from garden.models import JournalLine, JournalMention

    archive.lines.sort(key=lambda line: line[0])
    pour(
        JournalLine,
        "id entry digest verb person_id happened_at received_at subject_kind subject_id text made",
        (
            (key, f"{key:032x}", f"{key:064x}", verb, people[key % len(people)],
             HAPPENED.format(day), HAPPENED.format(day), kind, thing, text,
             f'[["{kind}", {thing}]]')
            for key, (day, verb, kind, thing, text, _) in enumerate(archive.lines, 1)
        ),
    )  # fmt: skip
    pour(
        JournalMention,
        "line_id kind thing_id",
        ((key, *spoken) for key, line in enumerate(archive.lines, 1) for spoken in line[5]),
    )
