"""Requests that no page of ours makes, drawn for every address that the site answers to."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from pathlib import Path
from random import Random

from django.urls import get_resolver

from tests.hostile import values as bad
from tests.hostile.values import Pairs

ROOT = Path(__file__).resolve().parents[2]
APPS = ("garden", "breeding", "evaluation")
METHODS = ("GET",) * 9 + ("POST",) * 7 + (
    "HEAD", "PUT", "PATCH", "DELETE", "OPTIONS", "TRACE", "PROPFIND", "get", "",
)  # fmt: skip
# Addresses that are none, and some that only look like it.
NO_ROUTES = (
    "nothing-here/", "admin/", ".git/config", ".env", "static/", "static/../manage.py",
    "static/%2e%2e/%2e%2e/etc/passwd", "static/..%2f..%2fhaftbook.sqlite3", "static/%00",
    "media/", "/evil.example/", "/evil.example/plants", "\\evil.example/", "plants", "sign-in",
    "plants//1/", "./plants/", "favicon.ico", "robots.txt", "photos/secret-key", "index.php?a=b",
    "plants/1/change", "%2e%2e/", "haftbook.sqlite3", "x" * 3000,
)  # fmt: skip
MULTIPART = "multipart/form-data; boundary=b"
SAFE = ("GET", "HEAD", "OPTIONS", "TRACE", "PROPFIND", "get", "")


@dataclass(frozen=True, slots=True)
class Ask:
    """One request: `path` with its query, escaped; `cookie` in place of the right ones."""

    method: str
    path: str
    body: bytes = b""
    content_type: str = "application/x-www-form-urlencoded"
    headers: dict[str, str] = field(default_factory=dict)
    cookie: str | None = None
    csrf: bool = False

    @property
    def is_safe(self) -> bool:
        """Whether a request of this method may change nothing, whoever sends it."""
        return self.method in SAFE


@dataclass(frozen=True, slots=True)
class Site:
    """What can be asked: address templates with their parts, real addresses, names, forms."""

    templates: list[tuple[str, tuple[str, ...]]]
    addresses: list[str]
    names: list[str]
    forms: list[tuple[str, dict[str, str]]]


def templates() -> list[tuple[str, tuple[str, ...]]]:
    """Every address that the resolver knows, as ('plants/%(pk)s/', ('pk',)), named or not."""
    known = get_resolver().reverse_dict
    found = {
        (template, tuple(parts))
        for key in known
        for possibilities, *_ in known.getlist(key)
        for template, parts in possibilities
    }
    return sorted(found)


def names_asked_for() -> set[str]:
    """The names that our views take out of queries and bodies, and those of all plain fields."""
    words = set()
    for app in APPS:
        for path in (ROOT / app).rglob("*.py"):
            text = path.read_text(encoding="utf-8")
            words.update(re.findall(r"(?:GET|POST|FILES|data)\.get(?:list)?\(f?\"(\w+)\"", text))
            words.update(re.findall(r"^ {4}(\w+) = [\w.]*(?:Field|Day|Number)\(", text, re.M))
    return words


def ask(chance: Random, site: Site) -> Ask:
    """One request, as wrong as it may be in one or several places."""
    if chance.randrange(3) == 0 and site.forms:
        method, (path, pairs), is_form = "POST", _nearly_sound(chance, site), True
    else:
        method, is_form = chance.choice(METHODS), False
        path, pairs = _path(chance, site), _pairs(chance, site)
    if chance.randrange(3) == 0:
        query = bad.urlencoded(_pairs(chance, site)).decode()
        path += ("&" if "?" in path else "?") + query
    body, content_type = _body(chance, pairs, is_form) if method != "GET" else (b"", "")
    odd = chance.randrange(10)
    return Ask(
        method,
        "/" + path.removeprefix("/"),
        body,
        content_type,
        _headers(chance),
        cookie=chance.choice(bad.COOKIES) if odd == 0 else None,
        csrf=odd in (1, 2),
    )


def _path(chance: Random, site: Site) -> str:
    kind = chance.randrange(20)
    if kind == 0:
        return chance.choice(NO_ROUTES)
    if kind < 8:
        return chance.choice(site.addresses)
    template, parts = chance.choice(site.templates)
    return template % {part: _part(chance) for part in parts}


def _part(chance: Random) -> str:
    """A part of an address: now and then one that is there."""
    if chance.randrange(3) == 0:
        return chance.choice(("1", "2", "3", "24-001", "seed", "cup", "t"))
    return bad.escaped(bad.value(chance))[:3000]


def _pairs(chance: Random, site: Site) -> Pairs:
    """Up to six fields with nonsense in them, now and then each of them many times."""
    pairs = [
        (chance.choice(site.names if chance.randrange(4) else bad.TEXTS), bad.value(chance))
        for _ in range(chance.randrange(7))
    ]
    return pairs * chance.choice((1, 1, 1, 1, 2, 30))


def _nearly_sound(chance: Random, site: Site) -> tuple[str, Pairs]:
    """A form as its page would send it, with something wrong in at most two fields."""
    path, sound = chance.choice(site.forms)
    names = sorted(sound)
    wrong = {chance.choice(names): bad.value(chance) for _ in range(chance.randrange(3))}
    more = _pairs(chance, site) if chance.randrange(5) == 0 else []
    return path, [*(sound | wrong).items(), *more]


def _body(chance: Random, pairs: Pairs, is_form: bool) -> tuple[bytes, str]:
    kind = chance.randrange(6 if is_form else 12)
    if kind < 3:
        return bad.urlencoded(pairs), bad.TYPES[0]
    if kind < 5:
        name = chance.choice(("photo", "file", "list", "saved", ""))
        file = (name, chance.choice(bad.TEXTS), chance.choice(bad.FILES))
        return bad.multipart(pairs, file), MULTIPART
    if kind < 7:
        sound = bad.multipart(pairs, ("photo", "a.jpg", bad.FILES[1]))
        return bad.damaged(sound, chance.randrange(9999), chance.randrange(3)), MULTIPART
    if kind < 9:
        return bad.urlencoded(pairs), chance.choice(bad.TYPES)
    raw = chance.choice(bad.RAW) if chance.randrange(3) else chance.randbytes(60)
    return raw, chance.choice((*bad.TYPES, MULTIPART))


def _headers(chance: Random) -> dict[str, str]:
    if chance.randrange(25) == 0:
        return {"Host": chance.choice(bad.HOSTS)}
    names = chance.choices(sorted(bad.HEADERS), k=chance.choice((0, 0, 1, 1, 2, 3)))
    return {name: chance.choice(bad.HEADERS[name]) for name in names}
