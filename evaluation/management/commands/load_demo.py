"""manage.py load_demo: fill an empty garden with six invented seasons up to today."""

from __future__ import annotations

import secrets
from argparse import ArgumentParser
from datetime import date
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from evaluation.demo.loading import load_demo
from garden.verbs import Refused


class Command(BaseCommand):
    help = "Fill an empty garden with six invented seasons that end today."
    # Nothing here needs the pages.
    requires_system_checks = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--password", help="for all people; without it, one is thrown")
        parser.add_argument(
            "--today", type=date.fromisoformat, help="end the story on this day, YYYY-MM-DD"
        )
        parser.add_argument("--scale", type=float, default=1.0, help="share of the crosses, 0 to 1")

    def handle(self, **options: Any) -> str:
        password = options["password"] or secrets.token_urlsafe(9)
        if not 0 < options["scale"] <= 1:
            raise CommandError("The scale is a share above 0 and at most 1.")
        try:
            story = {"today": options["today"], "scale": options["scale"]}
            loaded = load_demo(password, **story, say=self._say)
        except Refused as refused:
            raise CommandError(str(refused)) from refused
        thrown = "" if options["password"] else f"; everybody's password is {password}"
        return f"{loaded}{thrown}"

    def _say(self, line: str) -> None:
        self.stdout.write(line)
        self.stdout.flush()
