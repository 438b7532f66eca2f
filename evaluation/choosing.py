"""The table of candidates: which are asked for, in which order, with what is known of each."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from django.db.models import Exists, OuterRef, Q, QuerySet

from breeding.models import Cross
from evaluation.meritplot import interval_bar
from evaluation.models import Candidate, CandidatePhoto, Glance, Scoring
from evaluation.spans import spans, spans_text
from garden.finding import MOST_LETTERS
from garden.models import Person, Photo, Placing, Plant, fold
from garden.names import is_key

if TYPE_CHECKING:
    from evaluation.merit import Standing

ALL = "all"
UNDECIDED, NOT_DISCARDED = "none", "open"
# How well a merit is known, by its reliability: from which one on, in words.
KNOWN = ((0.75, "well known"), (0.5, "fairly known"), (0.25, "little known"), (-1, "hardly known"))
SORTS = ("merit", "plain", "low", "place")
# The columns that the order goes by, of every candidate asked for.
PLACE = ("row__bed__folded", "row__row", "position", "plant__folded")
LIGHT = ("pk", "seen_on", *PLACE)
WITH = (
    "plant__seed_parent", "plant__pollen_parent", "row__bed",
    "row__cross__seed_parent", "row__cross__pollen_parent",
)  # fmt: skip
Key = tuple[Any, ...]
# Scales begin and end at whole tens.
SCALE_STEP = 10


def known_word(reliability: float) -> str:
    """'well known' … 'hardly known'."""
    return next(word for least, word in KNOWN if reliability >= least)


@dataclass(slots=True)
class Judged:
    """How often, by whom and when a candidate was scored."""

    scores: int = 0
    people: set[int] = field(default_factory=set)
    seasons: set[int] = field(default_factory=set)

    @property
    def years(self) -> str:
        """'2024, 2026'; neighbouring seasons drawn together: '2023–2025'."""
        return spans_text(spans(self.seasons))


@dataclass(slots=True)
class Line:
    """One candidate as lists show it; `rank` by merit among those asked for."""

    candidate: Candidate
    standing: Standing | None = None
    rank: int | None = None
    judged: Judged = field(default_factory=Judged)
    bar: str = ""
    # The newest first.
    photos: list[Photo] = field(default_factory=list)

    @property
    def photo(self) -> Photo | None:
        return next(iter(self.photos), None)

    @property
    def known(self) -> str:
        return known_word(self.standing.reliability) if self.standing else ""

    @property
    def cross(self) -> Cross | None:
        return self.candidate.cross

    @property
    def of(self) -> Cross | Plant:
        """Whatever knows its parents."""
        return self.cross or self.candidate.plant

    @property
    def seed(self) -> Plant | str:
        return self.of.seed_parent or getattr(self.of, "seed_parent_text", "")

    @property
    def pollen(self) -> Plant | str:
        return self.of.pollen_parent or getattr(self.of, "pollen_parent_text", "unknown")

    @property
    def place(self) -> str:
        """'Long Bed 1/7': where it stands in its row; '' for a plant of the stock."""
        row = self.candidate.row
        return f"{row.bed} {row.row}/{self.candidate.position}" if row else ""


def seasons_judged() -> list[int]:
    """Seasons in which somebody scored, the newest first. One query."""
    seasons = Scoring.live.order_by("-season").values_list("season", flat=True)
    return list(seasons.distinct())


def asked_for(asked: Mapping[str, Any], person: Person) -> QuerySet:
    """The candidates that the filters leave."""
    rows = Candidate.live.all()
    season = asked.get("season", "")
    if season and season != ALL:
        rows = rows.filter(_of_season(int(season)))
    if text := asked.get("text", ""):
        rows = rows.filter(_of_parents(text))
    if bed := asked.get("bed"):
        placed = Placing.live.filter(plant=OuterRef("plant"), bed=bed, until=None)
        rows = rows.filter(Q(row__bed=bed) | Exists(placed))
    if kind := asked.get("iris_class", ""):
        parents = Q(
            row__cross__seed_parent__iris_class=kind, row__cross__pollen_parent__iris_class=kind
        )
        rows = rows.filter(Q(plant__iris_class=kind) | Q(plant=None) & parents)
    if mine := asked.get("mine", ""):
        own = Q(pk__in=Scoring.live.filter(person=person).values("candidate"))
        rows = rows.filter(own if mine == "yes" else ~own)
    if least := asked.get("least"):
        rows = rows.filter(scores__gte=least)
    return rows.filter(_of_verdict(asked.get("verdict", "")))


def _of_season(season: int) -> Q:
    """Scored in a season, or called again by a look-over of it."""
    called = Glance.live.filter(
        look_over__row=OuterRef("row"),
        position=OuterRef("position"),
        look_over__season=season,
        found=Glance.Found.AGAIN,
    )
    scored = Scoring.live.filter(season=season).values("candidate")
    return Q(pk__in=scored) | Q(Exists(called))


def _of_parents(text: str) -> Q:
    """These letters in the cross, in the candidate's own name, or in a parent's."""
    text = text[:MOST_LETTERS]
    crosses = Q(row__cross__code__icontains=text)
    if name := fold(text):
        for way in ("plant", "plant__seed_parent", "plant__pollen_parent",
                    "row__cross__seed_parent", "row__cross__pollen_parent"):  # fmt: skip
            crosses |= Q(**{f"{way}__folded__contains": name})
    return crosses


def _of_verdict(verdict: str) -> Q:
    if verdict == UNDECIDED:
        return Q(verdict="")
    if verdict == NOT_DISCARDED:
        return ~Q(verdict=Candidate.Verdict.DISCARD)
    return Q(verdict=verdict) if verdict else Q()


@dataclass
class Ranking:
    """The candidates asked for, in order: their keys, and the merits among which each ranks."""

    keys: list[int]
    sorted_by: list[Key]
    merits: list[float]
    standings: Mapping[int, Standing]

    def rank(self, pk: int) -> int | None:
        """The place by merit among those asked for; the best has 1."""
        standing = self.standings.get(pk)
        if standing is None:
            return None
        return 1 + len(self.merits) - bisect_right(self.merits, standing.merit)


def rank(
    rows: QuerySet, standings: Mapping[int, Standing], sort: str = "merit", back: bool = False
) -> Ranking:
    """`rows` in order. One query, whatever their number."""
    light = list(rows.order_by().values_list(*LIGHT))
    keyed = sorted((order_key(row, standings, sort, back), row[0]) for row in light)
    merits = sorted(standings[pk].merit for _, pk in keyed if pk in standings)
    return Ranking([pk for _, pk in keyed], [key for key, _ in keyed], merits, standings)


def order_key(row: tuple, standings: Mapping[int, Standing], sort: str, back: bool) -> Key:
    """What the order goes by: what is not known stands last both ways, then the last seen first."""
    pk, seen, bed, number, position, name = row
    if sort == "place":
        place = (bed is None, bed or "", number or 0, position or 0, name or "")
        return (*place, -pk) if not back else (place[0], _Back(place), pk)
    standing = standings.get(pk)
    value = getattr(standing, sort, None)
    seen_first = -seen.toordinal() if seen else 0
    # Who was never scored has a merit from its kin, and no plain mean.
    return (value is None, 0.0 if value is None else value if back else -value, seen_first, -pk)


class _Back:
    """A key that sorts the other way round."""

    def __init__(self, key: Key) -> None:
        self.key = key

    def __lt__(self, other: _Back) -> bool:
        return other.key < self.key

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Back) and self.key == other.key

    __hash__ = None


def behind(ranking: Ranking, after: str, sort: str, back: bool) -> int:
    """Where the page begins that follows the candidate of that key.

    One more query, even where the filters no longer leave that candidate.
    """
    if not is_key(after):
        return 0
    row = Candidate.live.filter(pk=int(after)).values_list(*LIGHT).first()
    if row is None:
        return 0
    key = order_key(row, ranking.standings, sort, back)
    at = bisect_left(ranking.sorted_by, key)
    there = at < len(ranking.keys) and ranking.keys[at] == row[0]
    return at + 1 if there else at


def lines_of(keys: Iterable[int], ranking: Ranking) -> list[Line]:
    """Lines of these candidates, in their order. Four queries."""
    keys = list(keys)
    found = Candidate.objects.select_related(*WITH).in_bulk(keys)
    judged, photos = judged_of(keys), photos_of(found.values())
    scale = scale_of(ranking.standings.values())
    return [
        Line(
            found[pk],
            standing := ranking.standings.get(pk),
            ranking.rank(pk),
            judged.get(pk, Judged()),
            bar_of(standing, scale),
            photos[pk],
        )
        for pk in keys
        if pk in found
    ]


def judged_of(keys: list[int]) -> dict[int, Judged]:
    """How often, by whom and when these were scored. One query."""
    judged: dict[int, Judged] = defaultdict(Judged)
    scores = Scoring.live.filter(candidate__in=keys)
    for pk, person, season in scores.values_list("candidate", "person", "season"):
        judged[pk].scores += 1
        judged[pk].people.add(person)
        judged[pk].seasons.add(season)
    return judged


def photos_of(candidates: Iterable[Candidate]) -> dict[int, list[Photo]]:
    """What was taken of each, as a seedling or as the plant it became, the newest first.

    Two queries.
    """
    candidates = list(candidates)
    found: dict[int, dict[int, Photo]] = defaultdict(dict)
    shown = CandidatePhoto.live.filter(candidate__in=candidates, photo__struck=False)
    for each in shown.select_related("photo__plant"):
        found[each.candidate_id][each.photo_id] = each.photo
    plants = {each.plant_id: each.pk for each in candidates if each.plant_id}
    for photo in Photo.live.filter(plant__in=plants).select_related("plant"):
        found[plants[photo.plant_id]][photo.pk] = photo
    return defaultdict(
        list, {pk: sorted(taken.values(), key=_newest) for pk, taken in found.items()}
    )


def _newest(photo: Photo) -> tuple[int, int]:
    return -photo.taken_on.toordinal() if photo.taken_on else 0, -photo.pk


def scale_of(standings: Iterable[Standing]) -> tuple[float, float]:
    """A scale in whole tens on which all these intervals lie."""
    standings = list(standings)
    low = min((each.low for each in standings), default=0)
    high = max((each.high for each in standings), default=100)
    least = SCALE_STEP * (low // SCALE_STEP)
    return least, max(least + SCALE_STEP, -SCALE_STEP * (-high // SCALE_STEP))


def bar_of(standing: Standing | None, scale: tuple[float, float]) -> str:
    return interval_bar(standing.merit, standing.low, standing.high, *scale) if standing else ""
