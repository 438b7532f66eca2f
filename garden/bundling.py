"""Styles and scripts that always come together are served together: fewer requests, fewer bytes.

They are written file by file and joined when the static files are gathered; where they were not
gathered (in the tests), each goes by itself.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from django.contrib.staticfiles.storage import staticfiles_storage
from django.core.files.base import ContentFile
from whitenoise.storage import CompressedManifestStaticFilesStorage

# Beside their parts, so that addresses within them stay right.
BUNDLES = {
    "css/together-page.css": ("tokens", "base", "layout", "forms", "parts", "thread", "outbox"),
    "css/together-bed.css": ("bed", "judging", "stalk", "photos", "bloom", "bedwalk"),
    "js/together-page.js": (
        "outbox", "moving", "reading", "stateline", "keeping", "sender", "field",
    ),
    "js/together-bed.js": (
        "bed", "bedlists", "bedhere", "bedtags", "bedpick", "bedkept", "bedcross", "bedthread",
        "bedwalk", "bedscore", "bedbloom", "bedphoto", "bedscan", "walk", "stalk", "photo",
    ),
}  # fmt: skip


def parts_of(bundle: str) -> list[str]:
    """The names of the files that a bundle is joined from, in their order."""
    kind = Path(bundle).suffix
    return [f"{Path(bundle).parent}/{name}{kind}" for name in BUNDLES[bundle]]


def addresses_of(bundle: str) -> list[str]:
    """The bundle's address where it was gathered, else those of its parts."""
    gathered = getattr(staticfiles_storage, "hashed_files", {})
    names = [bundle] if bundle in gathered else parts_of(bundle)
    return [staticfiles_storage.url(name) for name in names]


def gathered() -> list[str]:
    """The names of the bundles that are there to be served."""
    known = getattr(staticfiles_storage, "hashed_files", {})
    return [bundle for bundle in BUNDLES if bundle in known]


def without_comments(text: str, kind: str) -> str:
    """A style without its comments, a script without the lines that are nothing but one.

    Nobody reads them on a phone; in our files nothing else looks like them.
    """
    if kind == ".css":
        return re.sub(r"/\*.*?\*/", "", text, flags=re.DOTALL)
    return "\n".join(line for line in text.splitlines() if not line.lstrip().startswith("//"))


class BundlingStorage(CompressedManifestStaticFilesStorage):
    """Static files with digests and compression, and the bundles among them."""

    def post_process(
        self, paths: dict[str, Any], dry_run: bool = False, **options: Any
    ) -> Iterator[Any]:
        if not dry_run:
            for bundle in BUNDLES:
                paths[bundle] = (self, self._joined(bundle))
        yield from super().post_process(paths, dry_run=dry_run, **options)

    def _joined(self, bundle: str) -> str:
        """Write a bundle beside its parts; its name."""
        bodies = []
        for name in parts_of(bundle):
            with self.open(name) as part:
                bodies.append(without_comments(part.read().decode(), Path(name).suffix))
        self.delete(bundle)
        return self.save(bundle, ContentFile("\n".join(bodies).encode()))
