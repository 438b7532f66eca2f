"""What somebody sees who walks along a row: the next position, and what is known of it."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

from django.db.models import Exists, F, OuterRef, Q

from breeding.models import Row
from evaluation.models import Candidate, Glance, LookOver, Scoring, Seedling
from evaluation.records.candidates import gone_of
from evaluation.records.looking import is_open
from evaluation.spans import spans, spans_text
from garden.calendar import REST_BEFORE_FIRST_BLOOM
from garden.models import Person

Found = Glance.Found
A_SEASON = timedelta(days=366)
MOST_CALLED = 200


def counts_of(found: Iterable[str]) -> list[tuple[str, int]]:
    """How often each was found, in words, without what did not occur."""
    told = Counter(found)
    return [(word.label, told[word.value]) for word in Found if told[word.value]]


@dataclass
class Walk:
    """One person's walk along a row as far as it has come; `look_over` is None before its start."""

    row: Row
    look_over: LookOver | None
    backward: bool
    looks: list[Glance]
    gone: set[int]
    # Positions that this person scored since the walk began: looked at well enough.
    scored: set[int] = field(default_factory=set)
    found: dict[int, str] = field(init=False)

    def __post_init__(self) -> None:
        self.found = {look.position: look.found for look in self.looks}

    @property
    def to_see(self) -> list[int]:
        """The positions of this walk in walking order; those where nothing stands are passed."""
        stands = [
            at for at in range(self.row.first, self.row.last + 1)
            if at not in self.gone or at in self.found
        ]  # fmt: skip
        return stands[::-1] if self.backward else stands

    @property
    def last_look(self) -> Glance | None:
        return max(self.looks, key=lambda look: look.pk, default=None)

    def next_after(self, position: int | None = None) -> int | None:
        """The next position not yet looked at: beyond `position`, else the first one left."""
        left = [at for at in self.to_see if at not in self.found and at not in self.scored]
        if position is None and self.last_look:
            position = self.last_look.position
        if position is not None:
            beyond = [at for at in left if (at < position if self.backward else at > position)]
            return next(iter(beyond or left), None)
        return next(iter(left), None)

    def before(self, position: int) -> int | None:
        """The position passed just before this one; None at the start."""
        ahead = [at for at in self.to_see if (at > position if self.backward else at < position)]
        return ahead[-1] if ahead else None

    def passed_over(self, position: int) -> str:
        """The positions where nothing stands, just before this one: '14, 15'."""
        step, at, passed = (1 if self.backward else -1), position, []
        while (at := at + step) in self.gone and at not in self.found and self.row.holds(at):
            passed.append(at)
        return spans_text(spans(passed))

    @property
    def counts(self) -> list[tuple[str, int]]:
        """[('Nothing', 25), ('Look again', 3)], without what did not occur."""
        return counts_of(self.found.values())

    @property
    def called(self) -> list[int]:
        """Positions at which another look was asked for."""
        return sorted(at for at, found in self.found.items() if found == Found.AGAIN)


def the_walk(
    person: Person, row: Row, day: date, backward: bool = False, anew: bool = False
) -> Walk:
    """The walk that this person takes up or begins. Five queries."""
    if anew:
        return Walk(row, None, backward, [], gone_of([row])[row.pk])
    return walks_of(person, [row], day, backward)[0]


def walks_of(person: Person, rows: Sequence[Row], day: date, backward: bool = False) -> list[Walk]:
    """The walks that this person takes up or begins along rows, in their order. Five queries."""
    keys = [row.pk for row in rows]
    newest = {walk.row_id: walk for walk in
              LookOver.live.filter(person=person, row__in=keys).order_by("id")}  # fmt: skip
    looks: dict[int, list[Glance]] = defaultdict(list)
    for look in Glance.live.filter(look_over__in=newest.values()).order_by("id"):
        looks[look.look_over_id].append(look)
    scored: dict[int, list[tuple[int, date]]] = defaultdict(list)
    given = Scoring.live.filter(person=person, candidate__row__in=keys, candidate__struck=False)
    for key, *at in given.values_list("candidate__row", "candidate__position", "day"):
        scored[key].append(tuple(at))
    gone = gone_of(rows)
    walks = []
    for row in rows:
        walk = newest.get(row.pk)
        last = looks[walk.pk][-1].day if walk and looks[walk.pk] else None
        if walk and not is_open(walk, last, day):
            walk = None
        since = walk.began_on if walk else day
        seen = {at for at, on in scored[row.pk] if on >= since}
        walked = looks[walk.pk] if walk else []
        backwards = walk.backward if walk else backward
        walks.append(Walk(row, walk, backwards, walked, gone[row.pk], seen))
    return walks


