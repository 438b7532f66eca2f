"""How many days a stalk is in bloom: a stated model, simulated.

The model is common practice put into numbers, with no published source: the terminal opens first,
the branches follow from the top downward, and within a socket one flower opens after the other, so
that a second bud stands behind the first. Every number of it is in `Opening` and can be set.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, TypeAlias

from evaluation.stalk.stalk import MOST_BRANCHES, MOST_BUDS, MOST_SPURS, Stalk

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats: TypeAlias = NDArray[np.float64]

DRAWS = 2000
SEED = 26


@dataclass(frozen=True)
class Opening:
    """How flowers open, in days. All are assumptions from common practice; set them to a garden.

    Parameters
    ----------
    flower_life_days, life_spread
        Mean and standard deviation of the time one flower is open.
    pause, pause_spread
        From one flower's fading to the next one's opening in the same socket; below 0 they
        overlap. No flower opens before the one in front of it has opened.
    stagger, stagger_spread
        Each branch begins that many days after the one above it, the first after the terminal,
        which begins at day 0; spurs, near the top, begin half a step after the terminal. The
        spread is that of every socket's own beginning.
    """

    flower_life_days: float = 3.0
    life_spread: float = 0.75
    pause: float = 1.0
    pause_spread: float = 1.0
    stagger: float = 2.0
    stagger_spread: float = 1.0

    def __post_init__(self) -> None:
        values = list(self.__dict__.values())
        if not all(map(math.isfinite, values)):
            raise ValueError("How flowers open is told in days, each a number.")
        if not self.flower_life_days > 0:
            raise ValueError("A flower is open for more than no time: give its days.")
        if min(self.life_spread, self.pause_spread, self.stagger, self.stagger_spread) < 0:
            raise ValueError("Spreads and the days between sockets are 0 or more.")

    def explained(self) -> str:
        """The model in one sentence, for the page."""
        rest = (
            f"each next one in a socket {_days(self.pause)} after the one before has faded"
            if self.pause >= 0
            else f"each next one in a socket {_days(-self.pause)} before the one before fades"
        )
        return (
            f"Reckoned, not observed: a flower open for about {_days(self.flower_life_days)}, "
            f"{rest}, and each socket down the stalk beginning {_days(self.stagger)} later."
        )


def _days(value: float) -> str:
    number = f"{round(value, 1):g}"
    return f"{number} day" if number == "1" else f"{number} days"


@dataclass(frozen=True)
class Bloom:
    """Days on which at least one flower is open: mean, and where 90 of 100 such stalks fall.

    `first_buds_only` is the mean had every socket one bud at most; `from_first_to_last` counts
    the days without an open flower in between as well.
    """

    days: float
    low: float
    high: float
    first_buds_only: float
    from_first_to_last: float

    def sentence(self) -> str:
        if self.days == 0:
            return "No buds, no bloom."
        told = f"About {self.days:.0f} days in bloom ({self.low:.0f} to {self.high:.0f})"
        if round(self.days) > round(self.first_buds_only):
            told += f"; {self.first_buds_only:.0f} if each socket had one bud"
        return told + "."


@lru_cache(maxsize=4096)
def bloom_days(stalk: Stalk, opening: Opening = Opening()) -> Bloom:  # noqa: B008
    """Expected days on which `stalk` has at least one open flower, with a 90% interval.

    2,000 stalks are simulated from a fixed seed, and each bud has draws of its own. So the same
    stalk has the same answer every time, and one more bud never shortens bloom: all the others
    open as they did. Lives of flowers are lognormal, pauses and beginnings normal (see
    `Opening`); the days are the length of the time covered by the open flowers together.

    Parameters
    ----------
    stalk
        Buds per socket.
    opening
        The model's numbers, in days.
    """
    import numpy as np

    kept = _open_times(stalk, opening)
    if kept is None:
        return Bloom(0.0, 0.0, 0.0, 0.0, 0.0)
    opens, fades, first = kept
    days = _covered(opens, fades)
    low, high = np.quantile(days, (0.05, 0.95))
    return Bloom(
        days=float(days.mean()),
        low=float(low),
        high=float(high),
        first_buds_only=float(_covered(opens[:, first], fades[:, first]).mean()),
        from_first_to_last=float((fades.max(axis=1) - opens.min(axis=1)).mean()),
    )


@lru_cache(maxsize=1)
def _noise() -> tuple[Floats, Floats, Floats]:
    """Standard normal draws: beginnings (draws, sockets); lives, pauses (draws, sockets, buds)."""
    import numpy as np

    rng = np.random.default_rng(SEED)
    sockets = 1 + MOST_BRANCHES + MOST_SPURS
    return (
        rng.standard_normal((DRAWS, sockets)),
        rng.standard_normal((DRAWS, sockets, MOST_BUDS)),
        rng.standard_normal((DRAWS, sockets, MOST_BUDS)),
    )


# Where a socket's own draws stand, and how many steps below the terminal it begins.
_PLACES = {"terminal": (0, 0.0), "branch": (1, 1.0), "spur": (1 + MOST_BRANCHES, 0.5)}


def _open_times(stalk: Stalk, how: Opening) -> tuple[Floats, Floats, NDArray[np.bool_]] | None:
    """(opens, fades), each (draws, buds) in days, and which buds are the first of their socket."""
    import numpy as np

    start_noise, life_noise, pause_noise = _noise()
    spread = math.sqrt(math.log1p((how.life_spread / how.flower_life_days) ** 2))
    opens, fades, first = [], [], []
    for kind, number, buds in stalk.sockets():
        base, step = _PLACES[kind]
        own = base + number
        begin = how.stagger * (step + number if kind == "branch" else step)
        at = np.maximum(0.0, begin + how.stagger_spread * start_noise[:, own])
        for bud in range(buds):
            life = how.flower_life_days * np.exp(spread * life_noise[:, own, bud] - spread**2 / 2)
            opens.append(at)
            fades.append(at + life)
            first.append(bud == 0)
            wait = how.pause + how.pause_spread * pause_noise[:, own, bud]
            at = at + np.maximum(0.0, life + wait)
    if not opens:
        return None
    return np.column_stack(opens), np.column_stack(fades), np.array(first)


def _covered(opens: Floats, fades: Floats) -> Floats:
    """Length of the union of each draw's open times, shape (draws,)."""
    import numpy as np

    order = np.argsort(opens, axis=1)
    opens = np.take_along_axis(opens, order, axis=1)
    fades = np.maximum.accumulate(np.take_along_axis(fades, order, axis=1), axis=1)
    before = np.column_stack([opens[:, :1], fades[:, :-1]])
    days: Floats = np.maximum(0.0, fades - np.maximum(opens, before)).sum(axis=1)
    return days
