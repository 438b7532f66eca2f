"""`manage.py move`: carries the garden into another database."""

from __future__ import annotations

import os
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import DEFAULT_DB_ALIAS, DatabaseError, connections

from garden.backup.lock import OPEN, holding
from garden.carrying import NotCarried, beside, carry, holdings, strange_tables, told, up_to_date
from garden.database import EXAMPLE, SCHEMES, BadDatabase, postgresql, sqlite
from garden.reaching import reach


class Command(BaseCommand):
    help = "Carries the garden into another database and compares every table."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--to",
            required=True,
            metavar="WHERE",
            help=f"{EXAMPLE}, or 'sqlite' for the data folder's own file, or a new file",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        with holding(Path(settings.DATA_DIR) / OPEN) as alone:
            if not alone:
                raise CommandError("The garden is open: close it first, then move it.")
            self._move(options["to"].strip())

    def _move(self, to: str) -> None:
        reach(DEFAULT_DB_ALIAS)
        if not up_to_date(DEFAULT_DB_ALIAS):
            raise CommandError("This garden is of an older version: open it once, then move it.")
        try:
            if to.startswith(SCHEMES):
                counts = self._to_server(postgresql(to))
            else:
                counts = self._to_file(own_file() if to == "sqlite" else Path(to).expanduser())
        except (BadDatabase, NotCarried) as error:
            raise CommandError(str(error)) from None
        self._say(counts, to)

    def _to_server(self, target: dict[str, Any]) -> dict[str, int]:
        with beside(target) as alias:
            reach(alias)
            if strange := strange_tables(alias):
                raise NotCarried(
                    f"The database holds tables of something else ({strange[0]}). "
                    "A garden needs one of its own."
                )
            return _laid_out_and_carried(alias)

    def _to_file(self, file: Path) -> dict[str, int]:
        """Under another name until it is whole: a move that breaks off leaves nothing behind."""
        if file.exists():
            raise NotCarried(f"{file} is there already. Nothing was changed.")
        if not file.parent.is_dir():
            raise NotCarried(f"There is no folder {file.parent}.")
        growing = file.with_name(f"{file.name}.moving")
        growing.unlink(missing_ok=True)
        try:
            with beside(sqlite(growing)) as alias:
                counts = _laid_out_and_carried(alias)
            os.replace(growing, file)
        finally:
            for left in file.parent.glob(f"{growing.name}*"):
                left.unlink()
        return counts

    def _say(self, counts: dict[str, int], to: str) -> None:
        for table, count in counts.items():
            self.stdout.write(f"{count:>9}  {table}")
        whole = sum(counts.values())
        self.stdout.write(f"{whole:>9}  rows in {len(counts)} tables, each compared and the same.")
        server = to.startswith(SCHEMES)
        where = "with HAFTBOOK_DATABASE set to it" if server else "without HAFTBOOK_DATABASE"
        self.stdout.write(
            f"From now on open the garden {where}. The database it was in is as it was; photos "
            "stay in the data folder. People sign in again."
        )


def own_file() -> Path:
    """Where the garden's own file lies when it is kept in one."""
    return Path(settings.DATA_DIR) / "haftbook.sqlite3"


def _laid_out_and_carried(alias: str) -> dict[str, int]:
    try:
        if connections[alias].introspection.table_names() and (held := holdings(alias)):
            raise NotCarried(f"The target is not empty: {told(held)}. Nothing was changed.")
    except DatabaseError:
        raise NotCarried("The target holds a garden of another version.") from None
    call_command("migrate", database=alias, interactive=False, verbosity=0)
    return carry(DEFAULT_DB_ALIAS, alias)
