"""What goes over the wire: bytes as the browser's own network layer counts them, heads included."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlsplit


class Wire:
    """Listens to one page from now on; what came from the browser's cache costs nothing."""

    def __init__(self, page: Any) -> None:
        self.page = page
        self.answers: list[tuple[str, int]] = []
        self._asked: dict[str, str] = {}
        session = page.context.new_cdp_session(page)
        session.send("Network.enable")
        session.on("Network.requestWillBeSent", self._sent)
        session.on("Network.loadingFinished", self._came)

    def _sent(self, told: dict[str, Any]) -> None:
        self._asked[told["requestId"]] = told["request"]["url"]

    def _came(self, told: dict[str, Any]) -> None:
        size = int(told["encodedDataLength"])
        if size:
            self.answers.append((urlsplit(self._asked[told["requestId"]]).path, size))

    def load(self, address: str) -> list[tuple[str, int]]:
        """Open a page and wait until it asks for nothing more: (path, bytes) of each answer."""
        self.answers.clear()
        self.page.goto(address)
        return self.quiet()

    def quiet(self) -> list[tuple[str, int]]:
        """What came since the last time, once nothing comes any more."""
        # Lists of the page in the bed are asked for again a moment after an entry was taken in.
        self.page.wait_for_timeout(1500)
        self.page.wait_for_load_state("networkidle")
        told = list(self.answers)
        self.answers.clear()
        return told


def whole(answers: list[tuple[str, int]], without: str = "/bed/lists/") -> int:
    """Bytes of all of them; the lists come one by one afterwards."""
    return sum(size for path, size in answers if not path.startswith(without))


def heavier(answers: list[tuple[str, int]], than: int) -> list[tuple[str, int]]:
    return [answer for answer in answers if answer[1] > than]
