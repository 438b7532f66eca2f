"""The verbs of rubrics: a new one, and a new version of one; never a change under scores."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from breeding.records.common import fitting
from evaluation.models import Criterion, Rubric
from garden.records.people import owner_only
from garden.verbs import Act, Refused, plural, verb

FIELDS = ("key", "title", "group", "scale", "weight", "least", "full", "unit", "choices", "counted",
          "full_words")  # fmt: skip
MOST_CRITERIA = 40
MOST_WEIGHT = 1000
MOST_POINTS, MOST_COUNT = 20, 1000


@verb
def write_rubric(
    act: Act,
    *,
    name: str,
    purpose: str,
    criteria: Sequence[Mapping[str, Any]],
    source: str = "",
    reason: str = "",
) -> tuple[Rubric, str]:
    """Write a rubric with its criteria, each a mapping of the fields of `Criterion`."""
    owner_only(act)
    name = fitting(name, 60, "name")
    if not name:
        raise Refused("Give the rubric a name.", "name")
    if Rubric.live.filter(name__iexact=name).exists():
        raise Refused(f"There is a rubric ‘{name}’ already: write a new version of it.", "name")
    rubric = _written(act, name, 1, purpose, source, reason, criteria)
    return (
        rubric,
        f"Wrote the rubric {rubric} with {plural(len(criteria), 'criterion', 'criteria')}",
    )


@verb
def revise_rubric(
    act: Act,
    *,
    rubric: Rubric,
    reason: str,
    criteria: Sequence[Mapping[str, Any]] | None = None,
    weights: Mapping[str, float] | None = None,
) -> tuple[Rubric, str]:
    """Write the next version of a rubric: other `criteria`, or other `weights` by their keys.

    Scores given under the older version stay with it.
    """
    owner_only(act)
    rubric = Rubric.objects.get(pk=rubric.pk)
    if rubric.struck:
        raise Refused("This rubric was struck out.")
    if rubric.replaced_by_id:
        raise Refused(f"{rubric} was replaced by {rubric.replaced_by}: change that one.")
    if not reason.strip():
        raise Refused("Write why it is changed.", "reason")
    act.reason = reason = fitting(reason, 400, "reason")
    before = [fields_of(each) for each in Criterion.live.filter(rubric=rubric)]
    after = [dict(each) for each in criteria] if criteria is not None else before
    if unknown := set(weights or ()) - {each["key"] for each in after}:
        raise Refused(f"{rubric} has no criterion {', '.join(sorted(unknown))}.")
    after = [{**each, "weight": (weights or {}).get(each["key"], each["weight"])} for each in after]
    if after == before:
        raise Refused("Nothing was changed.")
    number = (
        Rubric.objects.filter(name=rubric.name).order_by("-version").values_list("version")[0][0]
    )
    new = _written(act, rubric.name, number + 1, rubric.purpose, rubric.source, reason, after)
    act.change(rubric, replaced_by=new)
    return new, f"Wrote {new}, which replaces version {rubric.version}: {reason}"


def fields_of(criterion: Criterion) -> dict[str, Any]:
    """A criterion as the mapping that the verbs take."""
    return {name: getattr(criterion, name) for name in FIELDS}


def _written(
    act: Act,
    name: str,
    version: int,
    purpose: str,
    source: str,
    reason: str,
    criteria: Sequence[Mapping[str, Any]],
) -> Rubric:
    if not 1 <= len(criteria) <= MOST_CRITERIA:
        raise Refused(f"A rubric has from 1 to {MOST_CRITERIA} criteria.")
    titles = {str(each["title"]).strip().casefold() for each in criteria}
    if len({each["key"] for each in criteria}) < len(criteria) or len(titles) < len(criteria):
        raise Refused("Two criteria have the same name.")
    if not 1 <= sum(float(each["weight"]) for each in criteria) <= MOST_WEIGHT:
        raise Refused(f"The weights add up to 1 at least, and {MOST_WEIGHT} at most.", "weights")
    rubric = act.make(
        Rubric(
            name=name,
            version=version,
            purpose=purpose,
            source=fitting(source, 300, "source"),
            reason=reason,
        )
    )
    for order, each in enumerate(criteria):
        _check(each)
        act.make(Criterion(rubric=rubric, order=order, **each))
    return rubric


def _check(criterion: Mapping[str, Any]) -> None:
    """Refuse what no scale can be."""
    title, name = criterion["title"], f"weight_{criterion['key']}"
    if float(criterion["weight"]) < 0:
        raise Refused(f"{title}: a weight is not below 0.", name)
    if criterion["scale"] == Criterion.Scale.CHOICE:
        shares = [share for _, share in criterion["choices"]]
        if len(shares) < 2 or not all(0 <= share <= 1 for share in shares):
            raise Refused(f"{title}: a choice has two words or more, each worth from 0 to 1.")
    elif criterion["least"] == criterion["full"]:
        raise Refused(f"{title}: full marks need another value than none.")
    low, high = sorted((float(criterion["least"]), float(criterion["full"])))
    most = MOST_POINTS if criterion["scale"] == Criterion.Scale.POINTS else MOST_COUNT
    whole = criterion["scale"] in (Criterion.Scale.POINTS, Criterion.Scale.COUNT)
    if low < 0 or high > most or (whole and (low % 1 or high % 1)):
        kind = "whole numbers" if whole else "numbers"
        raise Refused(f"{title}: nothing and full marks are {kind} from 0 to {most}.")
    if criterion.get("counted") and criterion["scale"] != Criterion.Scale.COUNT:
        raise Refused(f"{title}: what is counted from the stalk is a count.")
