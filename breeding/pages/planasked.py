"""How the address of a goal's page asks for its pairs: weights, columns, limits, where to go on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any
from urllib.parse import urlencode

from django.http import QueryDict

from breeding.models import Goal
from breeding.pages.plans import COLUMNS, USUAL_WEIGHTS
from breeding.pages.planwords import weight

WEIGHTS = (0.0, 0.25, 0.5, 1.0, 2.0, 4.0)
ON_A_PAGE = 15
MOST_PAGES = 40
# In the address: no limit at all, and a middle point although the goal has a limit.
NO_LIMIT, MIDDLE = "none", "middle"
FREE = 1.0
TITLES = {
    "merit": "Merit",
    "chance": "Wanted types",
    "kinship": "Kinship",
    "overlap": "Bloom together",
    "fertility": "Pods set",
}


@dataclass(frozen=True)
class Asked:
    """What an address asks of a goal's plan.

    Attributes
    ----------
    weights : mapping of str to float
        By column, the goal's own where nothing else is asked.
    hidden : frozenset of str
        Columns that are not shown.
    limit : float or None
        Of the programme's kinship; None: a middle point of the curve, 1: no limit.
    near : bool
        Whether pairs that are never chosen are listed too.
    page : int
    """

    goal: Goal
    weights: Mapping[str, float]
    hidden: frozenset[str]
    limit: float | None
    near: bool = False
    page: int = 0

    @classmethod
    def of(cls, query: QueryDict, goal: Goal) -> Asked:
        """From an address; nonsense is passed over."""
        weights = {name: _weight(query.get(f"w_{name}", ""), own)
                   for name, own in own_weights(goal).items()}  # fmt: skip
        hidden: frozenset[str] = frozenset()
        if "asked" in query:
            hidden = frozenset(COLUMNS) - set(query.getlist("show"))
        page = query.get("page", "")
        digits = page.isascii() and page.isdigit() and len(page) < 4
        return cls(
            goal,
            weights,
            hidden,
            _limit(query.get("limit", ""), goal.set_limit),
            query.get("near") == "1",
            min(int(page), MOST_PAGES) if digits else 0,
        )

    @property
    def other_weights(self) -> bool:
        return dict(self.weights) != own_weights(self.goal)

    @property
    def other_limit(self) -> bool:
        return self.limit != self.goal.set_limit

    @property
    def differs(self) -> bool:
        """Whether anything is asked that could be kept with the goal."""
        return self.other_weights or self.other_limit

    @property
    def limit_told(self) -> str:
        """The limit as the address says it."""
        if self.limit is None:
            return MIDDLE
        return NO_LIMIT if self.limit >= FREE else f"{self.limit:.6g}"

    @property
    def first(self) -> int:
        return self.page * ON_A_PAGE

    def told(self) -> dict[str, Any]:
        """What is not the goal's own, as the address says it, hidden columns left out."""
        own = own_weights(self.goal)
        told: dict[str, Any] = {
            f"w_{name}": f"{number:g}" for name, number in self.weights.items()
            if number != own[name]
        }  # fmt: skip
        if self.other_limit:
            told["limit"] = self.limit_told
        if self.near:
            told["near"] = 1
        return told

    def query(self, **more: Any) -> str:
        """'?w_merit=2&limit=0.06' with only what is not the goal's own; '' for that."""
        told: list[tuple[str, Any]] = list(self.told().items())
        if self.hidden:
            told += [("asked", 1), *(("show", name) for name in COLUMNS if name not in self.hidden)]
        told += more.items()
        return f"?{urlencode(told)}" if told else ""

    def at_limit(self, limit: float | None) -> str:
        """The address of the same with another limit of the programme's kinship."""
        return replace(self, limit=limit, page=0).query() or "?"

    def at_page(self, page: int) -> str:
        return self.query(page=page)

    def choices(self) -> list[dict[str, Any]]:
        """The controls of the columns: weight and whether it is shown."""
        return [
            {
                "name": name,
                "title": TITLES[name],
                "shown": name not in self.hidden,
                "weights": [
                    (f"{number:g}", "not counted" if not number else weight(number), number == now)
                    for number in sorted({*WEIGHTS, now, USUAL_WEIGHTS[name]})
                ],
            }
            for name, now in self.weights.items()
        ]

    @property
    def words(self) -> str:
        """'merit 1, wanted types 1, kinship ½'."""
        counted = [f"{TITLES[name].lower()} {weight(number)}"
                   for name, number in self.weights.items() if number]  # fmt: skip
        return ", ".join(counted) or "nothing counts"


def own_weights(goal: Goal) -> dict[str, float]:
    """What the columns count by the goal itself."""
    told = {name: float(number) for name, number in goal.weights.items() if name in COLUMNS}
    return USUAL_WEIGHTS | told


def _weight(text: str, own: float) -> float:
    try:
        number = float(text[:20])
    except ValueError:
        return own
    return number if 0 <= number <= 100 else own


def _limit(text: str, own: float | None) -> float | None:
    if text in (NO_LIMIT, MIDDLE):
        return FREE if text == NO_LIMIT else None
    try:
        number = float(text[:20])
    except ValueError:
        return own
    return number if 0 <= number <= 1 else own
