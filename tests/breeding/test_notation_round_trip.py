"""Reading what was printed gives the same pedigree, on random pedigrees."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from hypothesis import given
from hypothesis import strategies as st

from breeding.notation import ParentageError, pedigree_of, read_parentage, write_parentage
from breeding.notation.words import tidy

CULTIVARS = ["Wet Slate", "Attic Barometer", "Planet X", "Collector's Gale", "Éclair d’Été", "Sib"]
NUMBERS = ["14-031C", "Q 17-3", "X-17A", "2K-14", "99-13F", "#4", "sdlg. 7"]


@dataclass
class Drawn:
    """A pedigree of plants 0, 1, …: parents have lower numbers, the last one is the plant."""

    parents: dict[int, tuple[int | None, int | None]] = field(default_factory=dict)
    labels: list[str] = field(default_factory=list)
    named: list[bool] = field(default_factory=list)


@st.composite
def pedigrees(draw: st.DrawFn) -> Drawn:
    """Cultivars, numbered seedlings and plants without label; selfs, sibs, unknown parents."""
    drawn = Drawn()
    for number in range(draw(st.integers(1, 14))):
        kind = draw(st.sampled_from(["cultivar", "number", "none", "none"]))
        words = {"cultivar": CULTIVARS, "number": NUMBERS, "none": [""]}[kind]
        word = draw(st.sampled_from(words))
        drawn.labels.append(word and f"{word} {number}")
        drawn.named.append(kind == "cultivar")
        before = st.none() | st.integers(0, number - 1) if number else st.none()
        if number and draw(st.booleans()):
            # The parents of an earlier plant once more: full sibs.
            pair = drawn.parents[draw(st.integers(0, number - 1))]
        else:
            pair = (draw(before), draw(before))
        drawn.parents[number] = pair
    return drawn


def assert_same(
    drawn: Drawn,
    ends: Callable[[int], bool],
    root: int,
    names: list[str | None],
    parents: Mapping[int, tuple[int | None, int | None] | None],
) -> None:
    """Walk both pedigrees side by side: each plant of the one is one plant of the other."""
    there: dict[int, int] = {}
    back: dict[int, int] = {}
    todo = [(len(drawn.labels) - 1, root)]
    while todo:
        one, other = todo.pop()
        assert there.setdefault(one, other) == other
        assert back.setdefault(other, one) == one
        assert (names[other] or "") == drawn.labels[one]
        stated = parents[other] or (None, None)
        recorded = (None, None) if ends(one) else drawn.parents[one]
        for mine, read in zip(recorded, stated, strict=True):
            assert (mine is None) == (read is None)
            if mine is not None and (mine, read) not in todo and there.get(mine) != read:
                todo.append((mine, read))
    assert len(there) == len(names)


@given(pedigrees(), st.sampled_from(["([{", "(", "{["]))
def test_read_parentage__what_write_parentage_printed(drawn: Drawn, brackets: str) -> None:
    root = len(drawn.labels) - 1
    written = write_parentage(
        root, drawn.parents, drawn.labels.__getitem__, drawn.named.__getitem__, brackets=brackets
    )
    said = pedigree_of(read_parentage(written))
    assert said.sibs == {}

    def ends(plant: int) -> bool:
        return plant != root and drawn.named[plant]

    assert_same(drawn, ends, said.root, said.names, said.parents)


@given(pedigrees(), st.integers(0, 6))
def test_read_parentage__printed_to_a_depth(drawn: Drawn, depth: int) -> None:
    """What is not cut off is the same: the generations of the nearest place of each plant."""
    root = len(drawn.labels) - 1
    near = {root: 0}
    for plant in range(root, -1, -1):
        if plant in near and near[plant] < depth and (plant == root or not drawn.named[plant]):
            for parent in drawn.parents[plant]:
                if parent is not None:
                    near[parent] = min(near.get(parent, depth), near[plant] + 1)
    written = write_parentage(
        root, drawn.parents, drawn.labels.__getitem__, drawn.named.__getitem__, depth
    )
    said = pedigree_of(read_parentage(written))

    def ends(plant: int) -> bool:
        return near[plant] == depth or (plant != root and drawn.named[plant])

    assert_same(drawn, ends, said.root, said.names, said.parents)


@given(st.text(min_size=1, max_size=12), st.text(min_size=1, max_size=12))
def test_read_parentage__any_label_comes_back(one: str, other: str) -> None:
    labels = [tidy(label) for label in (one, other)]
    if not all(labels) or labels[0].casefold() == labels[1].casefold():
        return
    written = write_parentage(2, {2: (0, 1)}, [*labels, "14-1"].__getitem__, [1, 1, 0].__getitem__)
    assert [parent.name for parent in read_parentage(written).parents] == labels


@given(st.text(alphabet="AB12 -x×X()[]{}:,.'\"‘’?sib\n;", max_size=40))
def test_read_parentage__reads_or_says_where_it_is_wrong(text: str) -> None:
    told = complaint(text)
    if told is not None:
        assert 0 <= told.position <= len(text)
        assert told.sentence.endswith((".", ":", "?"))


def complaint(text: str) -> ParentageError | None:
    try:
        pedigree_of(read_parentage(text))
    except ParentageError as wrong:
        return wrong
    return None
