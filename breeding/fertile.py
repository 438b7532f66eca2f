"""How readily the garden's plants set, seed and come up, as all its crosses tell; in memory."""

from __future__ import annotations

import threading
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

from django.db.models import Count, F, Sum

from breeding.models import Cross, Pollination, Pot

if TYPE_CHECKING:
    from breeding.fertility import Attempt, Germination, PodSet, Seeds, Sowing, Yield

MOVING = ("pods", "failed", "seeds", "sown", "up")
WEIGHED_UP = Sum(F("up") * F("pk"))
PARENTS = ("seed_parent", "pollen_parent")


@dataclass(frozen=True)
class Fertility:
    """Pod set, seeds in a pod and germination, each pooled over the garden when first asked for."""

    key: tuple[Any, ...]
    attempts: Sequence[Attempt]
    yields: Sequence[Yield]
    sowings: Sequence[Sowing]

    @cached_property
    def pods(self) -> PodSet:
        from breeding.fertility import fit_pods

        return fit_pods(self.attempts)

    @cached_property
    def seeds(self) -> Seeds:
        from breeding.fertility import fit_seeds

        return fit_seeds(self.yields)

    @cached_property
    def germination(self) -> Germination:
        from breeding.fertility import fit_germination

        return fit_germination(self.sowings)


_held: Fertility | None = None
_lock = threading.Lock()


def forget() -> None:
    """Let the held answer go; the next question reads all crosses again."""
    global _held
    _held = None


def the_fertility() -> Fertility:
    """The garden's fertility, worked out again when a count or a parent has moved.

    Three queries over sums when nothing moved, three more otherwise.
    """
    global _held
    key = _state()
    held = _held
    if held is None or held.key != key:
        with _lock:
            held = _held
            if held is None or held.key != key:
                _held = held = _read(key)
    return held


def _state() -> tuple[Any, ...]:
    """Sums that move with every count; weighed by key, so that a flower moved to another cross
    shows too."""
    weighed = {f"{name}_sum": Sum(F(name) * F("pk")) for name in (*MOVING, *PARENTS)}
    told = Cross.live.aggregate(count=Count("pk"), **weighed)
    pods = Pollination.live.aggregate(seeds=Sum(F("seeds") * F("pk")))
    pots = Pot.live.filter(counted_on__isnull=False).aggregate(count=Count("pk"), up=WEIGHED_UP)
    return (*told.values(), *pods.values(), *pots.values())


def _read(key: tuple[Any, ...]) -> Fertility:
    from breeding.fertility import Attempt, Sowing, Yield

    attempts = [
        Attempt(seed, pollen, pods + failed, pods)
        for seed, pollen, pods, failed in Cross.live.filter(pods__gt=-F("failed")).values_list(
            "seed_parent", "pollen_parent", "pods", "failed"
        )
    ]
    pods = Pollination.live.filter(seeds__isnull=False, cross__struck=False)
    yields = [
        Yield(seed, pollen, seeds)
        for seed, pollen, seeds in pods.values_list(
            "cross__seed_parent", "cross__pollen_parent", "seeds"
        )
    ]
    pots = Pot.live.filter(counted_on__isnull=False, cup__cross__struck=False)
    sowings = [
        Sowing(seed, pollen, sown, min(up, sown))
        for seed, pollen, sown, up in pots.values_list(
            "cup__cross__seed_parent", "cup__cross__pollen_parent", "seeds", "up"
        )
    ]
    return Fertility(key, attempts, yields, sowings)