@dataclass(frozen=True)
class Known:
    """What is recorded of one position: its letter, its candidate, and what was seen there.

    `now` is this walk's own word, `looks` are those of earlier walks and other people.
    """

    seedling: Seedling | None
    candidate: Candidate | None
    now: Glance | None
    looks: list[Glance]
    scores: list[Scoring]


def known_of(walk: Walk, position: int) -> Known:
    """What earlier walks and scores say of a position. Four queries."""
    row = walk.row
    looks = Glance.live.filter(look_over__row=row, position=position).exclude(found=Found.NOTHING)
    if walk.look_over:
        looks = looks.exclude(look_over=walk.look_over)
    scores = Scoring.live.filter(candidate__row=row, candidate__position=position)
    return Known(
        Seedling.live.filter(row=row, position=position).select_related("plant").first(),
        Candidate.live.filter(row=row, position=position).first(),
        next((look for look in walk.looks if look.position == position), None),
        list(looks.select_related("look_over__person").order_by("-day", "-id")[:4]),
        list(scores.select_related("person").order_by("-day", "-id")[:4]),
    )


def can_bloom(row: Row, day: date) -> bool:
    """Whether the seedlings of a row are old enough to flower on a day, and still stand."""
    return row.closed_on is None and day >= row.lined_out_on + REST_BEFORE_FIRST_BLOOM


@dataclass(frozen=True)
class Progress:
    """A row in bloom, and how far this person has come with it this season."""

    row: Row
    looked: int
    called: int
    of: int

    @property
    def state(self) -> int:
        """0 begun, 1 not begun yet, 2 walked to its end."""
        return 1 if not self.looked else 2 if self.looked >= self.of else 0


def progress(person: Person, rows: Iterable[Row], season: int) -> list[Progress]:
    """How far this person has come with rows this season, those begun first. Three queries."""
    rows = list(rows)
    looks = Glance.live.filter(
        look_over__row__in=rows, look_over__person=person, look_over__season=season
    )
    seen: dict[int, dict[int, str]] = {row.pk: {} for row in rows}
    for row, position, found in looks.order_by("pk").values_list(
        "look_over__row", "position", "found"
    ):
        seen[row][position] = found
    gone = gone_of(rows)
    told = [
        Progress(
            row,
            len(seen[row.pk]),
            sum(found == Found.AGAIN for found in seen[row.pk].values()),
            row.seedlings - len(gone[row.pk] - set(seen[row.pk])),
        )
        for row in rows
    ]
    return sorted(told, key=lambda one: (one.state, one.row.bed.name, one.row.row, one.row.first))


def called_waiting(season: int, today: date, row: Row | None = None) -> list[Candidate]:
    """Seedlings called for another look this season that nobody scored or decided about since.

    In walking order. One query.
    """
    called = Glance.live.filter(
        look_over__row=OuterRef("row"),
        look_over__season=season,
        position=OuterRef("position"),
        found=Found.AGAIN,
    )
    scored = Scoring.live.filter(candidate=OuterRef("pk"), season=season)
    # The day bounds what is read; the season decides.
    waiting = Candidate.live.filter(seen_on__gte=today - A_SEASON, row__closed_on=None)
    if row is not None:
        waiting = waiting.filter(row=row)
    waiting = waiting.filter(Q(decided_on=None) | Q(decided_on__lt=F("seen_on")))
    waiting = waiting.filter(Exists(called), ~Exists(scored))
    waiting = waiting.select_related(
        "plant", "row__bed", "row__cross__seed_parent", "row__cross__pollen_parent"
    )
    in_order = ("row__bed__name", "row__bed", "row__row", "position")
    return list(waiting.order_by(*in_order)[:MOST_CALLED])
