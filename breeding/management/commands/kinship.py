"""`manage.py kinship`: kinship of pairs of plants in a CSV file; the garden is not asked."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand

from breeding.pedigree import files
from garden.csvout import write_rows


class Command(BaseCommand):
    help = "Kinship and relationship of pairs of plants, and inbreeding, from CSV files."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: argparse.ArgumentParser) -> None:
        parser.add_argument("--pedigree", type=Path, required=True, metavar="FILE.csv",
                            help="columns id, seed_parent, pollen_parent, ploidy")  # fmt: skip
        parser.add_argument("--pairs", type=Path, metavar="PAIRS.csv", help="columns a, b")
        parser.add_argument("--double-reduction", type=float, default=0.0, metavar="X",
                            help="0 to 1, of tetraploids; 0 unless given")  # fmt: skip
        parser.add_argument("--inbreeding", action="store_true",
                            help="also the inbreeding of every plant")  # fmt: skip

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            self._answer(options)
        except files.FileError as wrong:
            for line in wrong.lines:
                self.stderr.write(line)
            sys.exit(2)

    def _answer(self, options: dict[str, Any]) -> None:
        if not options["pairs"] and not options["inbreeding"]:
            raise files.FileError(["nothing is asked for: give --pairs, --inbreeding or both"])
        pedigree = files.read_pedigree(options["pedigree"], options["double_reduction"])
        if options["pairs"]:
            pairs = files.read_pairs(options["pairs"], pedigree)
            write_rows(self.stdout, files.kinship_rows(pedigree, pairs), "\n")
        if options["inbreeding"]:
            if options["pairs"]:
                self.stdout.write("")
            write_rows(self.stdout, files.inbreeding_rows(pedigree), "\n")
