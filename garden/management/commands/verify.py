"""`manage.py verify`: reads a backup, or the newest one and the garden itself, to the last byte."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from garden.backup import BackupRefused, Manifest, folder
from garden.backup.disk import megabytes
from garden.restoring import garden_faults, garden_zone, read_through, told
from garden.safekeeping import backups

# What a gardener would look for, and the table that holds it.
TOLD = {
    "garden_plant": "plants",
    "breeding_cross": "crosses",
    "breeding_pollination": "flowers worked",
    "evaluation_seedling": "seedlings with a number",
    "garden_journalline": "lines in the journal",
}


def in_words(manifest: Manifest) -> str:
    """How much a backup holds, in the words of the trade."""
    told = [f"{manifest.counts.get(table, 0):,} {word}" for table, word in TOLD.items()]
    return f"  {', '.join([*told, f'{manifest.photos:,} photos'])}; struck-out ones count too."


class Command(BaseCommand):
    help = (
        "Check a backup to its last byte; without FILE the newest one and the garden itself. "
        "With --verbosity 2 the rows of every table."
    )
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", nargs="?", metavar="FILE")

    def handle(self, *args: Any, **options: Any) -> None:
        verbosity = options["verbosity"]
        if options["file"]:
            wrong = self._backup(Path(options["file"]).expanduser().absolute(), verbosity)
        else:
            newest = next((path for _, path, _ in folder.copies(backups())), None)
            wrong = self._backup(newest, verbosity) if newest else ["There is no backup yet."]
            wrong += self._garden()
        if wrong:
            raise CommandError("\n".join(wrong))

    def _backup(self, path: Path, verbosity: int) -> list[str]:
        try:
            read = read_through(path)
        except BackupRefused as error:
            return [str(error)]
        whole = told(read.manifest, garden_zone())
        self.stdout.write(f"{path.name}: {whole}, {megabytes(read.size)}. Whole.")
        self.stdout.write(in_words(read.manifest))
        if verbosity > 1:
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
