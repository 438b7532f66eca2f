"""Chances, copies and what they rest on, as they are said to a breeder."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from breeding.inheritance.copies import Odds, Support

# Narrow, and no line breaks at it.
THIN = "\u202f"
# So far a plain fraction may lie from the chance that it says, also as a part of it.
ROUGHLY, PART, LARGEST = 0.02, 0.07, 25
RARE = 1 / 12
# Below it a type is as good as impossible.
HARDLY = 0.0005
# Fewer bits than this say next to nothing.
LITTLE = 0.1
LIKELY_COPIES = 0.05


def percent(part: float) -> str:
    """'34 %', '4.2 %', 'under 0.1 %', 'over 99 %': never 0 or 100 for what is not certain.

    >>> [percent(part).replace(THIN, " ") for part in (0, 0.34, 0.042, 0.0001, 0.9999, 1)]
    ['0 %', '34 %', '4.2 %', 'under 0.1 %', 'over 99 %', '100 %']
    """
    if part <= 0 or part >= 1:
        return f"{100 * min(max(part, 0), 1):.0f}{THIN}%"
    if part < 0.0005:
        return f"under 0.1{THIN}%"
    if part > 0.995:
        return f"over 99{THIN}%"
    return f"{100 * part:.{0 if part >= 0.095 else 1}f}{THIN}%"


# What is certain is so by the hypothesis alone.
HOLDS, HOLD = "if the hypothesis holds", "if the hypotheses hold"


def between(chance: float, low: float, high: float, holds: str = HOLD) -> str:
    """'9.4 % to 82 %'; where nothing is left open, what that rests on.

    >>> [between(*told).replace(THIN, " ") for told in ((0.4, 0, 1), (1, 1, 1), (0.001, 0, 0))]
    ['0 % to over 99 %', 'if the hypotheses hold', 'nine times in ten none']
    """
    if percent(low) != percent(high):
        return f"{percent(low)} to {nearly(high)}"
    if percent(chance) == percent(low):
        return holds
    return f"nine times in ten {'none' if high < HARDLY else 'all' if low >= 1 else percent(low)}"


def nearly(part: float) -> str:
    """A percentage that is never more than 'over 99 %': the hypothesis may be wrong."""
    return percent(min(part, 1 - 1e-9))


def odds(chance: float) -> str:
    """A chance as a plain fraction, roughly.

    >>> [odds(chance) for chance in (0, 0.75, 0.11, 0.0053, 0.985, 1)]
    ['none', '3 in 4', '1 in 9', '1 in 190', 'all but 1 in 67', 'all']
    """
    if chance <= 0 or chance >= 1:
        return "all" if chance > 0 else "none"
    if chance < RARE:
        return f"1 in {_rounded(1 / chance)}"
    if chance > 1 - RARE:
        return f"all but 1 in {_rounded(1 / (1 - chance))}"
    near = min(ROUGHLY, PART * min(chance, 1 - chance))
    for whole in range(2, LARGEST + 1):
        part = round(chance * whole)
        if abs(part / whole - chance) <= near:
            return f"{part} in {whole}"
    return percent(chance)


def _rounded(number: float) -> str:
    """To two digits: '190', '4,300'; beyond a million nobody counts."""
    if number >= 1_000_000:
        return "more than a million"
    step = 10 ** max(0, len(str(int(number))) - 2)
    return f"{round(number / step) * step:,}"


def listed(words: Sequence[str], last: str = "and") -> str:
    """'a', 'a and b', 'a, b and c'."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {last} {words[-1]}"


def copies_words(chances: Sequence[float], allele: str, most: int = 3) -> str:
    """'2 copies of t, 71 %; 3 copies, 20 %': the likeliest first, what is left over not named."""
    order = sorted(range(len(chances)), key=lambda at: -chances[at])
    shown = [at for at in order[:most] if chances[at] >= LIKELY_COPIES] or order[:1]
    if chances[shown[0]] > 0.995:
        sure = HOLDS if chances[shown[0]] >= 1 else "nearly certain"
        return f"{_copies(shown[0], allele)}, {sure}"
    said = [f"{_copies(at, allele if not place else '')}, {percent(chances[at])}"
            for place, at in enumerate(shown)]  # fmt: skip
    return "; ".join(said)


def _copies(count: int, allele: str) -> str:
    of = f" of {allele}" if allele else ""
    return f"{count or 'no'} {'copy' if count == 1 else 'copies'}{of}"


def rests_on(support: Support) -> str:
    """What a plant's copies rest on, and how little that may be."""
    bits = ["its own flower"] if support.flower_seen else []
    if support.parents:
        bits.append("both parents" if support.parents == 2 else "one parent")
    if support.offspring_seen:
        many = support.offspring_seen
        bits.append(f"{many} plant{'' if many == 1 else 's'} raised from it")
    if support.seedlings:
        crosses = f"{support.families} cross{'' if support.families == 1 else 'es'}"
        plural = "" if support.seedlings == 1 else "s"
        bits.append(f"{support.seedlings:,} counted seedling{plural} of {crosses}")
    if not bits:
        return "nothing but the garden’s usual frequency"
    little = ", which tells next to nothing" if support.bits < LITTLE else ""
    return f"{listed(bits)}{little}"


@dataclass(frozen=True, slots=True)
class Cause:
    """One explanation of a flower that should not be, and its chance."""

    words: str
    chance: float

    @property
    def said(self) -> str:
        return percent(self.chance)

    @property
    def width(self) -> str:
        return width(self.chance)


def causes(found: Odds) -> list[Cause]:
    """What may lie behind a contradiction, the likeliest first."""
    told = (
        Cause("a bee, or pollen that was not pure", found.strange_pollen),
        Cause("a mistaken tag: both parents are others", found.mistaken_tag),
        Cause("a misread or miswritten flower", found.misread_flower),
        Cause("the hypothesis is wrong", found.wrong_hypothesis),
        Cause("chance alone: everything is right", found.chance_alone),
    )
    return sorted((each for each in told if each.chance >= 0.005), key=lambda each: -each.chance)


def width(part: float) -> str:
    """A part of 1 as a length in hundredths, as an SVG attribute takes it."""
    return f"{100 * min(max(part, 0.0), 1.0):.2f}"


def short(name: str) -> str:
    """A type's name without what is explained behind a comma: 'pink' of 'pink, tangerine beard'."""
    return name.partition(",")[0]


def p_words(p: float) -> str:
    """What an exact test's p says, in words."""
    if p >= 0.2:
        return "just what chance gives when this is expected"
    if p >= 0.05:
        return "what chance gives now and then when this is expected"
    if p >= 0.01:
        return "further off than chance mostly has it"
    return "much further off than chance would have it"
