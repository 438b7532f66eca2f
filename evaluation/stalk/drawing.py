"""A stalk as one `svg` element: upright, its branches alternating, the buds of each socket told.

Drawn on 300 by 420 units, the stem at x = 150, in the colours of tokens.css. Branches stand in
turn right and left from the top downward; spurs, short and close to the stem, between the top
branch and the terminal, the first of them opposite the top branch. The picture to tap holds all
sockets a script may show, so that script and server show the same one.
"""

from __future__ import annotations

import hashlib
import re
from dataclasses import dataclass
from functools import lru_cache
from html import escape

from evaluation.stalk.stalk import Stalk

STEM, FOOT = 150, 414
# What the picture to tap has room for; a script hides the rest.
TAP_BRANCHES, TAP_SPURS, TAP_BUDS = 6, 3, 4
# Where the top branch leaves the stem, how far down the next, how much room all have.
TOP_BRANCH, STEP, ROOM = 214, 56, 190
LOW_SPUR, SPUR_STEP = 172, 28
FOLIAGE, STEM_GREEN, LEAF, SHEATH, INK = "#1d4c2b", "#44724b", "#e2eedb", "#bcd2a8", "#1d1430"
EDGE = "#2e1256"
# The first bud is the deepest; those behind it are paler, turned aside and smaller.
BUDS = (
    ("#5b3796", 0, 1.0), ("#8a6cba", 21, 0.92), ("#a48bcb", -21, 0.88), ("#baa5da", 39, 0.78),
    ("#cbbce4", -39, 0.74), ("#d8cdeb", 55, 0.62),
)  # fmt: skip
BUD = "M0 0C-5-9-7.6-24-4-38Q-1.8-46 .6-53 2-45 4-38C7.6-24 5-9 0 0z"
TWIST = "M.4-49C-4-38 5.4-31 1.6-17M-2.4-38Q-4.6-29-3-19"
SPATHE = "M-4.5 1C-9-6-8-15-4-23-2-15 1-12 4-17 8-11 8-5 4.5 1Q0 4-4.5 1z"
LEAVES = (
    "M148 416C143 384 128 348 104 316 116 352 124 386 134 416z"
    "M152 416C156 378 172 338 200 302 186 342 174 380 166 416z"
    "M142 416C134 398 112 372 84 356 106 374 120 396 128 416z"
)


@dataclass(frozen=True)
class _Look:
    """What differs between a picture for a list and one to look at."""

    width: int
    height: int
    stem: float
    number: int
    fine: bool


SIZES = {
    "small": _Look(90, 126, 7, 46, fine=False),
    "large": _Look(300, 420, 4.6, 24, fine=True),
}


@dataclass(frozen=True)
class _Place:
    """A socket: where it leaves the stem, to which side, and how far out and up its buds are."""

    y: float
    side: int
    out: float
    up: float
    size: float


def _place(kind: str, number: int, branches: int, spurs: int) -> _Place:
    if kind == "terminal":
        return _Place(72, 1, 0, 0, 1.1)
    if kind == "spur":
        y: float = LOW_SPUR - number * (SPUR_STEP if spurs <= TAP_SPURS else 22)
        return _Place(y, 1 if number % 2 else -1, 25, 15, 0.76 if spurs <= TAP_SPURS else 0.6)
    y = TOP_BRANCH + number * min(STEP, ROOM / max(branches - 1, 1))
    return _Place(y, -1 if number % 2 else 1, 62, 33, 0.88 if branches <= TAP_BRANCHES else 0.62)


def draw_stalk(stalk: Stalk, size: str = "small", title: str = "") -> str:
    """The picture of `stalk` as an SVG string with presentation attributes only.

    Parameters
    ----------
    stalk
        Buds per socket.
    size
        ``"small"`` (90 by 126, for lists) or ``"large"`` (300 by 420).
    title
        Text for people who do not see it; the counts in words when empty.

    Raises
    ------
    ValueError
        When `size` is neither of the two.
    """
    if size not in SIZES:
        raise ValueError(f"size: unknown word {size!r}")
    return _drawn(stalk, size, title)


