"""How the garden was opened last, so that phones find it there again. Free of Django.

What waits on a phone, its stored pages and its sign-in belong to scheme, name and port together
(RFC 6454): another port, or https for http, is another garden to a browser.
"""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass
from pathlib import Path

from garden.datafolder import write_secret

FILE = "opened.json"
USUAL_PORT = 8000


class Unreadable(Exception):
    """The file that remembers is damaged."""


@dataclass(frozen=True, slots=True)
class Opened:
    """Scheme and port of the last time; port 0 for a garden that was never opened."""

    https: bool = False
    port: int = 0


def last_time(data: Path) -> Opened:
    """What the data folder remembers; Unreadable when the file there says nothing of use."""
    try:
        told = json.loads((data / FILE).read_text(encoding="utf-8"))
        opened = Opened(https=told["https"] is True, port=int(told["port"]))
    except FileNotFoundError:
        return Opened()
    except (OSError, ValueError, TypeError, KeyError) as error:
        raise Unreadable(str(data / FILE)) from error
    if not 0 < opened.port < 65536:
        raise Unreadable(str(data / FILE))
    return opened


def remember(data: Path, opened: Opened) -> None:
    """Keep it for the next start."""
    fresh = data / f"{FILE}.new"
    write_secret(fresh, json.dumps(asdict(opened)) + "\n")
    fresh.replace(data / FILE)
