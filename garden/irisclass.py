"""The horticultural class of a bearded iris by height, bloom and flower size. Free of Django.

The limits are data, with their source: `fixtures/classes/*.json`. Heights come in centimetres and
are compared in inches, as the sources write them; published centimetres are rounded. Near a limit
both classes are possible and a warning says so: nothing is rejected.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

CM_PER_INCH = 2.54
FIXTURE = Path(__file__).resolve().parent.parent / "fixtures" / "classes" / "bearded.json"
ROUNDING = 1e-9


@dataclass(frozen=True, slots=True)
class Limits:
    """One class: height from `least` to `most` inches (None: no limit), both ends included.

    `with_tall` : whether it blooms with the tall bearded ones. `flower_least`, `flower_most` : the
    flower's larger measure; `flower_sum_most` : height and width together; inches, or None.
    """

    code: str
    least: float | None
    most: float | None
    blooms: str
    with_tall: bool
    flower_least: float | None = None
    flower_most: float | None = None
    flower_sum_most: float | None = None
    note: str = ""

    def holds(self, inches: float, slack: float = 0.0) -> bool:
        low = self.least is None or inches >= self.least - slack - ROUNDING
        return low and (self.most is None or inches <= self.most + slack + ROUNDING)

    @property
    def words(self) -> str:
        """'16 to 27½ in'."""
        if self.least is None:
            return f"up to {said(self.most)} in"
        if self.most is None:
            return f"over {said(self.least)} in"
        return f"{said(self.least)} to {said(self.most)} in"


@dataclass(frozen=True, slots=True)
class Classes:
    """The limits of all classes, how near a limit calls for a warning (inches), and the sources."""

    limits: tuple[Limits, ...]
    near: float
    source: str
    bloom_source: str

    def of(self, code: str) -> Limits | None:
        return next((each for each in self.limits if each.code == code), None)


@dataclass(frozen=True, slots=True)
class Measured:
    """What is measured of a plant; None where nobody did.

    `height`, `flower_height`, `flower_width` in cm; `with_tall` : whether it blooms with the tall
    bearded ones of its garden (True) or before them (False).
    """

    height: float | None = None
    flower_height: float | None = None
    flower_width: float | None = None
    with_tall: bool | None = None


@dataclass(frozen=True, slots=True)
class Verdict:
    """Classes that the measures allow, the likeliest first, what they rest on, and warnings."""

    codes: tuple[str, ...] = ()
    reasons: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    against: tuple[str, ...] = field(default=())

    @property
    def code(self) -> str:
        """The one class that is left; '' when there are several or none."""
        return self.codes[0] if len(self.codes) == 1 else ""


@cache
def classes(path: Path = FIXTURE) -> Classes:
    """The classes of a fixture."""
    told = json.loads(path.read_text(encoding="utf-8"))
    limits = tuple(Limits(**each) for each in told["classes"])
    return Classes(limits, told["near_limit"], told["source"], told["bloom_source"])


def inches(centimetres: float) -> float:
    return centimetres / CM_PER_INCH


def said(value: float | None) -> str:
    """'27½', '8', '16.3': inches as they are said."""
    if value is None:
        return ""
    whole = round(value * 2) / 2
    if abs(whole - value) < 0.01:
        return (f"{int(whole)}½" if whole > 1 else "½") if whole % 1 else f"{int(whole)}"
    return f"{value:.1f}"


def class_of(measured: Measured, recorded: str = "", known: Classes | None = None) -> Verdict:
    """The class by what is measured; `against` tells what contradicts the recorded one.

    Parameters
    ----------
    measured : heights and flower in cm; without a height no class is told.
    recorded : the class written down, '' for none; classes without limits (arilbreds, species)
        are not contradicted.
    known : the limits; those of the fixture when missing.
    """
    known = known or classes()
    if measured.height is None:
        return Verdict(warnings=("Without a measured height no class can be told.",))
    tall = inches(measured.height)
    clear = [each for each in known.limits if each.holds(tall)]
    possible = [each for each in known.limits if each.holds(tall, known.near)]
    reasons = [f"{said(tall)} in ({measured.height:g} cm) high"]
    warnings = []
    if len({(each.least, each.most) for each in possible}) > 1:
        ends = {end for each in possible for end in (each.least, each.most) if end is not None}
        near = min(ends, key=lambda end: abs(end - tall))
        warnings.append(
            f"The height is at the limit of {said(near)} in: both classes are possible, and other "
            "years may tell."
        )
    left = _by_bloom(possible, measured, reasons, warnings)
    left = _by_flower(left, measured, reasons, warnings)
    left.sort(key=lambda each: each not in clear)
    against = _against(recorded, measured, known)
    return Verdict(
        tuple(each.code for each in left), tuple(reasons), tuple(warnings), tuple(against)
    )


def _by_bloom(
    possible: list[Limits], measured: Measured, reasons: list[str], warnings: list[str]
) -> list[Limits]:
    """Without those that bloom at another time, where that tells them apart."""
    if len({each.with_tall for each in possible}) < 2:
        return possible
    if measured.with_tall is None:
        warnings.append(
            "Whether it blooms with the tall bearded ones or before them is not known; that tells "
            "IB from BB and MTB."
        )
        return possible
    reasons.append(f"blooms {'with' if measured.with_tall else 'before'} the tall bearded ones")
    return [each for each in possible if each.with_tall == measured.with_tall] or possible


def _by_flower(
    possible: list[Limits], measured: Measured, reasons: list[str], warnings: list[str]
) -> list[Limits]:
    """Miniature tall ones are told by the flower's height and width together."""
    small = [each for each in possible if each.flower_sum_most is not None]
    most = small[0].flower_sum_most if small else None
    if most is None:
        return possible
    together = _flower_sum(measured)
    if together is None:
        warnings.append(
            "The flower is not measured: a miniature tall bearded one has height and width of "
            f"{said(most)} in at most together."
        )
        return possible
    reasons.append(f"flower {said(together)} in, height and width together")
    if together > most + ROUNDING:
        return [each for each in possible if each not in small]
    warnings.append("A miniature tall bearded one also has a thin and wiry stem.")
    # A border iris may be as small; the small flower speaks for the miniature tall ones.
    return [*small, *(each for each in possible if each not in small)]


