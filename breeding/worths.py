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
    """A breeding value in points of 100 from the founders' mean, with its standard error."""

    value: float
    error: float
    reliability: float


@dataclass(frozen=True, slots=True)
class Values:
    """Breeding values by plant, and by trait the mean share of full marks, 0–1, by plant."""

    merit: dict[int, Value] = field(default_factory=dict)
    traits: dict[str, dict[int, float]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Judge:
    """Who answers: the values of the garden's plants for some traits, and the traits there are."""

    values: Callable[[Garden, list[str]], Values]
    traits: Callable[[], list[tuple[str, str]]]


_judge: Judge | None = None


def judged_by(judge: Judge | None) -> None:
    """Hand over who answers; called once when the site starts."""
    global _judge
    _judge = judge


def values(garden: Garden, traits: list[str] | None = None) -> Values:
    """What is known of plants as parents; a model of merit may have to be solved first."""
    return _judge.values(garden, traits or []) if _judge else Values()


def traits() -> list[tuple[str, str]]:
    """(key, title) of what is scored in this garden. A query."""
    return _judge.traits() if _judge else []
