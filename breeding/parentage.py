"""A pasted parentage beside the stock: what it would link and what it would bring."""

from __future__ import annotations

import itertools
import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field

from breeding.notation import (
    Node,
    ParentageError,
    Plan,
    PlannedPlant,
    pedigree_of,
    plan,
    read_parentage,
    read_purdy,
)
from garden.models import Plant, fold
from garden.models.stock import UNKNOWN

# A page of names; more comes as a plant list.
LONGEST = 20_000
MOST_CREATED = 500
# SQLite takes only so many values in one question.
AT_ONCE = 500
SIDES = ("seed", "pollen")
LONGEST_NUMBER = 40


@dataclass
class Look:
    """What a text would do to the stock.

    `plants` : records by key, all that the text speaks of. `fills` : place in the plan -> fields
    to be written on a plant of the stock, a parent as its place. `problems` : sentences that
    forbid it, `notes` sentences that do not.
    """

    plan: Plan[int]
    plants: dict[int, Plant]
    fills: dict[int, dict[str, int | str]] = field(default_factory=dict)
    problems: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    labels: list[str] = field(default_factory=list)

    @property
    def created(self) -> list[int]:
        """Places of the plants that the stock does not hold yet, parents before children."""
        return [at for at, one in enumerate(self.plan.plants) if one.created]

    @property
    def linked(self) -> list[int]:
        """Places of the plants that stand in the stock, the one whose parentage it is left out."""
        return [
            at
            for at, one in enumerate(self.plan.plants)
            if one.key is not None and at != self.plan.root
        ]


def read(text: str) -> Node:
    """The text as a tree, in breeders' notation or, where it has strokes only, in Purdy's.

    Raises ParentageError with the position.
    """
    if len(text) > LONGEST:
        raise ParentageError(LONGEST, f"The text is longer than {LONGEST:,} signs.")
    tree = read_parentage(text)
    if tree.parents is None and tree.sib_of is None and "/" in text:
        return read_purdy(text)
    return tree


def look_at(plant: Plant, text: str) -> Look:
    """Compare a parentage of `plant` with the stock. Nothing is written.

    Raises ParentageError for a text that cannot be read. Queries: those for the names, and one a
    generation of the recorded ancestors.
    """
    tree = read(text)
    if tree.name is not None and tree.parents is None and tree.sib_of is None:
        raise ParentageError(
            tree.position, "Two parents with × between them are wanted, not one name."
        )
    known, several = _answering(pedigree_of(tree, fold).names)
    if tree.name is not None and fold(tree.name) in (plant.folded, fold(plant.number)):
        several.pop(fold(tree.name), None)
        known[fold(tree.name)] = plant.pk
    recorded = _recorded({plant.pk, *known.values(), *(one for pks in several.values()
                                                       for one in pks)})  # fmt: skip
    planned = plan(
        tree,
        known,
        fold,
        parents={pk: (one.seed_parent_id, one.pollen_parent_id) for pk, one in recorded.items()},
        label=lambda pk: recorded[pk].label,
        several=several,
        root=plant.pk,
    )
    look = Look(planned, recorded, notes=list(planned.notes))
    _complain(look, plant)
    _name(look, plant)
    for at, one in enumerate(planned.plants):
        if one.key is not None:
            _fill(look, at, one)
    if not look.problems and not look.created and not look.fills:
        look.problems.append("All of this is recorded already.")
    return look


def _answering(names: Iterable[str | None]) -> tuple[dict[str, int], dict[str, list[int]]]:
    """Plants of the stock by folded name; and, where a number names several, those.

    A plant's name goes before another's number, as the name is there only once.
    """
    wanted = {fold(name): name for name in names if name}
    known: dict[str, int] = {}
    for part in _parts(wanted):
        known |= dict(Plant.live.filter(folded__in=part).values_list("folded", "pk"))
    left = [name for folded, name in wanted.items() if folded not in known]
    numbered: dict[str, list[int]] = {}
    for part in _parts(left):
        found = Plant.live.filter(number__in=part).values_list("number", "pk").order_by("pk")
        for number, pk in found:
            numbered.setdefault(fold(number), []).append(pk)
    known |= {folded: pks[0] for folded, pks in numbered.items() if len(pks) == 1}
    return known, {folded: pks for folded, pks in numbered.items() if len(pks) > 1}


