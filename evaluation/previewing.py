"""How last season's ranking would change were the criteria weighed otherwise. Writes nothing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from django.utils.html import format_html, format_html_join

from evaluation.choosing import WITH
from evaluation.models import Candidate, Rubric, Scoring
from garden.verbs import plural

SHOWN = 15


@dataclass(frozen=True, slots=True)
class Moved:
    """One candidate before and after; ranks from 1, merits in points of 100."""

    candidate: Candidate
    rank: int
    rank_before: int
    merit: float
    merit_before: float

    @property
    def up(self) -> int:
        """Places won; below 0 places lost."""
        return self.rank_before - self.rank

    @property
    def moved_by(self) -> bool:
        """Whether its merit is another, as it is shown."""
        return f"{self.merit:.1f}" != f"{self.merit_before:.1f}"

    @property
    def words(self) -> str:
        """'up 3', 'down 8', 'stays'."""
        if not self.up:
            return "stays"
        return f"{'up' if self.up > 0 else 'down'} {abs(self.up)}"

    @property
    def name(self) -> str:
        """What the table calls it: its number, or its cross and position."""
        one = self.candidate
        return str(one.plant) if one.plant_id else f"{one.row.cross} · {one.position}"


@dataclass(frozen=True)
class Preview:
    """The first candidates of `season` under other weights.

    `total` candidates were scored in that season, with `scores` scores under any version of the
    rubric. `moved` are the first by the new weights, `fallen` those of the first before that are
    no more among them. `correlation` is Spearman's of all ranks before and after.
    """

    season: int
    total: int
    scores: int
    moved: list[Moved]
    fallen: list[Moved]
    correlation: float
    as_it_stands: bool = False

    @property
    def stay(self) -> int:
        """How many of the first before are among the first still."""
        return len(self.moved) - len(self.fallen)

    @property
    def still(self) -> bool:
        """Whether nobody among the first changes its place."""
        return not self.fallen and not any(each.up for each in self.moved)

    @property
    def sentence(self) -> str:
        """'12 of the first 15 stay; 26-014C falls from 3 to 11.', names kept in one piece."""
        many = len(self.moved)
        if self.as_it_stands:
            return f"The first {many} as they stand: change a weight and see them move."
        if self.still:
            return f"The first {many} keep their places."
        text = f"{self.stay} of the first {many} stay"
        if self.stay == many:
            text = f"The first {many} stay the first, in another order"
        told = [self._furthest(-1, "falls"), self._furthest(1, "climbs")]
        return format_html("{}{}.", text, format_html_join("", "; {}", ((t,) for t in told if t)))

    def _furthest(self, way: int, verb: str) -> str:
        moves = [each for each in (*self.moved, *self.fallen) if each.up * way > 0]
        if not moves:
            return ""
        one = max(moves, key=lambda each: (abs(each.up), -each.rank_before))
        return format_html(
            '<span class="tight">{}</span> {} from {} to {}',
            one.name, verb, one.rank_before, one.rank,
        )  # fmt: skip

    @property
    def alike(self) -> str:
        """The correlation in words."""
        if self.correlation != self.correlation:
            return "Too few to compare the two orders"
        word = next(
            word
            for least, word in (
                (0.995, "All but the same order as before"),
                (0.95, "Nearly the same order as before"),
                (0.8, "Much the same order as before"),
                (0.5, "A rather different order"),
                (-2, "Another order altogether"),
            )
            if self.correlation >= least
        )
        return f"{word}: rank correlation {self.correlation:.2f}".replace("-", "−")


def last_season() -> int | None:
    """The newest season in which somebody scored. One query."""
    seasons = Scoring.live.order_by("-season").values_list("season", flat=True)
    return seasons.first()


def preview(rubric: Rubric, weights: Mapping[str, float] | None = None) -> Preview | None:
    """The last season with scores under these weights, or as it stands; None without scores.

    Raises
    ------
    ValueError
        When a weight is below 0, or no criterion weighs anything.
    """
    from evaluation.merit import reweighted, the_merit
    from evaluation.ranking.points import places

    season = last_season()
    if season is None:
        return None
    given = Scoring.live.filter(season=season, candidate__struck=False)
    keys = sorted(set(given.order_by().values_list("candidate", flat=True)))
    standings = the_merit().standings
    keys = [key for key in keys if key in standings]
    before = {key: standings[key].merit for key in keys}
    after = before if weights is None else reweighted(weights, rubric)
    keys = [key for key in keys if key in after]
    if not keys:
        return None
    # Below a hundredth of a point it is rounding.
    ranks_before = places([round(before[key], 2) for key in keys]).tolist()
    ranks = places([round(after[key], 2) for key in keys]).tolist()
    rows = list(zip(keys, ranks, ranks_before, strict=True))
    first = sorted(rows, key=lambda row: (row[1], row[2], row[0]))[:SHOWN]
    first_before = sorted(rows, key=lambda row: (row[2], row[1], row[0]))[:SHOWN]
    there = {row[0] for row in first}
    fallen = sorted((row for row in first_before if row[0] not in there), key=lambda row: row[1])
    found = Candidate.objects.select_related(*WITH).in_bulk([row[0] for row in (*first, *fallen)])

    def moved(row: tuple[int, int, int]) -> Moved:
        key, rank, rank_before = row
        return Moved(found[key], rank, rank_before, after[key], before[key])

    return Preview(
        season=season,
        total=len(keys),
        scores=given.filter(rubric__name=rubric.name).count(),
        moved=[moved(row) for row in first],
        fallen=[moved(row) for row in fallen],
        correlation=spearman([after[key] for key in keys], [before[key] for key in keys]),
        as_it_stands=weights is None,
    )


def spearman(one: list[float], other: list[float]) -> float:
    """Spearman's rank correlation, mean ranks for ties; NaN for fewer than two or no difference.

    >>> round(spearman([1, 2, 3], [3, 2, 1]), 6)
    -1.0
    """
    import numpy as np

    from evaluation.ranking.concordance import ranks

    if len(one) < 2:
        return float("nan")
    placed = ranks([one, other])
    apart = placed - placed.mean(axis=1, keepdims=True)
    spread = float(np.sqrt((apart**2).sum(axis=1).prod()))
    return float((apart[0] * apart[1]).sum() / spread) if spread else float("nan")


def under_words(told: Preview, rubric: Rubric) -> str:
    """On what the preview rests."""
    if not told.scores:
        return f"No score of {told.season} was given by {rubric.name}: its weights move nothing."
    return (
        f"{plural(told.total, 'seedling')} scored in {told.season}, "
        f"{plural(told.scores, 'score')} by {rubric.name}."
    )