@lru_cache(maxsize=2048)
def _drawn(stalk: Stalk, size: str, title: str) -> str:
    look = SIZES[size]
    key = "s" + hashlib.blake2s(str(stalk).encode(), digest_size=3).hexdigest()
    numbers = len(stalk.branches), len(stalk.spurs)
    sockets = [
        _socket(kind, buds, buds, _place(kind, number, *numbers), look, key)
        for kind, number, buds in stalk.sockets()
    ]
    most = max(buds for _, _, buds in stalk.sockets())
    return (
        _opening(look, f"stalk stalk-{size}", ' role="img"')
        + f"<title>{escape(title or stalk.words())}</title>"
        + (_defs(key, most) if look.fine else "")
        + _body(sockets, look)
    )


@lru_cache(maxsize=8)
def tappable_stalk(key: str = "tap") -> str:
    """The large picture with every socket it has room for, for static/js/stalk.js to show.

    Each socket is a ``<g role="button" data-socket="T|B|S" data-name="Branch 1" data-at="…">`` with
    a ``use data-bud`` for each of 4 buds and the ``text`` with their number. `data-at` of a branch
    tells where it leaves the stem when it is one of 1; 2; … 6 branches. At first only the terminal
    is shown.

    Parameters
    ----------
    key
        What ids begin with; another one for a second picture on the same page.

    Raises
    ------
    ValueError
        When `key` is no letter followed by letters, digits and hyphens.
    """
    if not re.fullmatch(r"[A-Za-z][A-Za-z0-9-]*", key):
        raise ValueError(f"key: {key!r} cannot begin an id")
    sockets = [_to_tap("terminal", 0, key)]
    sockets += [_to_tap("branch", i, key) for i in range(TAP_BRANCHES)]
    sockets += [_to_tap("spur", i, key) for i in range(TAP_SPURS)]
    return (
        _opening(SIZES["large"], "stalk stalk-large", ' role="group" aria-label="Stalk"')
        + _defs(key, TAP_BUDS)
        + _body(sockets, SIZES["large"])
    )


def _to_tap(kind: str, number: int, key: str) -> str:
    terminal = kind == "terminal"
    name = "Terminal" if terminal else f"{kind.capitalize()} {number + 1}"
    more = f' role="button" tabindex="-1" data-name="{name}" aria-label="{name}"'
    if kind == "branch":
        steps = [_place(kind, number, n, TAP_SPURS).y for n in range(1, TAP_BRANCHES + 1)]
        more += f' data-at="{";".join(f"{STEM} {_n(y)}" for y in steps)}"'
    if not terminal:
        more += ' display="none"'
    place = _place(kind, number, TAP_BRANCHES, TAP_SPURS)
    return _socket(kind, 3 if terminal else 0, TAP_BUDS, place, SIZES["large"], key, more)


def _opening(look: _Look, names: str, role: str) -> str:
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="{names}" viewBox="0 0 300 420" '
        f'width="{look.width}" height="{look.height}"{role}>'
    )


def _body(sockets: list[str], look: _Look) -> str:
    """Leaves, sockets and stem; the terminal, told first, is drawn last, over the stem."""
    half = look.stem / 2
    stem = (
        f"M{_n(STEM - half)} 72L{_n(STEM - half * 1.7)} {FOOT}H{_n(STEM + half * 1.7)}"
        f"L{_n(STEM + half)} 72z"
    )
    return (
        f'<path d="{LEAVES}" fill="{LEAF}" stroke="{SHEATH}" stroke-width="{_n(look.stem / 4)}"/>'
        f'<g font-size="{look.number}" font-weight="700" text-anchor="middle" fill="none" '
        f'stroke-linecap="round" stroke-linejoin="round">{"".join(sockets[1:])}'
        f'<path d="{stem}" fill="{STEM_GREEN}"/>{sockets[0]}</g></svg>'
    )


