"""How a story is told: an agenda of days, and the words for who did what when. Free of Django."""

from __future__ import annotations

import heapq
import random
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date, datetime, time, timedelta
from functools import partial
from itertools import count
from typing import Any
from zoneinfo import ZoneInfo

from evaluation.demo.steps import Step

Telling = Callable[[], Iterator[Step]]
DESK, PHONE = "desk", "phone"
DEVICES = {"Tjark": "Android phone"}
OTHER_PHONE, DESK_DEVICE = "iPhone", "Linux computer"


class Diary:
    """Days with what happens on them; telling one thing may put others on later days."""

    def __init__(self, owner: str, helpers: list[str], zone: str, seed: str) -> None:
        self.seed = seed
        self.dice = random.Random(seed)
        self.owner = owner
        self.helpers = helpers
        self.zone = ZoneInfo(zone)
        self.day = date.min
        self._agenda: list[tuple[date, int, Telling]] = []
        self._entered = count()
        self._seconds = 0
        # The last day on which the work of the garden began.
        self._begun = date.min
        self._on_duty: dict[str, str] = {}

    def on(self, day: date, telling: Telling) -> None:
        """Put something on a day; never on one that has passed."""
        heapq.heappush(self._agenda, (max(day, self.day), next(self._entered), telling))

    def after(self, least: int, most: int, telling: Telling) -> None:
        """Put something on a day so many days from now."""
        self.on(self.day + timedelta(days=self.dice.randint(least, most)), telling)

    def tell(self, today: date) -> Iterator[Step]:
        """Everything that happened before `today`, in its order."""
        while self._agenda and self._agenda[0][0] < today:
            day, _, telling = heapq.heappop(self._agenda)
            if day > self.day:
                self.day, self._on_duty, self._seconds = day, {}, 0
            if self._begun < day and not self._is_apart(telling):
                self._begun = day
                self._seconds = max(self._seconds, self.dice.randint(8 * 3600, 10 * 3600))
            yield from telling()

    def _is_apart(self, telling: Telling) -> bool:
        return isinstance(telling, partial) and telling.func == self.apart

    def step(self, verb: str, key: str = "", at: str = PHONE, by: str = "", **values: Any) -> Step:
        """One verb, a minute or so after the last one, by whoever does this work today.

        A look at one position of a row takes seconds.
        """
        if verb == "glance":
            took = self.dice.randint(5, 14)
        else:
            pause = self.dice.randint(1200, 5400) if self.chance(0.08) else 0
            took = self.dice.randint(25, 150) + pause
        # However long the day's work is, it ends before night.
        self._seconds = min(self._seconds + took, 21 * 3600)
        person = by or self.on_duty(verb)
        device = DESK_DEVICE if at == DESK else DEVICES.get(person, OTHER_PHONE)
        moment = datetime.combine(self.day, time(), self.zone) + timedelta(seconds=self._seconds)
        waited = self.dice.choice([1, 1, 2, 2, 3, 3600]) if at == PHONE else 1
        return Step(verb, person, device, moment, moment + timedelta(seconds=waited), values, key)

    @contextmanager
    def aside(self, name: str) -> Iterator[None]:
        """Something with dice of its own: what comes of it moves nothing else of the story."""
        dice, self.dice = self.dice, random.Random(f"{self.seed} {name}")
        try:
            yield
        finally:
            self.dice = dice

    def apart(self, name: str, telling: Telling) -> Iterator[Step]:
        """A whole telling aside, also by who does the work: a story without it is the same."""
        on_duty, self._on_duty = self._on_duty, {}
        self._seconds = max(self._seconds, 9 * 3600)
        with self.aside(name):
            steps = list(telling())
        self._on_duty = on_duty
        yield from steps

    def on_duty(self, task: str) -> str:
        """Who does a kind of work today: the owner every other day, else a helper."""
        if task not in self._on_duty:
            people = [self.owner, *self.helpers]
            weights = [len(self.helpers) + 1, *range(len(self.helpers), 0, -1)]
            self._on_duty[task] = self.dice.choices(people, weights)[0]
        return self._on_duty[task]

    def chance(self, share: float) -> bool:
        return self.dice.random() < share

    def some_of(self, count: int, share: float) -> int:
        """How many of `count` turn out well when each does with chance `share`."""
        return sum(self.dice.random() < share for _ in range(count))
