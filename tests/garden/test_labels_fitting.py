"""Texts of any kind on labels of any size: nothing cut, nothing overlapping, all inside."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from garden.labels import READY, Label
from garden.labels.layout import LEAST_TEXT, LEAST_TITLE, Layout, lay_out
from garden.labels.square import GOOD_MODULE, LEAST_SIDE, MM, modules
from garden.paper import fonts
from tests.garden.label_samples import BASE, LONG, PLICATA, label

WORDS = st.one_of(
    st.text("abcdefghijklmnopqrstuvwxyzABCDEFGHIJ", min_size=1, max_size=14),
    st.text("абвгдежзиклмнопрстуфхцчшщыэюяЖЩ", min_size=1, max_size=16),
    st.text("αβγδεζηθικλμνξοπρστυφχψωΏΪ", min_size=1, max_size=16),
    st.text("אבגדהוזחטיכלמנסעפצקרשת", min_size=1, max_size=10),
    st.text("ابتثجحخدذرزسشصضطظعغفقكلمنهوي", min_size=1, max_size=10),
    st.sampled_from(
        ["×", "26-014C", "🌸", "❤️", "鳶尾", "ŽÅÄÖ", "(", "a" * 70, "Q\u0301\u0323", "--"]
    ),
)
TEXTS = st.lists(WORDS, max_size=12).map(" ".join)
CODES = st.text("0123456789ABCDEFGHJKLMNPQRSTUVWXYZ-/", min_size=1, max_size=14)
SIZES = st.tuples(st.floats(20, 210), st.floats(8, 160)) | st.sampled_from(
    [(sheet.label_width, sheet.label_height) for sheet in READY.values()]
)
LABELS = st.builds(
    Label,
    code=CODES,
    payload=CODES.map(lambda code: BASE + code) | st.just(""),
    title=TEXTS,
    parents=TEXTS,
    lines=st.lists(TEXTS, max_size=4).map(tuple),
    flower=st.sampled_from([None, PLICATA]),
)
ITEMS = ("title", "parents", "line")


def texts(one: Label) -> dict[str, list[str]]:
    """What each part should say, cleaned; empty ones left out."""
    said = {"title": [one.title], "parents": [one.parents], "line": list(one.lines)}
    cleaned = {part: [fonts.clean(text) for text in all_] for part, all_ in said.items()}
    if cleaned["title"][0] == one.code:
        cleaned["title"] = []
    return {part: [text for text in all_ if text] for part, all_ in cleaned.items()}


def boxes(layout: Layout) -> list[tuple[str, float, float, float, float]]:
    """(what, left, top, right, bottom) of everything drawn; capitals and tails for words."""
    found = [
        (
            words.part,
            words.x,
            words.y - fonts.ascent(words.face) * words.size,
            words.x + words.width,
            words.y + 0.2 * words.size,
        )
        for words in layout.words
    ]
    for what, box in (("square", layout.square), ("flower", layout.flower)):
        if box:
            found.append((what, box.x, box.y, box.right, box.bottom))
    return found


def check(one: Label, layout: Layout) -> None:
    things = boxes(layout)
    for what, left, top, right, bottom in things:
        assert left >= -1e-6, what
        assert top >= -1e-6, what
        assert right <= layout.width + 1e-6, what
        assert bottom <= layout.height + 1e-6, what
    for (a, *first), (b, *second) in itertools.combinations(things, 2):
        across = min(first[2], second[2]) - max(first[0], second[0])
        down = min(first[3], second[3]) - max(first[1], second[1])
        assert across <= 0.01 or down <= 0.01, (a, b)
    drawn = {part: [w.text for w in layout.words if w.part == part] for part in (*ITEMS, "code")}
    assert "".join("".join(drawn["code"]).split()) == one.code
    for part, wanted in texts(one).items():
        kept = wanted[: len(wanted) - layout.left_out.count(part)]
        whole = "".join("".join(kept).split())
        assert "".join("".join(drawn[part]).split()) == whole, part
    for words in layout.words:
        least = {"title": LEAST_TITLE, "code": 0.0}.get(words.part, LEAST_TEXT)
        assert words.size >= least - 1e-6


@settings(max_examples=250, deadline=None)
@given(LABELS, SIZES, st.booleans())
@example(LONG, (50, 12), True)
@example(Label("0", "", "", "", (), None), (20, 8), True)
@example(Label("W" * 14, BASE + "W", "", "x" * 400, (), PLICATA), (20.0, 20.0), True)
def test_lay_out__any_label_on_any_size(one: Label, size: tuple[float, float], flowers) -> None:
    layout = lay_out(one, size[0] * MM, size[1] * MM, flowers)
    assert {layout.width, layout.height} == {size[0] * MM, size[1] * MM}
    check(one, layout)
    square = layout.square
    if square:
        assert square.side >= LEAST_SIDE - 1e-6
    elif one.payload:
        assert "square" in layout.left_out
    if one.flower and flowers and not layout.flower:
        assert "flower" in layout.left_out
    if layout.flower:
        assert flowers
        assert one.flower


@pytest.mark.parametrize("key", READY)
def test_lay_out__an_ordinary_label_fits_every_ready_size(key: str) -> None:
    sheet = READY[key]
    one = label(lines=("TB · midseason · 92 cm",), parents="Copper Kettle × Blue Hour")
    layout = lay_out(one, sheet.label_width * MM, sheet.label_height * MM)
    check(one, layout)
    assert set(layout.left_out) <= {"flower"}
    module = layout.square.side / modules(one.payload)
    assert module >= GOOD_MODULE
    code = next(words for words in layout.words if words.part == "code")
    assert code.size >= 7


@pytest.mark.parametrize("key", READY)
def test_lay_out__only_the_smallest_labels_leave_a_long_name_s_lines_out(key: str) -> None:
    sheet = READY[key]
    layout = lay_out(LONG, sheet.label_width * MM, sheet.label_height * MM)
    check(LONG, layout)
    assert "title" not in layout.left_out
    if sheet.label_height > 18.5:
        assert set(layout.left_out) <= {"flower"}


def test_lay_out__a_long_name_shrinks_before_it_wraps() -> None:
    def title(name: str) -> list:
        layout = lay_out(label(title=name, flower=None), 70 * MM, 36 * MM)
        return [words for words in layout.words if words.part == "title"]

    short, longer, wrapped = (
        title(name) for name in ("Fen", "Harbour Lights in an Evening Mist", LONG.title)
    )
    assert len(short) == len(longer) == 1
    assert longer[0].size < short[0].size
    assert len(wrapped) > 1
    assert " ".join(words.text for words in wrapped) == LONG.title


def test_lay_out__a_cross_never_ends_a_line() -> None:
    for wide in range(30, 90, 3):
        layout = lay_out(LONG, wide * MM, 60 * MM)
        lines = [words.text for words in layout.words if words.part == "parents"]
        assert not any(line.endswith("×") for line in lines)


def test_lay_out__without_a_title_the_code_stands_in_its_place() -> None:
    for title in ("", "26-014C"):
        layout = lay_out(label("26-014C", title=title), 70 * MM, 36 * MM)
        codes = [words for words in layout.words if words.part == "code"]
        assert [words.text for words in codes] == ["26-014C"]
        assert codes[0].y < layout.height / 3


def test_lay_out__a_narrow_upright_label_is_turned() -> None:
    layout = lay_out(label(), 15 * MM, 100 * MM)
    assert layout.turned
    assert layout.width == 100 * MM
    assert not lay_out(label(), 102 * MM, 152 * MM).turned


def test_lay_out__below_twelve_millimetres_there_is_no_square() -> None:
    low = lay_out(label(), 60 * MM, 11.9 * MM)
    assert low.square is None
    assert "square" in low.left_out
    assert lay_out(label(), 60 * MM, 12 * MM).square.side == pytest.approx(12 * MM)


def test_lay_out__a_flower_nobody_can_draw_takes_no_room() -> None:
    plain = lay_out(label(flower=None), 70 * MM, 36 * MM)
    for flower in ({"falls": "plaid"}, {"falls": ""}):
        assert lay_out(label(flower=flower), 70 * MM, 36 * MM) == plain
