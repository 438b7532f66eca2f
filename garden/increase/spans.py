"""Counts by place and day, and what grew between them."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

DAYS_A_YEAR = 365.25
# Fans come once a year: what is counted again sooner is another look at the same growth.
LEAST_DAYS = 183
# Places counted within a season of each other are one look at the plant.
SAME_SEASON = 92


@dataclass(frozen=True, slots=True)
class Counted:
    """So many fans stood in a place on a day; `place` is any word, the same for the same place."""

    place: str
    day: date
    number: int


@dataclass(frozen=True, slots=True)
class Taken:
    """So many fans left a place on a day; place '' where nobody noted from which.

    A number below 0 came back. `before` when they were gone before the count of that day; `stays`
    when they were lined out here and so stand in another place of the same plant.
    """

    place: str
    day: date
    number: int
    before: bool = False
    stays: bool = False

    def since(self, day: date) -> bool:
        """Whether they left after the count of that day."""
        return self.day > day or (self.day == day and not self.before)

    def between(self, first: date, last: date) -> bool:
        """Whether they left after the count of the first day and before that of the last."""
        return self.since(first) and not self.since(last)


@dataclass(frozen=True, slots=True)
class Span:
    """What one plant did between two looks, in the places that were counted both times.

    `start` at least 1; `taken` what left those places in between.
    """

    first: date
    last: date
    start: int
    end: int
    taken: int = 0

    @property
    def years(self) -> float:
        """Length in years of 365.25 days."""
        return (self.last - self.first).days / DAYS_A_YEAR

    @property
    def growth(self) -> float:
        """log((end + taken) / start); nothing left counts as half a plant, for its logarithm.

        >>> Span(date(2024, 8, 1), date(2025, 8, 1), 4, 6, 6).growth == math.log(3)
        True
        """
        return math.log(max(self.end + self.taken, 0.5) / self.start)

    @property
    def factor(self) -> float:
        """The factor of one year."""
        return math.exp(self.growth / self.years)


def spans_of(counts: Iterable[Counted], taken: Iterable[Taken] = ()) -> list[Span]:
    """Spans of one plant in order of their last day.

    Each place is followed from count to count, at least half a year apart; what left it in
    between counts as grown, unless it stands in another place that was counted before and after.
    Places looked at in the same seasons make one span together. What left a place that nobody
    noted goes to the largest place counted before and after it. A span that would begin with
    nothing tells nothing and is left out.
    """
    places = _by_place(counts)
    removals = [gone for gone in taken if not _grows_elsewhere(gone, places)]
    spans = [
        span for place, known in places.items()
        for span in _place_spans(known, [gone for gone in removals if gone.place == place])
    ]  # fmt: skip
    for gone in removals:
        if not gone.place:
            _give(spans, gone)
    return _together(spans)


def _by_place(counts: Iterable[Counted]) -> dict[str, list[Counted]]:
    places: dict[str, list[Counted]] = defaultdict(list)
    for count in sorted(counts, key=lambda count: count.day):
        places[count.place].append(count)
    return places


def _grows_elsewhere(gone: Taken, places: dict[str, list[Counted]]) -> bool:
    """Whether what was lined out is counted again, as the growth of another place."""
    others = [known for place, known in places.items() if place != gone.place]
    return gone.stays and any(gone.between(known[0].day, known[-1].day) for known in others)


def _place_spans(counts: Sequence[Counted], taken: Sequence[Taken]) -> list[Span]:
    spans: list[Span] = []
    anchor = counts[0]
    for count in counts[1:]:
        apart = (count.day - anchor.day).days >= LEAST_DAYS
        if anchor.number and apart:
            gone = sum(one.number for one in taken if one.between(anchor.day, count.day))
            spans.append(Span(anchor.day, count.day, anchor.number, count.number, gone))
        # Where nothing was left, what is planted later is no growth of what stood there.
        if apart or not anchor.number or not count.number:
            anchor = count
    return spans


def _give(spans: list[Span], gone: Taken) -> None:
    """Add what left an unknown place to the largest span over that day."""
    over = [at for at, span in enumerate(spans) if gone.between(span.first, span.last)]
    if over:
        at = max(over, key=lambda at: spans[at].start)
        one = spans[at]
        spans[at] = Span(one.first, one.last, one.start, one.end, one.taken + gone.number)


def _together(spans: Iterable[Span]) -> list[Span]:
    """Spans of several places as one, where both their looks were of the same seasons."""
    groups: list[list[Span]] = []
    for span in sorted(spans, key=lambda span: (span.last, span.first)):
        for group in groups:
            apart = (abs((span.first - group[0].first).days), (span.last - group[0].last).days)
            if max(apart) <= SAME_SEASON:
                group.append(span)
                break
        else:
            groups.append([span])
    return [_joined(group) for group in groups]


def _joined(group: Sequence[Span]) -> Span:
    """One span of several, its days weighted by what stood at the start."""
    start = sum(span.start for span in group)
    first = round(sum(span.start * span.first.toordinal() for span in group) / start)
    last = round(sum(span.start * span.last.toordinal() for span in group) / start)
    return Span(
        date.fromordinal(first),
        date.fromordinal(last),
        start,
        sum(span.end for span in group),
        sum(span.taken for span in group),
    )


def now(counts: Iterable[Counted], taken: Iterable[Taken] = ()) -> int:
    """What stands there: each place's last count less what left it since; never below nothing.

    What left a place that nobody noted is taken off unless every place was counted after it.
    """
    removals = list(taken)
    total, last_days = 0, []
    for place, known in _by_place(counts).items():
        last = known[-1]
        last_days.append(last.day)
        gone = sum(one.number for one in removals if one.place == place and one.since(last.day))
        total += max(0, last.number - gone)
    if not last_days:
        return 0
    oldest = min(last_days)
    loose = sum(one.number for one in removals if not one.place and one.since(oldest))
    return max(0, total - loose)


def last_counted(counts: Iterable[Counted]) -> date | None:
    """The newest day of a count."""
    return max((count.day for count in counts), default=None)


def table(counts: Iterable[Counted]) -> tuple[list[int], dict[str, dict[int, int]]]:
    """(years, place -> {year: its last count of that year}), places by their first count."""
    rows = {
        place: {count.day.year: count.number for count in known}
        for place, known in _by_place(counts).items()
    }
    return sorted({year for row in rows.values() for year in row}), rows
