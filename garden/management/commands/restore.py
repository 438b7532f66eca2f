"""`manage.py restore`: puts a backup in the place of the garden, also on a new computer."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from garden.backup import BackupRefused
from garden.restoring import restore


class Command(BaseCommand):
    help = "Put a backup in the place of the garden; on a new computer: the garden comes to it."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", metavar="FILE")
        parser.add_argument(
            "--replace",
            action="store_true",
            help="let the garden that stands here give way; its present state is backed up first",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        path = Path(options["file"]).expanduser().absolute()
        try:
            manifest = restore(path, options["replace"], self.stdout.write)
        except BackupRefused as error:
            raise CommandError(str(error)) from None
        rows = sum(manifest.counts.values())
        self.stdout.write(
            f"Restored: {rows:,} rows in {len(manifest.counts)} tables and "
            f"{len(manifest.files) - 1:,} files of photos, each compared and the same. "
            "Open it with manage.py start; people sign in again."
        )
