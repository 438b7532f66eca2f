"""What was found about a set of crosses, in a sentence or two."""

from __future__ import annotations


def of_set(crosses: int, allowed: int, total: float, bound: float, proven: bool) -> str:
    """Of a set that was found: whether a better one may be left."""
    begin = f"{_crosses(crosses)} out of {allowed:,} pairs."
    if proven:
        return f"{begin} No better set keeps to the limits; this is proven."
    more = bound - total
    return (
        f"{begin} A better set may be left: none adds up to more than {bound:.2f}, "
        f"which is {more:.2f} above this one; this much is proven."
    )


def too_low(
    crosses: int, limit: float, least: float, floor: float, proven: bool, exact: bool
) -> str:
    """Of a limit of kinship that no set keeps, or none that was found."""
    end = (
        f"The least that so many of these candidates' crosses can have is {least:.4f}."
        if exact
        else f"The least that was found is {least:.4f}; less than {floor:.4f} cannot be."
    )
    if proven:
        return f"No set of {_crosses(crosses)} keeps its kinship at {limit:.4f} or less. {end}"
    return f"No set of {_crosses(crosses)} with a kinship of {limit:.4f} or less was found. {end}"


def too_many(crosses: int, possible: int, allowed: int) -> str:
    """Of more crosses than can be made."""
    if not allowed:
        return "There is no pair that may be crossed."
    return (
        f"{_crosses(crosses)} cannot be made: {allowed:,} pairs may be crossed, and with the uses "
        f"allowed for each parent {possible} at most."
    )


def _crosses(many: int) -> str:
    return "1 cross" if many == 1 else f"{many} crosses"
