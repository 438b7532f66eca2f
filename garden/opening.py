"""Opening the garden: port, database, static files, server. Light, so that it opens at once."""

from __future__ import annotations

import hashlib
import os
from dataclasses import replace
from pathlib import Path

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import CommandError

from garden.datafolder import write_secret
from garden.doorstep import Opening, free_port
from garden.hosts import home_addresses, local_name
from garden.transport import settings_over

THREADS = 32


def migrate_if_needed() -> None:
    """Bring the database up to date. The check alone is quick, so every start makes it."""
    from django.db import connection
    from django.db.migrations.executor import MigrationExecutor

    from garden.reaching import reach

    reach(connection.alias)
    executor = MigrationExecutor(connection)
    if executor.migration_plan(executor.loader.graph.leaf_nodes()):
        from garden.restoring import back_up_before_upgrade

        back_up_before_upgrade()
        call_command("migrate", interactive=False, verbosity=0)


def take_the_garden() -> None:
    """Have the data folder for this process alone; CommandError while another has it open."""
    from garden.safekeeping import hold, who_has_it

    if not hold():
        raise CommandError(who_has_it())


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
    for code in ("requirements.txt", "garden/bundling.py"):
        digest.update((settings.BASE_DIR / code).read_bytes())
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


def secured(opening: Opening) -> Opening:
    """With certificates for the garden's names now, and a port for the page about trusting it."""
    from garden.certificates import Damaged, fingerprint, names_for, open_authority, renewed

    try:
        authority = open_authority(Path(settings.DATA_DIR), local_name())
    except Damaged as error:
        raise CommandError(str(error)) from error
    leaf = renewed(authority, names_for(authority.name, home_addresses()))
    warnings = list(opening.warnings)
    if authority.name != local_name():
        warnings.append(
            f"This computer is called {local_name() or 'by no usable name'} now; the authority was "
            f"made for {authority.name or 'no name'}. Phones reach the garden by its numbers only."
        )
    return replace(
        opening,
        name=authority.name,
        trust_port=free_port(opening.port + 1),
        fingerprint=fingerprint(authority.root),
        certificate=leaf.chain,
        key=leaf.key,
        warnings=tuple(warnings),
    )


def _tell_the_worker(opening: Opening) -> None:
    """Settings that go by how the garden opens, for a process that is forked and for a new one."""
    os.environ["HAFTBOOK_SERVED"] = "1"
    os.environ["HAFTBOOK_HTTPS"] = "1" if opening.https else ""
    os.environ["HAFTBOOK_TRUST_PORT"] = str(opening.trust_port)
    told = {**settings_over(opening.https), "TRUST_PORT": opening.trust_port}
    for name, value in told.items():
        setattr(settings, name, value)


def serve(opening: Opening) -> None:
    """Serve until stopped: one process, so that one lock keeps the writers in line."""
    from django.db import connections
    from granian import Granian
    from granian.constants import HTTPModes, Interfaces

    connections.close_all()
    _tell_the_worker(opening)
    server = Granian(
        "garden.wsgi:application",
        address=opening.listens_on,
        port=opening.port,
        interface=Interfaces.WSGI,
        workers=1,
        blocking_threads=THREADS,
        http=HTTPModes.http1,
        log_access=False,
        log_level="error",
        ssl_cert=opening.certificate,
        ssl_key=opening.key,
    )
    if opening.trust_port:
        from garden.trusting import lead_phones

        server.on_startup(lambda: lead_phones(opening, once=lambda: bool(server.wrks)))
    server.serve()
