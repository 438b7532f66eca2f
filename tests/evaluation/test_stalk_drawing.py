from __future__ import annotations

import re
from itertools import combinations
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evaluation.stalk import Stalk, draw_stalk, tappable_stalk
from evaluation.stalk.drawing import TAP_BRANCHES, TAP_BUDS, TAP_SPURS

SVG = "{http://www.w3.org/2000/svg}"
FORBIDDEN = re.compile(r"style=|<style|script|\son\w+=|filter|<image|https?://(?!www\.w3\.org)")
GOOD = Stalk(3, (2, 2, 2), (1,))
buds = st.integers(0, 6)
stalks = st.builds(
    Stalk, buds, st.lists(buds, max_size=8).map(tuple), st.lists(buds, max_size=4).map(tuple)
)
Box = tuple[float, float, float, float]


def check(svg: str) -> ElementTree.Element:
    root = ElementTree.fromstring(svg)
    assert root.get("viewBox") == "0 0 300 420"
    assert not FORBIDDEN.search(svg)
    ids = [node.get("id") for node in root.iter() if node.get("id")]
    assert len(ids) == len(set(ids))
    assert set(re.findall(r'href="#([^"]+)"', svg)) <= set(ids)
    return root


def sockets(root: ElementTree.Element) -> list[ElementTree.Element]:
    return [node for node in root.iter() if node.get("data-socket")]


def told(root: ElementTree.Element) -> list[str]:
    """The notation as it is read off the picture, branches and spurs in their own order."""
    return sorted(f"{s.get('data-socket')}{s.find(SVG + 'text').text}" for s in sockets(root))


@settings(max_examples=60, deadline=None)
@given(stalks, st.sampled_from(["small", "large"]))
def test_draw_stalk__tells_every_socket(stalk: Stalk, size: str) -> None:
    root = check(draw_stalk(stalk, size))
    assert told(root) == sorted(str(stalk).split())
    assert root.find(SVG + "title").text == stalk.words()
    drawn = "use" if size == "large" else "path"
    counts = {
        int(s.get("data-buds")): len(s.findall(f"{SVG}g/{SVG}{drawn}")) for s in sockets(root)
    }
    # Beside its buds each socket has its sheath.
    assert counts == {buds: buds + 1 for buds in counts}


def test_draw_stalk__sizes() -> None:
    small, large = check(draw_stalk(GOOD)), check(draw_stalk(GOOD, "large"))
    assert (small.get("width"), small.get("height")) == ("90", "126")
    assert (large.get("width"), large.get("height")) == ("300", "420")
    with pytest.raises(ValueError, match="size"):
        draw_stalk(GOOD, "huge")


def test_draw_stalk__title_is_escaped() -> None:
    assert check(draw_stalk(GOOD, title='a <b> & "c"')).find(SVG + "title").text == 'a <b> & "c"'


def test_draw_stalk__is_light() -> None:
    full = Stalk(6, (6,) * 8, (6,) * 4)
    assert len(draw_stalk(GOOD)) < 5_000
    assert len(draw_stalk(full, "large")) < 12_000
    assert len(tappable_stalk()) < 9_000


def test_tappable_stalk__has_room_for_all_a_script_shows() -> None:
    root = check(tappable_stalk())
    kinds = [socket.get("data-socket") for socket in sockets(root)]
    assert {kind: kinds.count(kind) for kind in "TBS"} == {
        "T": 1, "B": TAP_BRANCHES, "S": TAP_SPURS
    }  # fmt: skip
    for socket in sockets(root):
        held = [use.get("data-bud") for use in socket.iter(SVG + "use") if use.get("data-bud")]
        # The later ones are drawn first, so that they stand behind.
        assert held == [str(i) for i in range(TAP_BUDS - 1, -1, -1)]
        assert socket.get("role") == "button"
    shown = [s.get("data-socket") for s in sockets(root) if s.get("display") != "none"]
    assert shown == ["T"]


def place(socket: ElementTree.Element, branches: int = 0) -> tuple[float, float]:
    steps = socket.get("data-at")
    moved = re.search(r"translate\(([^)]*)\)", socket.get("transform"))[1]
    x, y = (steps.split(";")[branches - 1] if steps and branches else moved).split()
    return float(x), float(y)


def box(socket: ElementTree.Element, branches: int = 0) -> Box:
    (x, y), rect = place(socket, branches), socket.find(SVG + "rect")
    left, top = x + float(rect.get("x")), y + float(rect.get("y"))
    return left, top, left + float(rect.get("width")), top + float(rect.get("height"))


@pytest.mark.parametrize("branches", range(TAP_BRANCHES + 1))
def test_tappable_stalk__targets_are_large_and_apart(branches: int) -> None:
    root = check(tappable_stalk())
    seen = [s for s in sockets(root) if s.get("data-socket") != "B"]
    seen += [s for s in sockets(root) if s.get("data-socket") == "B"][:branches]
    boxes = [box(socket, branches) for socket in seen]
    for left, top, right, low in boxes:
        assert right - left >= 48
        assert low - top >= 48
        assert (left >= 0, top >= 0, right <= 300, low <= 420) == (True,) * 4
    for one, two in combinations(boxes, 2):
        across = min(one[2], two[2]) - max(one[0], two[0])
        down = min(one[3], two[3]) - max(one[1], two[1])
        assert across <= 0 or down <= 0, (branches, one, two)


@pytest.mark.parametrize("branches", range(1, TAP_BRANCHES + 1))
def test_tappable_stalk__branches_leave_the_stem_where_the_server_draws_them(branches: int) -> None:
    ours = [s for s in sockets(check(tappable_stalk())) if s.get("data-socket") == "B"]
    drawn = sockets(check(draw_stalk(Stalk(3, (2,) * branches), "large")))
    theirs = [s for s in drawn if s.get("data-socket") == "B"]
    assert [place(s, branches) for s in ours[:branches]] == [place(s) for s in theirs]


@pytest.mark.parametrize("key", ["", "1a", 'a"b', "a b", "a<"])
def test_tappable_stalk__refuses_a_key_that_is_no_id(key: str) -> None:
    with pytest.raises(ValueError, match="key"):
        tappable_stalk(key)
