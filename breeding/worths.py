"""What plants are worth as parents, asked of whoever judges them; nothing where nobody does.

Breeding knows nothing of judging: the app that judges hands over its answers when it starts.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from garden.models import Garden


@dataclass(frozen=True, slots=True)
class Value:
    """A breeding value in points of 100 from the founders' mean, with its standard error.

    `reliability`, 0–1, says how much is known: 0 nothing, 1 all.
    """

    value: float
    error: float
    reliability: float


@dataclass(frozen=True, slots=True)
class Values:
    """Breeding values by plant, of all scores together and of single traits.

    `trait_spread` is the spread of breeding values of a trait, in points: what is not known of a
    plant of which nobody marked it.
    """

    merit: dict[int, Value] = field(default_factory=dict)
    traits: dict[str, dict[int, Value]] = field(default_factory=dict)
    trait_spread: dict[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Judge:
    """Who answers: the values of the garden's plants for some traits, and the traits there are."""

    values: Callable[[Garden, list[str]], Values]
    traits: Callable[[], list[tuple[str, str]]]


NOTHING = Values()
_judge: Judge | None = None


def judged_by(judge: Judge | None) -> None:
    """Hand over who answers; called once when the site starts."""
    global _judge
    _judge = judge


def values(garden: Garden, traits: list[str] | None = None) -> Values:
    """What is known of plants as parents; a model of merit may have to be solved first.

    The same object as long as nothing of it moved.
    """
    return _judge.values(garden, traits or []) if _judge else NOTHING


def traits() -> list[tuple[str, str]]:
    """(key, title) of what is scored in this garden. A query."""
    return _judge.traits() if _judge else []
