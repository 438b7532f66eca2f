"""The kinds of things that get labels, handed over by each app when the site starts.

The garden's pages print labels and read their codes without knowing what a pot is: whoever does
registers a `Kind`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from garden.labels import codes

if TYPE_CHECKING:
    from django.db.models import QuerySet

    from garden.labels import Label
    from garden.models import Garden

# A thing as forms and addresses name it: its kind and its key.
Named = tuple[str, int]
MOST_AT_ONCE = 500


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of thing that gets labels.

    `arises` : whether it comes into the queue by itself; others are labelled on request.
    `all` : every one that was not struck out; `standing` : those of them that may want a label.
    `code_of` : what is printed and scanned; `with_codes` : those of `all` that have such codes.
    `labels` : what the labels of things say, without an address; a fixed number of queries.
    `told` : a name and a line of small words for a list. `page` : the address of its page; `due` :
    that of the form that is due for it, '' for none.
    """

    key: str
    one: str
    many: str
    arises: bool
    all: Callable[[], QuerySet[Any]]
    standing: Callable[[], QuerySet[Any]]
    code_of: Callable[[Any], str]
    with_codes: Callable[[Sequence[str]], Iterable[Any]]
    labels: Callable[[Sequence[Any]], list[Label]]
    told: Callable[[Any], tuple[str, str]]
    page: Callable[[Any], str]
    due: Callable[[Any, Garden], str]

    def by_key(self, keys: Iterable[int]) -> dict[int, Any]:
        """Those with these keys, as they are listed. One query for some 500."""
        wanted, found = sorted(set(keys)), {}
        for at in range(0, len(wanted), MOST_AT_ONCE):
            some = self.all().filter(pk__in=wanted[at : at + MOST_AT_ONCE])
            found |= {thing.pk: thing for thing in some}
        return found


_kinds: dict[str, Kind] = {}


def register(*kinds: Kind) -> None:
    """Hand over kinds; called once by each app when the site starts."""
    _kinds.update({kind.key: kind for kind in kinds})


def kinds() -> list[Kind]:
    """All of them, in the order of the thread."""
    return list(_kinds.values())


def kind(key: str) -> Kind | None:
    return _kinds.get(key)


def named(text: str) -> Named | None:
    """('cup', 12) of 'cup.12'; None for anything else."""
    key, _, number = text.partition(".")
    plain = number.isascii() and number.isdigit() and len(number) <= 17
    return (key, int(number)) if plain and key in _kinds else None


def gathered(things: Sequence[Named]) -> list[tuple[Kind, Any]]:
    """The things themselves, in this order; those struck out are left out. A query a kind."""
    keys: dict[str, list[int]] = {}
    for key, pk in things:
        keys.setdefault(key, []).append(pk)
    found = {key: _kinds[key].by_key(pks) for key, pks in keys.items() if key in _kinds}
    return [
        (_kinds[key], found[key][pk]) for key, pk in things if key in found and pk in found[key]
    ]


def labels_of(things: Sequence[tuple[Kind, Any]], base: str = "") -> list[Label]:
    """What their labels say, in this order; with an address below `base` where one is given."""
    grouped: dict[str, list[Any]] = {}
    for one, thing in things:
        grouped.setdefault(one.key, []).append(thing)
    made = {key: iter(_kinds[key].labels(group)) for key, group in grouped.items()}
    found = [next(made[one.key]) for one, _ in things]
    if not base:
        return found
    return [replace(label, payload=codes.payload(base, label.code)) for label in found]


def find(code: str) -> tuple[Kind, Any] | None:
    """What has this code. At most one query a kind."""
    return next(iter(_having([code])), None)


def near(text: str, most: int = 6) -> list[tuple[Kind, Any]]:
    """What somebody may have meant whose code leads to nothing. At most one query a kind."""
    likely = codes.near(text)
    place = {code: at for at, code in enumerate(likely)}
    found = _having(likely) if likely else []
    return sorted(found, key=lambda pair: place.get(pair[0].code_of(pair[1]), 0))[:most]


def _having(wanted: Sequence[str]) -> list[tuple[Kind, Any]]:
    return [(one, thing) for one in kinds() for thing in one.with_codes(wanted)]
