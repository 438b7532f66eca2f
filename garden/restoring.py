"""A backup put in the place of this garden, and a garden looked through: what the commands do."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import datetime, tzinfo
from pathlib import Path

from django.apps import apps
from django.conf import settings
from django.core.management import call_command
from django.core.management.base import CommandError
from django.db import DatabaseError, connection, connections
from django.db.migrations.loader import MigrationLoader

from garden.backup import BackupRefused, Manifest, Read, folder, record, restoring, verify
from garden.backup.disk import workroom
from garden.backup.lock import OPEN, holding
from garden.backup.making import photo_names
from garden.backup.plain import DATABASE
from garden.models import Fact, Garden, Photo, Recorded
from garden.safekeeping import back_up, backups, sqlite_file, who_has_it

BEFORE_UPGRADE, BEFORE_RESTORE = "before-upgrade", "before-restore"
STANDS = (
    "A garden stands here already. With --replace it gives way, and its present state is backed "
    "up first."
)
Say = Callable[[str], object]


def known_migrations() -> set[str]:
    """Every change of the schema that this Haftbook knows, as 'app.name'. No query."""
    loader = MigrationLoader(None, ignore_no_migrations=True)
    return {f"{app}.{name}" for app, name in loader.disk_migrations}


def back_up_before_upgrade() -> None:
    """Back up a garden with somebody in it; CommandError, and no upgrade, when that fails."""
    with connection.cursor() as cursor:
        if "garden_person" not in connection.introspection.table_names(cursor):
            return
        cursor.execute("SELECT 1 FROM garden_person LIMIT 1")
        if cursor.fetchone() is None:
            return
    try:
        back_up(reason=BEFORE_UPGRADE)
    except BackupRefused as error:
        raise CommandError(f"The garden is as it was, and was not upgraded. {error}") from None


def read_through(path: Path) -> Read:
    """Check a backup to its last byte; BackupRefused with a sentence. Nothing is changed."""
    with holding(_data() / "restoring.lock") as alone:
        if not alone:
            raise BackupRefused("Another backup is being read at this moment.")
        with workroom(_data(), "restoring") as room:
            return verify(path, room, known_migrations())


def restore(path: Path, over: bool, say: Say) -> Manifest:
    """Put a backup in the place of this garden. BackupRefused, with all as it was, if it may not.

    Rows of every table and digests of every photo are compared afterwards; a backup of an older
    Haftbook is then brought up to date.
    """
    data = _data()
    with holding(data / OPEN) as alone, holding(data / "restoring.lock") as reading:
        if not (alone and reading):
            raise BackupRefused(who_has_it())
        stands = _stands()
        if stands and not over:
            raise BackupRefused(STANDS)
        with workroom(data, "restoring") as room:
            manifest = verify(path, room, known_migrations()).manifest
            say(f"{path.name} is whole: {told(manifest)}.")
            aside = backups() / f"set-aside-{datetime.now():%Y-%m-%d-%H%M%S}"
            if stands:
                _keep_present_state(aside, say)
            restoring.shelve(path, Path(settings.PHOTOS_DIR), room)
            _put_in_place(room / DATABASE, aside)
        _compare(manifest)
        folder.write_state(backups(), folder.State())
        if known_migrations() - set(manifest.migrations):
            call_command("migrate", interactive=False, verbosity=0)
            say("It came from an older Haftbook and was brought up to date.")
    return manifest


def told(manifest: Manifest, zone: tzinfo | None = None) -> str:
    """'Wanda's garden on 3 June 2026 at 07:12, 1,204 rows in 60 tables, 12 photos'.

    In the computer's own time without a zone.
    """
    made, rows = manifest.made.astimezone(zone), sum(manifest.counts.values())
    return (
        f"{manifest.garden} as of {made.day} {made:%B %Y %H:%M}, {rows:,} rows in "
        f"{len(manifest.counts)} tables, {manifest.photos:,} photos"
    )


def garden_zone() -> tzinfo | None:
    """The zone of the garden that stands here; None without one. A query."""
    try:
        return Garden.get().zone if _stands() else None
    except DatabaseError:
        # Before an upgrade the garden's row may be of another shape.
        return None


def _data() -> Path:
    return Path(settings.DATA_DIR)


def _stands() -> bool:
    if connection.vendor == "sqlite":
        return record.holds_a_garden(Path(connection.settings_dict["NAME"]))
    from garden.serverbackup import stands_there

    return stands_there()


def _keep_present_state(aside: Path, say: Say) -> None:
    """Back up what gives way. A database too damaged for that is copied as it lies there."""
    try:
        kept, _ = back_up(reason=BEFORE_RESTORE)
    except BackupRefused as error:
        if connection.vendor != "sqlite" or not record.faults(sqlite_file()):
            raise
        connections.close_all()
        restoring.set_aside(sqlite_file(), aside)
        say(f"{error} Its files were copied to {aside}.")
    else:
        say(f"The present state is kept in {kept}.")


def _put_in_place(prepared: Path, aside: Path) -> None:
    connections.close_all()
    if connection.vendor == "sqlite":
        restoring.put_in_place(prepared, Path(connection.settings_dict["NAME"]), aside)
    else:
        from garden.serverbackup import bring_there

        bring_there(prepared)


def _compare(manifest: Manifest) -> None:
    """BackupRefused when the restored garden is not the one of the backup, table for table."""
    tables = set(manifest.counts)
    if connection.vendor != "sqlite":
        from garden.serverbackup import tables_compared

        # The server has rows of its own about itself.
        tables &= tables_compared()
    meant = replace(manifest, counts={table: manifest.counts[table] for table in tables})
    with connection.cursor() as cursor:
        counts = {table: _count(cursor, table) for table in tables}
    connections.close_all()
    if wrong := restoring.compare(meant, counts, Path(settings.PHOTOS_DIR)):
        raise BackupRefused(
            f"The garden was restored, but is not as it was: {'; '.join(wrong[:20])}."
        )


def _count(cursor: object, table: str) -> int:
    cursor.execute(f"SELECT count(*) FROM {connection.ops.quote_name(table)}")
    return cursor.fetchone()[0]


def garden_faults() -> Iterator[str]:
    """What is wrong with this garden: its database, its photos, what does not fit along threads.

    Reads all of it; for a command, never for a page.
    """
    if connection.vendor == "sqlite":
        yield from record.faults(sqlite_file())
    digests = Photo.objects.order_by("digest").values_list("digest", flat=True).distinct()
    yield from restoring.photo_faults(Path(settings.PHOTOS_DIR), list(digests), photo_names)
    for model in apps.get_models():
        if issubclass(model, Recorded) and model.misfit is not Recorded.misfit:
            facts = model.live if issubclass(model, Fact) else model.objects
            for thing in facts.order_by("pk").iterator():
                if broken := thing.misfit():
                    yield f"{thing}: {broken[0]}"
