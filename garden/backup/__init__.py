"""Backups: one file with the record and all photos; made in use, checked, put back. Free of Django.

`make` writes one, `verify` reads one through, `shelve` and `put_in_place` restore one; `keeping`
says when one is due and which are kept, `folder` where they lie, `lock` who has the garden open.
"""

from __future__ import annotations

from garden.backup.making import Source, copier, make
from garden.backup.plain import BackupRefused, Manifest
from garden.backup.restoring import Read, compare, put_in_place, shelve, verify

__all__ = [
    "BackupRefused",
    "Manifest",
    "Read",
    "Source",
    "compare",
    "copier",
    "make",
    "put_in_place",
    "shelve",
    "verify",
]
