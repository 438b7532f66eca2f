"""`manage.py backup`: one file with the record and all photos, made while the garden is open."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from garden.backup import BackupRefused
from garden.backup.disk import megabytes
from garden.restoring import told
from garden.safekeeping import back_up


class Command(BaseCommand):
    help = "Make a backup: one file with the record and all photos. The garden may be open."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "file", nargs="?", metavar="FILE", help="where to; otherwise among the garden's own"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        target = Path(options["file"]).expanduser().absolute() if options["file"] else None
        if target is not None and target.exists():
            raise CommandError(f"{target} is there already. Nothing was changed.")
        try:
            path, manifest = back_up(target)
        except BackupRefused as error:
            raise CommandError(str(error)) from None
        self.stdout.write(f"{path}\n{told(manifest)}, {megabytes(path.stat().st_size)}. Checked.")
        for name in manifest.missing:
            self.stderr.write(f"{name} is named by the record and was not on the shelf.")
