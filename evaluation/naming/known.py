"""Proposed names beside the names of this stock: findings of the rules and likenesses."""

from __future__ import annotations

import threading
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from evaluation.models import ProposedName
from garden import finding
from garden.epithets import Finding, Like, Name, Names, Severity, check, corrected, counted
from garden.models import Garden, Plant, fold
from garden.models.stock import UNKNOWN

MOST_LIKES = 8
# A parent that is written as a whole parentage is no name.
NO_NAME = frozenset("×()[]{}=")
Key = tuple[str, int]


@dataclass(frozen=True, slots=True)
class Resembling:
    """A name that the proposed one is like: where it stands here, and in which way it is alike."""

    like: Like
    plant: int | None
    where: str

    @property
    def name(self) -> str:
        return self.like.known.text


@dataclass(frozen=True)
class Looked:
    """A name looked at: as it would be written, better so, findings and names it is like."""

    text: str
    better: str
    signs: int
    findings: list[Finding]
    likes: list[Resembling]

    @property
    def all_findings(self) -> list[Finding]:
        """Findings of the rules and of likeness, the gravest first."""
        order = list(Severity)
        found = [*self.findings, *(each.like.finding for each in self.likes)]
        return sorted(found, key=lambda each: order.index(each.severity))

    @property
    def worst(self) -> str:
        """'breaks', 'doubt', 'note', or '' where nothing is to be said."""
        return next((each.severity.value for each in self.all_findings), "")

    @property
    def count(self) -> dict[str, int]:
        """How many findings of each severity."""
        found = self.all_findings
        return {one.value: sum(each.severity == one for each in found) for one in Severity}


_held: tuple[finding.Names, Names] | None = None
_lock = threading.Lock()


def the_names(garden: Garden | None = None) -> Names:
    """Every name of the stock made ready to be compared, those of parents known as words too.

    Made again when the stock has moved. Two queries then, one at most otherwise.
    """
    global _held
    stock = finding.names(garden.stock_version if garden else None)
    held = _held
    if held is None or held[0] is not stock:
        with _lock:
            held = _held
            if held is None or held[0] is not stock:
                _held = held = (stock, Names(_read(), before=held[1] if held else None))
    return held[1]


def _read() -> Iterator[tuple[str, Key]]:
    seen = set()
    parents: list[tuple[str, int]] = []
    columns = ("pk", "name", "folded", "seed_parent_text", "pollen_parent_text")
    for pk, name, folded, *texts in Plant.live.values_list(*columns):
        parents += [(text, pk) for text in texts if text]
        if name:
            seen.add(folded)
            yield name, ("plant", pk)
    for text, pk in parents:
        folded = fold(text)
        if folded not in seen and folded != UNKNOWN and not NO_NAME & set(text):
            seen.add(folded)
            yield text, ("parent", pk)


def look_at(text: str, garden: Garden | None = None, plant: Plant | None = None) -> Looked:
    """A name proposed for a plant, looked at by the rules and beside all other names.

    Two queries while the names are in memory, and one where one is like it.
    """
    others = ProposedName.live.filter(state=ProposedName.State.OPEN)
    if plant:
        others = others.exclude(plant=plant)
    proposed = list(others.values_list("text", "plant"))
    return looked([text], the_names(garden), proposed, plant)[0]


def looked(
    texts: Iterable[str],
    names: Names,
    proposed: Iterable[tuple[str, int]],
    plant: Plant | None = None,
) -> list[Looked]:
    """Several names looked at; `proposed` names for other plants, with their plants' keys."""
    beside = Names([(text, ("proposed", pk)) for text, pk in proposed])
    likes = {text: [*names.like(text), *beside.like(text)] for text in texts}
    keys = {like.known.key[1] for found in likes.values() for like in found}
    plants = Plant.live.in_bulk(keys) if keys else {}
    return [
        Looked(
            Name.read(text).text,
            corrected(text),
            counted(text),
            check(text),
            _placed(found, plants, plant),
        )
        for text, found in likes.items()
    ]


def _placed(likes: list[Like], plants: dict[int, Plant], own: Plant | None) -> list[Resembling]:
    found = []
    for like in likes:
        where, pk = like.known.key
        if own is not None and where == "plant" and pk == own.pk:
            continue
        plant = plants.get(pk)
        if plant is not None:
            found.append(Resembling(like, pk, _where(where, plant)))
    return found[:MOST_LIKES]


def _where(kind: str, plant: Plant) -> str:
    if kind == "plant":
        words = plant.get_status_display() if plant.status != Plant.Status.GROWING else ""
        return " · ".join(str(one) for one in (plant.iris_class, plant.year, words) if one)
    if kind == "parent":
        return f"a parent of {plant}, known by its name only"
    return f"proposed for {plant}"
