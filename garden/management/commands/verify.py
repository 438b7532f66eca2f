"""`manage.py verify`: reads a backup, or the newest one and the garden itself, to the last byte."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from garden.backup import BackupRefused, folder
from garden.backup.disk import megabytes
from garden.restoring import garden_faults, read_through, told
from garden.safekeeping import backups


class Command(BaseCommand):
    help = "Check a backup to its last byte; without FILE the newest one and the garden itself."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", nargs="?", metavar="FILE")

    def handle(self, *args: Any, **options: Any) -> None:
        if options["file"]:
            wrong = self._backup(Path(options["file"]).expanduser().absolute())
        else:
            newest = next((path for _, path, _ in folder.copies(backups())), None)
            wrong = self._backup(newest) if newest else ["There is no backup yet."]
            wrong += self._garden()
        if wrong:
            raise CommandError("\n".join(wrong))

    def _backup(self, path: Path) -> list[str]:
        try:
            read = read_through(path)
        except BackupRefused as error:
            return [str(error)]
        self.stdout.write(f"{path.name}: {told(read.manifest)}, {megabytes(read.size)}. Whole.")
        for table, count in read.manifest.counts.items():
            self.stdout.write(f"{count:>9,}  {table}")
        return [f"{name} was missing when it was made." for name in read.manifest.missing]

    def _garden(self) -> list[str]:
        try:
            found = list(garden_faults())
        except BackupRefused as error:
            found = [str(error)]
        if not found:
            self.stdout.write("The garden itself: record, photos and counts hold.")
        return found
