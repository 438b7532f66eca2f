"""Which counts of types stand: the newest of a row, or of a whole cross."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from breeding.models import Tally


def standing(tallies: Iterable[Tally]) -> list[Tally]:
    """The newest tally of each row, or of a whole cross where none of its rows was counted later.

    `tallies` come in the order in which they were counted. A row counted after its whole cross
    takes the place of that count: what stood in the other rows is counted anew with them.
    """
    newest: dict[tuple[int, int], dict[int | None, Tally]] = defaultdict(dict)
    for tally in tallies:
        here = newest[tally.locus_id, tally.cross_id]
        if tally.row_id is None:
            here.clear()
        else:
            here.pop(None, None)
        here[tally.row_id] = tally
    return [tally for here in newest.values() for tally in here.values()]
