"""What goes over the wire: bytes as the browser's own network layer counts them, heads included."""

from __future__ import annotations

from typing import Any, NamedTuple
from urllib.parse import urlsplit


class Answer(NamedTuple):
    """Bytes that came for a path, and whether a script asked for them."""

    path: str
    size: int
    fetched: bool


class Wire:
    """Listens to one page from now on; what came from the browser's cache costs nothing."""

    def __init__(self, page: Any) -> None:
        self.page = page
        self.answers: list[Answer] = []
        self._asked: dict[str, tuple[str, bool]] = {}
        session = page.context.new_cdp_session(page)
        session.send("Network.enable")
        session.on("Network.requestWillBeSent", self._sent)
        session.on("Network.loadingFinished", self._came)

    def _sent(self, told: dict[str, Any]) -> None:
        self._asked[told["requestId"]] = told["request"]["url"], told.get("type") == "Fetch"

    def _came(self, told: dict[str, Any]) -> None:
        size = int(told["encodedDataLength"])
        if size:
            address, fetched = self._asked[told["requestId"]]
            self.answers.append(Answer(urlsplit(address).path, size, fetched))

    def load(self, address: str) -> list[Answer]:
        """Open a page and wait until nothing more is asked for."""
        self.answers.clear()
        self.page.goto(address)
        return self.quiet()

    def quiet(self) -> list[Answer]:
        """What came since the last time, once nothing comes any more."""
        # Lists of the page in the bed are asked for again a moment after an entry was taken in.
        self.page.wait_for_timeout(1500)
        self.page.wait_for_load_state("networkidle")
        told = list(self.answers)
        self.answers.clear()
        return told


def drawn_on(answers: list[Answer]) -> list[Answer]:
    """A page with its styles, scripts, faces and pictures."""
    return [answer for answer in answers if not answer.fetched]


def taken_along(answers: list[Answer]) -> list[Answer]:
    """What a script fetched afterwards so that the field pages open out of reach; not the lists."""
    return [one for one in answers if one.fetched and not one.path.startswith("/bed/lists/")]


def whole(answers: list[Answer]) -> int:
    return sum(answer.size for answer in answers)


def heavier(answers: list[Answer], than: int) -> list[Answer]:
    return [answer for answer in answers if answer.size > than]
