"""Bloom in sentences. Free of Django."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from breeding.flowering import Shift

NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
           "eleven", "twelve")  # fmt: skip


def number(count: int) -> str:
    """'four', from thirteen on in digits."""
    return NUMBERS[count] if 0 <= count < len(NUMBERS) else str(count)


def days(count: int) -> str:
    """'one day', 'four days'."""
    return f"{number(count)} day{'' if count == 1 else 's'}"


def chance(part: float) -> str:
    """A chance from 0 to 1 in hundredths; nothing expected is quite sure.

    >>> chance(0.5), chance(0.998), chance(0.001)
    ('50\u202f%', 'over 99\u202f%', 'under 1\u202f%')
    """
    if part > 0.99:
        return "over 99\u202f%"
    return f"{100 * part:.0f}\u202f%" if part >= 0.01 else "under 1\u202f%"


def shift_words(shift: Shift) -> str:
    """This year against the usual, what tells it, and how little.

    >>> from breeding.flowering import Shift
    >>> shift_words(Shift(4.1, 2.2, 6.0, 12, 3, 4))
    'Four days later than usual, told by 12 plants: nine times in ten it is 2 to 6 days later.'
    """
    if not shift.plants:
        return "Nothing noted of this season tells yet whether it is early or late."
    if shift.seasons < 2:
        return "No other season is noted, so that nothing tells whether this one is early or late."
    moved = round(shift.days)
    word = "later" if moved > 0 else "earlier"
    said = f"{days(abs(moved)).capitalize()} {word} than usual" if moved else "As early as usual"
    plants = f"{shift.plants} plant{'' if shift.plants == 1 else 's'}"
    return f"{said}, told by {plants}: nine times in ten it is {_between(shift.low, shift.high)}."


def _between(low: float, high: float) -> str:
    """'2 to 6 days later', '2 days earlier to 6 later', 'within a day of it'."""
    low, high = round(low), round(high)
    if max(abs(low), abs(high)) <= 1:
        return "within a day of that" if low * high > 0 else "within a day of the usual"
    if low >= 0:
        return f"{low} to {high} days later"
    if high <= 0:
        return f"{-high} to {-low} days earlier"
    return f"between {days(-low)} earlier and {days(high)} later"
