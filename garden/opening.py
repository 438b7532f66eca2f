"""Opening the garden: port, database, static files, server. Light, so that it opens at once."""

from __future__ import annotations

import hashlib
import socket
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import CommandError

from garden.datafolder import write_secret
from garden.hosts import home_addresses

PORTS_TRIED = 20
THREADS = 32


@dataclass(frozen=True)
class Opening:
    """Where the garden can be reached."""

    port: int
    here_only: bool = False

    @property
    def listens_on(self) -> str:
        return "127.0.0.1" if self.here_only else "0.0.0.0"

    def words(self) -> str:
        """The addresses, for this computer and for a phone on the same network."""
        lines = [f"Haftbook is open on this computer:  http://127.0.0.1:{self.port}/"]
        if not self.here_only:
            lines += [
                f"On a phone on the same network:     http://{address}:{self.port}/"
                for address in home_addresses()
            ] or ["No network found: a phone can reach it once this computer is on one."]
        return "\n".join(lines)


def free_port(wished: int) -> int:
    """The wished port, or the next free one; CommandError when there is none."""
    for port in range(wished, wished + PORTS_TRIED):
        with socket.socket() as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                probe.bind(("0.0.0.0", port))
            except OSError:
                continue
            return port
    raise CommandError(f"No free port from {wished} to {wished + PORTS_TRIED - 1}.")


def migrate_if_needed() -> None:
    """Bring the database up to date. The check alone is quick, so every start makes it."""
    from django.db import connection
    from django.db.migrations.executor import MigrationExecutor

    executor = MigrationExecutor(connection)
    if executor.migration_plan(executor.loader.graph.leaf_nodes()):
        call_command("migrate", interactive=False, verbosity=0)


def _static_mark() -> str:
    """What the static files are now: their paths, sizes and times, and the code that sorts them."""
    digest = hashlib.sha256()
    folder = Path(settings.STATICFILES_DIRS[0])
    for path in sorted(folder.rglob("*")):
        if path.is_file():
            known = path.stat()
            digest.update(
                f"{path.relative_to(folder)} {known.st_size} {known.st_mtime_ns}".encode()
            )
    requirements = settings.BASE_DIR / "requirements.txt"
    digest.update(requirements.read_bytes())
    return digest.hexdigest()


def collect_static() -> None:
    """Gather the static files, each with its digest in its name, when they have changed."""
    mark_file = Path(settings.STATIC_ROOT) / "collected"
    mark = _static_mark()
    if mark_file.exists() and mark_file.read_text(encoding="utf-8") == mark:
        return
    call_command("collectstatic", interactive=False, verbosity=0, clear=True)
    mark_file.write_text(mark, encoding="utf-8")


def _sign_in_file() -> Path:
    return Path(settings.DATA_DIR) / "first-sign-in.txt"


def remember_sign_in(password: str) -> None:
    """Keep the first password beside the data, readable by its owner alone."""
    write_secret(_sign_in_file(), password)


def told_sign_in() -> str:
    """Name and first password, as long as the owner has not chosen another."""
    from garden.models import Person

    try:
        password = _sign_in_file().read_text(encoding="utf-8").strip()
    except FileNotFoundError:
        return ""
    owner = Person.objects.filter(role=Person.Role.OWNER, is_active=True).order_by("pk").first()
    if owner is None or not owner.check_password(password):
        _sign_in_file().unlink(missing_ok=True)
        return ""
    return f"Sign in as {owner} with the password {password}"


def serve(opening: Opening) -> None:
    """Serve until stopped: one process, so that one lock keeps the writers in line."""
    from django.db import connections
    from granian import Granian
    from granian.constants import Interfaces

    connections.close_all()
    Granian(
        "garden.wsgi:application",
        address=opening.listens_on,
        port=opening.port,
        interface=Interfaces.WSGI,
        workers=1,
        blocking_threads=THREADS,
        log_access=False,
        log_level="error",
    ).serve()
