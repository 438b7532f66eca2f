"""`manage.py start`: open the garden, on this computer and on the home network."""

from __future__ import annotations

import argparse
import secrets
import sys
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from garden.doorstep import Choice, Opening, choose
from garden.opening import (
    collect_static,
    migrate_if_needed,
    remember_sign_in,
    secured,
    serve,
    take_the_garden,
    told_sign_in,
)
from garden.remembered import remember

WORDS = ("haft", "beard", "stile", "spathe", "rhizome", "signal", "ruffle", "lantern", "trellis")


def made_up_password() -> str:
    """Four words and a number, easy to type on a phone: about 2**33 of them."""
    words = "-".join(secrets.choice(WORDS) for _ in range(4))
    return f"{words}-{secrets.randbelow(900_000) + 100_000}"


class Command(BaseCommand):
    help = "Open the garden. On the first start: the demo garden, or an empty one of your own."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: argparse.ArgumentParser) -> None:
        parser.add_argument("--port", type=int, help="8000, or that of the last time")
        way = parser.add_mutually_exclusive_group()
        way.add_argument(
            "--https",
            action="store_const",
            const=True,
            help="with a certificate of the garden's own: pages open on phones out of reach, and "
            "nobody on the network can read along; later starts go by it",
        )
        way.add_argument(
            "--http",
            dest="https",
            action="store_const",
            const=False,
            help="back to plain http",
        )
        first = parser.add_mutually_exclusive_group()
        first.add_argument("--demo", action="store_true", help="first start: the demo garden")
        first.add_argument("--empty", action="store_true", help="first start: an empty garden")
        parser.add_argument("--owner", default="", help="first start: your name")
        parser.add_argument("--here-only", action="store_true", help="do not listen on the network")

    def handle(self, *args: Any, **options: Any) -> None:
        take_the_garden()
        choice = choose(Path(settings.DATA_DIR), options["port"], options["https"])
        migrate_if_needed()
        from garden.models import Person

        if not Person.objects.exists():
            self._first_start(options)
        collect_static()
        opening = self._opening(choice, options["here_only"])
        self.stdout.write(opening.words())
        if told := told_sign_in():
            self.stdout.write(told)
        self.stdout.write("Stop with Ctrl+C. What was kept stays kept.")
        self.stdout.flush()
        serve(opening)

    def _opening(self, choice: Choice, here_only: bool) -> Opening:
        opened = choice.opened
        warnings = (choice.warning,) if choice.warning else ()
        opening = Opening(opened.port, here_only, opened.https, warnings=warnings)
        if opened.https:
            opening = secured(opening)
        if choice.lasting:
            remember(Path(settings.DATA_DIR), opened)
        return opening

    def _first_start(self, options: dict[str, Any]) -> None:
        asked = sys.stdin.isatty() and not (options["demo"] or options["empty"])
        empty = options["empty"] or (asked and self._wants_empty())
        password = made_up_password()
        if empty:
            name = options["owner"] or (input("Your name: ") if asked else "Owner")
            self._own_garden(name.strip() or "Owner", password)
        else:
            from django.core.management import call_command

            self.stdout.write("Loading the demo garden: this takes some minutes …")
            self.stdout.flush()
            call_command("load_demo", password=password, stdout=self.stdout)
        remember_sign_in(password)

    def _wants_empty(self) -> bool:
        self.stdout.write("This is the first start. What shall the notebook open with?")
        self.stdout.write("  1  a demo garden to look around in\n  2  an empty garden of your own")
        return input("1 or 2 [1]: ").strip() == "2"

    def _own_garden(self, name: str, password: str) -> None:
        from garden.models import Garden, Person
        from garden.verbs import writing

        if len(name) > 60:
            raise CommandError("A name has at most 60 letters.")
        with writing():
            Person.objects.create_user(name, password, Person.Role.OWNER)
            garden = Garden.get()
            garden.name = f"{name}'s garden"[:60]
            garden.save(update_fields=["name"])
        self.stdout.write(f"The garden lies in {settings.DATA_DIR}.")
