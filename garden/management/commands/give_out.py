"""`manage.py give_out`: everything recorded, as a folder of CSV in a ZIP or as one JSON."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import DEFAULT_DB_ALIAS

from garden.carrying import one_moment
from garden.givingout import photo_files, tables
from garden.models import Garden
from garden.outward import write_folder, write_onefile


class Command(BaseCommand):
    help = "Write everything to FILE: .json for one JSON, otherwise a ZIP of CSV files and photos."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", metavar="FILE")

    def handle(self, *args: Any, **options: Any) -> None:
        target = Path(options["file"]).expanduser()
        garden = Garden.get()
        about = (garden.name, garden.today().isoformat())
        try:
            with one_moment(DEFAULT_DB_ALIAS):
                if target.suffix == ".json":
                    with target.open("x", encoding="utf-8", newline="\n") as file:
                        counts = write_onefile(file, tables(), *about)
                else:
                    with target.open("xb") as file:
                        counts = write_folder(file, tables(), photo_files(), *about)
        except FileExistsError:
            raise CommandError(f"{target} is there already. Nothing was changed.") from None
        except OSError as error:
            raise CommandError(f"It could not be written: {error}.") from None
        self.stdout.write(f"{target}\n{sum(counts.values())} rows of {len(counts)} tables.")
