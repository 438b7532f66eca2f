"""What a backup is: one ZIP file with the database, the photos and a manifest of both.

    haftbook.sqlite3                     the whole record, deflated
    photos/ab/<digest>-<size>.jpg        every kept picture, stored as it is
    manifest.json                        format, day, schema, counts per table, SHA-256 per file

The archive's comment, which a ZIP file ends with, is `SEAL` and the SHA-256 of everything before
it in hexadecimal, so that a single changed byte anywhere in the file is seen.
"""

from __future__ import annotations

import json
import re
from dataclasses import asdict, dataclass, field
from datetime import datetime
from typing import Any

FORMAT = 1
DATABASE = "haftbook.sqlite3"
MANIFEST = "manifest.json"
PHOTO = re.compile(r"photos/([0-9a-f]{2})/(\1[0-9a-f]{62})-(?:large|middle|small)\.jpg")
SEAL = b"haftbook backup, sha256 of all before: "
HEX = re.compile(r"[0-9a-f]{64}")
KIND = "haftbook backup"
PIECE = 1 << 20
# A line of the manifest for each file: room for a million photos, and no more.
LARGEST_MANIFEST = 400_000_000


class BackupRefused(Exception):
    """A sentence that says why no backup is made, read or put back."""


@dataclass(frozen=True, slots=True)
class Part:
    """A file of a backup: bytes and SHA-256 in hexadecimal."""

    size: int
    sha256: str


@dataclass(frozen=True, slots=True)
class Manifest:
    """What a backup says of itself.

    `made` is aware; `migrations` are written 'app.name'; `counts` are rows by table, in the copy;
    `missing` are files of photos that the record names and that were not on the shelf.
    """

    made: datetime
    garden: str
    migrations: tuple[str, ...]
    counts: dict[str, int]
    files: dict[str, Part]
    missing: tuple[str, ...] = ()
    reason: str = ""
    format: int = field(default=FORMAT)

    @property
    def photos(self) -> int:
        """How many pictures: files of the largest size."""
        return sum(1 for name in self.files if name.endswith("-large.jpg"))

    @property
    def size(self) -> int:
        """Bytes of all files, unpacked."""
        return sum(part.size for part in self.files.values())

    def to_bytes(self) -> bytes:
        told = {"kind": KIND, **asdict(self), "made": self.made.isoformat()}
        return json.dumps(told, ensure_ascii=False, indent=1).encode()

    @classmethod
    def read(cls, content: bytes) -> Manifest:
        """The manifest that these bytes hold; BackupRefused for what is none of ours."""
        try:
            told = json.loads(content)
            if told["kind"] != KIND:
                raise BackupRefused("it is no backup of a garden")
            if _number(told["format"]) > FORMAT:
                raise BackupRefused("it was made by a newer Haftbook: bring this one up to date")
            return cls._of(told)
        except (KeyError, TypeError, ValueError, AttributeError, RecursionError):
            raise BackupRefused("its list of contents cannot be read") from None

    @classmethod
    def _of(cls, told: dict[str, Any]) -> Manifest:
        made = datetime.fromisoformat(told["made"])
        if made.tzinfo is None:
            raise ValueError("a moment without its zone")
        files = {_text(name): _part(part) for name, part in told["files"].items()}
        return cls(
            made=made,
            garden=_text(told["garden"])[:60],
            migrations=tuple(_text(name) for name in told["migrations"]),
            counts={_text(name): _number(count) for name, count in told["counts"].items()},
            files=files,
            missing=tuple(_text(name) for name in told.get("missing", ())),
            reason=_text(told.get("reason", "")),
            format=_number(told["format"]),
        )


def _text(value: Any) -> str:
    if not isinstance(value, str):
        raise TypeError("no text")
    return value


def _number(value: Any) -> int:
    if not isinstance(value, int) or isinstance(value, bool) or value < 0:
        raise TypeError("no count")
    return value


def _part(told: Any) -> Part:
    part = Part(_number(told["size"]), _text(told["sha256"]))
    if not HEX.fullmatch(part.sha256):
        raise ValueError("no digest")
    return part


def is_ours(name: str) -> bool:
    """Whether a file of this name may lie in a backup."""
    return name in (DATABASE, MANIFEST) or PHOTO.fullmatch(name) is not None
