"""Takes and cleans the story's photos beside its telling, in another process. Free of Django."""

from __future__ import annotations

import multiprocessing
from collections.abc import Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from datetime import datetime
from types import TracebackType

from evaluation.demo.pictures import photograph
from evaluation.demo.steps import Picture
from garden.flower import Recipe
from garden.photos import CleanPhoto, clean

# Fewer are developed sooner than another process starts.
WORTH_A_PROCESS = 8


def develop(picture: Picture, taken: datetime) -> CleanPhoto:
    """The photo as it may be kept: as a phone sends it, then cleaned as every other one."""
    return clean(photograph(Recipe(**dict(picture.words)), picture.seed, taken))


class Darkroom:
    """Pictures with the moments when they were taken, ready when somebody asks for them."""

    def __init__(self, pictures: Sequence[tuple[Picture, datetime]]) -> None:
        self._pool: ProcessPoolExecutor | None = None
        self._waiting: dict[Picture, Future[CleanPhoto]] = {}
        if len(pictures) < WORTH_A_PROCESS:
            return
        try:
            # Spawned, not forked: nothing of an open database may be copied into it.
            self._pool = ProcessPoolExecutor(1, multiprocessing.get_context("spawn"))
            for picture, taken in pictures:
                self._waiting[picture] = self._pool.submit(develop, picture, taken)
        except (OSError, ImportError):  # a machine without room for another process
            self._waiting = {}

    def __enter__(self) -> Darkroom:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:  # fmt: skip
        if self._pool:
            self._pool.shutdown(cancel_futures=True)

    def picture(self, picture: Picture, taken: datetime) -> CleanPhoto:
        """One picture; developed here and now when it does not wait."""
        waiting = self._waiting.pop(picture, None)
        try:
            return waiting.result() if waiting else develop(picture, taken)
        except BrokenProcessPool:
            self._waiting = {}
            return develop(picture, taken)
