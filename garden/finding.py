"""Finding plants by a few letters, mistakes forgiven: folded names held in memory."""

from __future__ import annotations

import threading
from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from heapq import nsmallest

from rapidfuzz import process
from rapidfuzz.distance import OSA, JaroWinkler

from garden.models import Garden, Plant, fold

MOST_LETTERS = 80


@dataclass(frozen=True)
class Names:
    """Folded names and numbers with their plants' keys, as of one version of the stock."""

    version: int
    folded: tuple[str, ...]
    keys: tuple[int, ...]

    @cached_property
    def text(self) -> str:
        """All names, each behind a line break: one text is searched quicker than many."""
        return "".join(f"\n{name}" for name in self.folded) + "\n"

    @cached_property
    def starts(self) -> list[int]:
        """Where in the text the line break before each name stands, and the last one."""
        starts = [0]
        for name in self.folded:
            starts.append(starts[-1] + len(name) + 1)
        return starts

    @cached_property
    def letters(self) -> list[int]:
        """The letters of each name as a set of bits."""
        return [letters_of(name) for name in self.folded]

    def holding(self, part: str) -> Iterator[int]:
        """Indices of the names with `part` in them; a line break stands before a name."""
        at = self.text.find(part)
        while at >= 0:
            index = bisect_right(self.starts, at) - 1
            yield index
            at = self.text.find(part, self.starts[index + 1])


def letters_of(text: str) -> int:
    """The letters of `text` as bits: one where a letter stands, another where it stands again.

    Some letters share their bits, so that a letter may seem to be there which is not.
    """
    once = again = 0
    for letter in text:
        bit = 1 << (ord(letter) & 31)
        again |= once & bit
        once |= bit
    return once | again << 32


_held = Names(-1, (), ())
_lock = threading.Lock()


def names(version: int | None = None) -> Names:
    """The names of the whole stock; read again only when the stock has moved on."""
    global _held
    if version is None:
        version = Garden.objects.values_list("stock_version", flat=True).get(pk=1)
    held = _held
    if held.version != version:
        with _lock:
            if _held.version != version:
                _held = _read(version)
            held = _held
    return held


def _read(version: int) -> Names:
    """Every name, and beside it the number of a plant that has both."""
    rows = []
    for folded, key, name, number in Plant.live.values_list("folded", "pk", "name", "number"):
        rows.append((folded, key))
        if name and number:
            rows.append((fold(number), key))
    rows.sort()
    return Names(version, tuple(row[0] for row in rows), tuple(row[1] for row in rows))


def find_keys(text: str, held: Names, most: int = 8) -> list[int]:
    """Keys of the plants that `text` may mean, the likeliest first.

    Beginnings of the name or number, then beginnings of a word in it, then anywhere in it, then
    its words in any order; when these are few, names a typing mistake or two away. Cost grows
    with the number of plants.
    """
    asked = fold(text)[:MOST_LETTERS]
    if not asked:
        return []
    found = _exact(asked, held, most)
    if len(found) < most and len(asked) > 2:
        found += [i for i in _forgiven(asked, held, most) if i not in found]
    return list(dict.fromkeys(held.keys[i] for i in found))[:most]


def _exact(asked: str, held: Names, most: int) -> list[int]:
    """Names that begin so, then those with a word that does, then any; the shortest first."""
    found: dict[int, None] = {}
    for before in ("\n", " ", ""):
        hits = {i for i in held.holding(before + asked) if i not in found}
        shortest = nsmallest(most, hits, key=lambda i: (len(held.folded[i]), held.folded[i]))
        found |= dict.fromkeys(shortest)
        if len(found) >= most:
            return list(found)
    first, *others = asked.split()
    if others:
        hits = (i for i in held.holding(first) if all(word in held.folded[i] for word in others))
        found |= dict.fromkeys(hits)
    return list(found)


def _forgiven(asked: str, held: Names, most: int) -> list[int]:
    """Names within one typing mistake (two from seven letters on): whole, as typed, or alike.

    When there are none, names of which a later word begins like that.
    """
    allowed = 1 if len(asked) < 7 else 2
    # Each letter that a name lacks is a mistake of its own: most names need no closer look.
    wanted = letters_of(asked)
    near = [i for i, has in enumerate(held.letters) if (wanted & ~has).bit_count() <= allowed]
    close = [held.folded[i] for i in near]
    whole = process.extract(
        asked, close, scorer=OSA.distance, score_cutoff=allowed, limit=most, processor=None
    )
    order = [near[at] for _, _, at in sorted(whole, key=lambda hit: hit[1])]
    order += [near[at] for at in _begun(asked, close, allowed)]
    if len(set(order)) < most:
        alike = process.extract(
            asked,
            held.folded,
            scorer=JaroWinkler.similarity,
            score_cutoff=0.88,
            limit=most,
            processor=None,
        )
        order += [index for _, _, index in alike]
    if not order:
        words = [(i, held.folded[i].partition(" ")[2]) for i in near if " " in held.folded[i]]
        order = [words[at][0] for at in _begun(asked, [word for _, word in words], allowed)]
    return list(dict.fromkeys(order))


def _begun(asked: str, folded: list[str], allowed: int) -> list[int]:
    """Names that begin as typed but for the allowed mistakes, the fewest mistakes first.

    A mistake may have lost a letter, so beginnings one letter longer and shorter count as well.
    """
    longer = len(asked) + 1
    rough = process.extract(
        asked,
        [name[:longer] for name in folded],
        scorer=OSA.distance,
        score_cutoff=allowed + 1,
        limit=64,
        processor=None,
    )
    scored = []
    for beginning, _, index in rough:
        ends = range(len(asked) - 1, longer + 1)
        least = min(OSA.distance(asked, beginning[:end]) for end in ends)
        if least <= allowed:
            scored.append((least, len(folded[index]), index))
    return [index for _, _, index in sorted(scored)]


def find_plants(text: str, most: int = 8, version: int | None = None) -> list[Plant]:
    """The plants that `text` may mean, the likeliest first. One query beside the names."""
    keys = find_keys(text, names(version), most)
    by_key = Plant.objects.in_bulk(keys)
    return [by_key[key] for key in keys if key in by_key]


def the_plant(text: str, version: int | None = None) -> Plant | None:
    """The plant that `text` names wholly, or the only one whose name or number holds it.

    A name a letter away is never taken for it: that may be another iris.
    """
    held = names(version)
    asked = fold(text)[:MOST_LETTERS]
    if not asked:
        return None
    whole = {held.keys[i] for i in held.holding(f"\n{asked}\n")}
    keys = whole or {held.keys[i] for i in _exact(asked, held, 8)}
    return Plant.live.filter(pk__in=keys).first() if len(keys) == 1 else None
