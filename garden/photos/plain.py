"""What a cleaned photo is, and how one is refused."""

from __future__ import annotations

import hashlib
import re
from dataclasses import dataclass, field, replace
from datetime import date, timedelta

MOST_BYTES = 15_000_000
MOST_PIXELS = 60_000_000
# Longest side in pixels: for the page, for the phone; the thumbnail is a square.
SIZES = {"large": 1600, "middle": 960, "small": 320}
DIGEST = re.compile(r"[0-9a-f]{64}", re.ASCII)
# Cameras whose clock was never set tell a day before there were any.
FIRST_CAMERAS = date(1990, 1, 1)


class PhotoRefused(ValueError):
    """The only error of this package: a sentence for the gardener."""


@dataclass(frozen=True)
class CleanPhoto:
    """A photo without anything but its pixels, upright, as JPEG in every size of `SIZES`.

    `width` and `height` are those of the large size, in pixels; `taken_on` is the day that the
    camera wrote into the file, None where it wrote none that can be believed.
    """

    files: dict[str, bytes] = field(repr=False)
    width: int
    height: int
    taken_on: date | None = None
    digest: str = ""

    def __post_init__(self) -> None:
        if not self.digest:
            mark = hashlib.sha256(self.files["large"]).hexdigest()
            object.__setattr__(self, "digest", mark)

    def taken(self, day: date | None) -> CleanPhoto:
        """The same photo, of `day` where its own file told none."""
        return self if self.taken_on or not day else replace(self, taken_on=day)

    def __str__(self) -> str:
        # What a journal line's digest takes of it.
        return self.digest


def plausible_day(year: int, month: int, day: int, today: date) -> date | None:
    """The day if a camera can have told it: one that exists, not before cameras, not ahead."""
    try:
        told = date(year, month, day)
    except ValueError:
        return None
    return told if FIRST_CAMERAS <= told <= today + timedelta(days=1) else None