def _flower_sum(measured: Measured) -> float | None:
    if measured.flower_height is None or measured.flower_width is None:
        return None
    return inches(measured.flower_height + measured.flower_width)


def _against(recorded: str, measured: Measured, known: Classes) -> list[str]:
    """What contradicts the recorded class, in sentences."""
    limits = known.of(recorded)
    if limits is None or measured.height is None:
        return []
    found, tall = [], inches(measured.height)
    if not limits.holds(tall, known.near):
        found.append(f"{recorded} is {limits.words} high; this one was {said(tall)} in.")
    if measured.with_tall is not None and measured.with_tall != limits.with_tall:
        when = "with" if measured.with_tall else "before"
        found.append(
            f"{recorded} blooms {limits.blooms}; this one opens {when} the tall bearded ones here."
        )
    together = _flower_sum(measured)
    most = limits.flower_sum_most
    if most is not None and together is not None and together > most + ROUNDING:
        found.append(
            f"{recorded} has flowers of {said(most)} in at most, height and width together; this "
            f"one has {said(together)} in."
        )
    return found + _flower_against(recorded, limits, measured)


def _flower_against(recorded: str, limits: Limits, measured: Measured) -> list[str]:
    sizes = [each for each in (measured.flower_height, measured.flower_width) if each is not None]
    if not sizes or limits.flower_most is None:
        return []
    largest = inches(max(sizes))
    few = limits.flower_least is not None and largest < limits.flower_least - ROUNDING
    if largest <= limits.flower_most + ROUNDING and not few:
        return []
    span = f"{said(limits.flower_least)} to " if limits.flower_least else "up to "
    return [
        f"{recorded} has flowers of {span}{said(limits.flower_most)} in; this one has "
        f"{said(largest)} in."
    ]
