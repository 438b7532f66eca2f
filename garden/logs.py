"""What the log may say of an address: not the key of a calendar. Free of Django."""

from __future__ import annotations

import logging
import re

# Where the path of a calendar stands, and what follows it. Unguessable parts are long.
KEY = re.compile(r"(?<=/)[A-Za-z0-9_-]{22,}(?=[./?\s]|$)")


class NoKeys(logging.Filter):
    """Blackens long unguessable parts of addresses in a line and in what it is made of."""

    def filter(self, record: logging.LogRecord) -> bool:
        record.msg = _black(record.getMessage())
        record.args = ()
        return True


def _black(text: str) -> str:
    return KEY.sub("…", text)