def _defs(key: str, buds: int) -> str:
    drawn = "".join(
        f'<g id="{key}-{i}" transform="rotate({turn}) scale({_n(size)})" stroke="{EDGE}">'
        f'<path d="{BUD}" fill="{paint}" stroke-width="1.4"/>'
        f'<path d="{TWIST}" fill="none" stroke-opacity=".45"/></g>'
        for i, (paint, turn, size) in enumerate(BUDS[:buds])
    )
    spathe = f'<path id="{key}-s" d="{SPATHE}" fill="{SHEATH}" stroke="{FOLIAGE}"/>'
    return f"<defs>{drawn}{spathe}</defs>"


def _socket(
    kind: str, shown: int, held: int, place: _Place, look: _Look, key: str,
    more: str = "",
) -> str:  # fmt: skip
    """A socket with `held` buds, the first `shown` of them visible, and their number."""
    side, out, up = place.side, place.out, place.up
    x, y = side * out, -up
    buds = "".join(_bud(i, key, look.fine, hidden=i >= shown) for i in range(held - 1, -1, -1))
    spathe = (
        f'<use href="#{key}-s"/>'
        if look.fine
        else f'<path d="{SPATHE}" fill="{SHEATH}" stroke="{FOLIAGE}" stroke-width="2"/>'
    )
    turn = f" rotate({side * 7})" if out else ""
    reach = 44 if kind == "terminal" else 36
    return (
        f'<g data-socket="{kind[0].upper()}" data-buds="{shown}" '
        f'transform="translate({STEM} {_n(place.y)})"{more}>'
        f"{_branch(side, out, up, look.stem)}"
        f'<g transform="translate({_n(x)} {_n(y)}){turn} scale({place.size})">{buds}{spathe}</g>'
        f'<text x="{_n(x + side * reach)}" y="{_n(y - 16 + look.number * 0.2)}" '
        f'fill="{INK}">{shown}</text>{_target(kind, x, y, side) if look.fine else ""}</g>'
    )


def _branch(side: int, out: float, up: float, stem: float) -> str:
    """The branch as a bow from the stem, with the small leaf in whose axil it stands."""
    if not out:
        return ""
    bow = (
        f"M0 0C{_n(side * out * 0.5)}-4 {_n(side * out)} {_n(-up * 0.3)} {_n(side * out)} {_n(-up)}"
    )
    leaf = f"M0 5C{side * 9} 3 {side * 15}-6 {side * 17}-19 {side * 8}-14 {side * 2}-8 0 5z"
    return (
        f'<path d="{bow}" stroke="{STEM_GREEN}" stroke-width="{_n(stem * 0.8)}"/>'
        f'<path d="{leaf}" fill="{SHEATH}" stroke="{FOLIAGE}"/>'
    )


def _bud(i: int, key: str, fine: bool, hidden: bool) -> str:
    paint, turn, size = BUDS[i]
    if fine:
        unseen = ' display="none"' if hidden else ""
        return f'<use href="#{key}-{i}" data-bud="{i}"{unseen}/>'
    return (
        f'<path d="{BUD}" fill="{paint}" stroke="{EDGE}" stroke-width="2.4" '
        f'transform="rotate({turn}) scale({_n(size)})"/>'
    )


def _target(kind: str, x: float, y: float, side: int) -> str:
    """Where a thumb hits: at least 48 units each way, round buds and number."""
    left, right, top, low = TARGETS[kind]
    edge = x - left if side > 0 else x - right
    return (
        f'<rect x="{_n(edge)}" y="{_n(y - top)}" width="{left + right}" height="{top + low}" '
        'rx="8" pointer-events="all"/>'
    )


# Toward the stem, outward, above and below the foot of the buds.
TARGETS = {"terminal": (34, 56, 62, -13), "branch": (26, 58, 46, 6), "spur": (16, 56, 42, 6)}


def _n(value: float) -> str:
    return f"{round(value, 1):g}"
