"""Finding plants by a few letters, mistakes forgiven: folded names held in memory."""

from __future__ import annotations

import threading
from dataclasses import dataclass

from rapidfuzz import process
from rapidfuzz.distance import OSA, JaroWinkler

from garden.models import Garden, Plant, fold

MOST_LETTERS = 80


@dataclass(frozen=True)
class Names:
    """Folded names and their plants' keys, as of one version of the stock."""

    version: int
    folded: tuple[str, ...]
    keys: tuple[int, ...]


_held = Names(-1, (), ())
_lock = threading.Lock()


def names(version: int | None = None) -> Names:
    """The names of the whole stock; read again only when the stock has moved on."""
    global _held
    if version is None:
        version = Garden.objects.values_list("stock_version", flat=True).get(pk=1)
    if _held.version != version:
        with _lock:
            rows = list(Plant.live.order_by("folded").values_list("folded", "pk"))
            _held = Names(version, tuple(row[0] for row in rows), tuple(row[1] for row in rows))
    return _held


def find_keys(text: str, held: Names, most: int = 8) -> list[int]:
    """Keys of the plants that `text` may mean, the likeliest first.

    Beginnings of the name, then beginnings of a word in it, then anywhere in it; when these are
    few, names a typing mistake or two away. Cost grows with the number of plants.
    """
    asked = fold(text)[:MOST_LETTERS]
    if not asked:
        return []
    exact = [i for i, name in enumerate(held.folded) if asked in name]
    exact.sort(key=lambda i: _closeness(asked, held.folded[i]))
    found = exact[:most]
    if len(found) < most and len(asked) > 2:
        found += [i for i in _forgiven(asked, held.folded) if i not in found]
    return [held.keys[i] for i in found[:most]]


def _closeness(asked: str, name: str) -> tuple[int, int, str]:
    if name.startswith(asked):
        return (0, len(name), name)
    return (1 if f" {asked}" in name else 2, len(name), name)


def _forgiven(asked: str, folded: tuple[str, ...]) -> list[int]:
    """Names within one typing mistake (two from nine letters on): whole, as far as typed, or alike.

    When there are none, names of which a later word begins like that.
    """
    allowed = 1 if len(asked) < 9 else 2
    whole = process.extract(
        asked, folded, scorer=OSA.distance, score_cutoff=allowed, limit=8, processor=None
    )
    begun = _begun(asked, folded, allowed)
    alike = process.extract(
        asked, folded, scorer=JaroWinkler.similarity, score_cutoff=0.88, limit=8, processor=None
    )
    order = [index for _, _, index in sorted(whole, key=lambda hit: hit[1])]
    order += begun + [index for _, _, index in alike]
    if not order:
        words = [(i, name[at + 1 :]) for i, name in enumerate(folded) if (at := name.find(" ")) > 0]
        order = [words[i][0] for i in _begun(asked, tuple(word for _, word in words), allowed)]
    return list(dict.fromkeys(order))


def _begun(asked: str, folded: tuple[str, ...], allowed: int) -> list[int]:
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
    """The one plant that `text` names: by its whole name, else when only one could be meant."""
    held = names(version)
    asked = fold(text)
    if asked in held.folded:
        return Plant.objects.get(pk=held.keys[held.folded.index(asked)])
    keys = find_keys(text, held, 2)
    return Plant.objects.get(pk=keys[0]) if len(keys) == 1 else None
