"""What the scores say of plants as parents, in the form in which plans of crosses take it."""

from __future__ import annotations

from breeding.worths import Judge, Value, Values
from evaluation.merit import criterion_values, the_merit
from evaluation.models import Candidate, Criterion
from garden.models import Garden

# Known by less than this is not known: its value is that of its parents or nought.
LEAST = 0.01


def values(garden: Garden, traits: list[str]) -> Values:
    """Breeding values of all plants, and their own marks of some criteria. Four queries at most
    when nothing moved since."""
    merit = {
        key: Value(worth.value, worth.error, worth.reliability)
        for key, worth in the_merit(garden).worths.items()
        if worth.reliability >= LEAST
    }
    if not traits:
        return Values(merit)
    judged = dict(Candidate.live.filter(plant__isnull=False).order_by().values_list("pk", "plant"))
    by_trait: dict[str, dict[int, float]] = {key: {} for key in traits}
    for candidate, marks in criterion_values(traits, judged).items():
        for key, share in marks.items():
            by_trait[key][judged[candidate]] = share
    return Values(merit, by_trait)


def traits() -> list[tuple[str, str]]:
    """The criteria of the rubrics in use, each once, in their order. A query."""
    criteria = Criterion.live.filter(rubric__struck=False, rubric__replaced_by=None)
    found = criteria.order_by("rubric__purpose", "order").values_list("key", "title")
    return list(dict(reversed(list(found))).items())[::-1]


JUDGE = Judge(values, traits)