def _parts(names: Iterable[str]) -> list[list[str]]:
    names = list(names)
    return [names[at : at + AT_ONCE] for at in range(0, len(names), AT_ONCE)]


def _recorded(keys: set[int]) -> dict[int, Plant]:
    """The plants and all their ancestors on record. One query a generation."""
    found: dict[int, Plant] = {}
    ring = keys
    while ring:
        met: dict[int, Plant] = {}
        for part in _parts(sorted(ring)):
            met |= Plant.live.in_bulk(part)
        found |= met
        up = {pk for one in met.values() for pk in (one.seed_parent_id, one.pollen_parent_id)}
        ring = up - found.keys() - {None}
    return found


def _complain(look: Look, plant: Plant) -> None:
    """Everything that forbids to take the text."""
    planned = look.plan
    root = planned.plants[planned.root]
    if root.key != plant.pk:
        look.problems.append(f"This is the parentage of {root.name}, not of {plant}.")
    look.problems += [conflict.sentence for conflict in planned.conflicts]
    for one in planned.ambiguous:
        answers = ", ".join(look.plants[pk].label for pk in one.candidates[:6])
        look.problems.append(
            f"“{one.name}” may be several plants here: {answers}. Write the name instead."
        )
    if len(planned.created) > MOST_CREATED:
        look.problems.append(
            f"The text names {len(planned.created):,} plants that are new here; "
            f"at most {MOST_CREATED} come in at once."
        )


def _name(look: Look, plant: Plant) -> None:
    """A label for each plant of the text; one without gets a number that says whose it is."""
    planned = look.plan
    look.labels = [
        look.plants[one.key].label if one.key is not None else one.name or ""
        for one in planned.plants
    ]
    nameless = [at for at, label in enumerate(look.labels) if not label]
    if not nameless:
        return
    taken = set(Plant.live.filter(folded__startswith="(").values_list("folded", flat=True))
    # Children first, so that each is called after the nearest plant that has a name of its own.
    whose: dict[int, tuple[str, int]] = {planned.root: (plant.label, 0)}
    given: Counter[tuple[str, str]] = Counter()
    unnamed = set(nameless)
    for at in reversed(range(len(planned.plants))):
        label, steps = whose.get(at, (plant.label, 0))
        if at not in unnamed:
            label, steps = look.labels[at], 0
        else:
            look.labels[at] = _number(label, steps, taken, given)
        for parent in planned.plants[at].parents or ():
            if parent is not None:
                whose.setdefault(parent, (label, steps + 1))


def _number(label: str, steps: int, taken: set[str], given: Counter[tuple[str, str]]) -> str:
    """'(parent of X)', or '(parent of X, 2)' when that is taken; it is added to `taken`.

    `given` counts the numbers of each kind, so that the search goes on where it ended.
    """
    word = {1: "parent", 2: "grandparent"}.get(steps, "ancestor")
    for count in itertools.count(given[word, label] + 1):
        given[word, label] = count
        end = ")" if count == 1 else f", {count})"
        room = LONGEST_NUMBER - len(f"({word} of {end}")
        short = label if len(label) <= room else label[: room - 1].rstrip() + "…"
        number = f"({word} of {short}{end}"
        if fold(number) not in taken:
            break
    taken.add(fold(number))
    return number


def _fill(look: Look, at: int, one: PlannedPlant[int]) -> None:
    """What is to be written on a plant of the stock; a text that stands there must agree."""
    plant = look.plants[one.key]
    fields: dict[str, int | str] = {}
    for side, parent in zip(SIDES, one.parents or (None, None), strict=True):
        words = getattr(plant, f"{side}_parent_text")
        if side in one.fills:
            said = look.labels[parent]
            if fold(words) not in ("", UNKNOWN, fold(said)):
                look.problems.append(
                    f"The {side} parent of {plant} is {said} here, but written is “{words}”."
                )
            fields[f"{side}_parent"] = parent
        elif parent is None and one.parents is not None and not plant.has_parents:
            fields[f"{side}_parent_text"] = UNKNOWN
    if fields:
        look.fills[at] = fields


def looks_like_number(name: str) -> bool:
    """Whether a name is a breeder's number, such as 14-031C, rather than words.

    >>> looks_like_number("H 114-B"), looks_like_number("Lantern 7")
    (True, False)
    """
    return bool(re.search(r"\d", name)) and not re.search(r"[^\W\d_]{4}", name)
