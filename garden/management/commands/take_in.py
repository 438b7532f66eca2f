"""`manage.py take_in`: a whole book that `give_out` wrote, into an empty garden."""

from __future__ import annotations

import secrets
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from garden.givingout import is_empty, take_in
from garden.models import Person
from garden.outward import NotAsWritten, read


class Command(BaseCommand):
    help = "Put a whole book (a file of give_out) into an empty garden, as it was."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", metavar="FILE")

    def handle(self, *args: Any, **options: Any) -> None:
        path = Path(options["file"]).expanduser()
        if not path.is_file():
            raise CommandError(f"There is no file {path}.")
        if not is_empty():
            raise CommandError(
                "Somebody has written in this garden already; a whole book goes into an empty one."
            )
        try:
            counts = take_in(read(path))
        except NotAsWritten as error:
            raise CommandError(f"{error} Nothing was changed.") from None
        self.stdout.write(f"{sum(counts.values())} rows of {len(counts)} tables, as they were.")
        self._let_in()

    def _let_in(self) -> None:
        """The book holds no passwords: the first owner gets a new one, and lets in the others."""
        owner = Person.objects.filter(role=Person.Role.OWNER, is_active=True).order_by("pk").first()
        if owner is None:
            return
        password = secrets.token_urlsafe(9)
        owner.set_password(password)
        owner.save(update_fields=["password"])
        self.stdout.write(f"Sign in as {owner} with the password {password} and change it there.")
