"""Faces on paper: which font draws which sign, widths, and what is read from the right."""

from __future__ import annotations

import io

import pdfplumber
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from reportlab.pdfgen.canvas import Canvas

from garden.paper import fonts
from garden.paper.order import as_drawn

FACES = pytest.mark.parametrize("face", fonts.FACES)


def drawn(text: str, face: str) -> list[dict]:
    fonts.register()
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=(4000, 100), initialFontName=fonts.TEXT)
    fonts.draw(canvas, 20, 50, text, face, 12)
    canvas.showPage()
    canvas.save()
    return pdfplumber.open(out).pages[0].chars


@FACES
def test_runs__latin_is_the_face_alone(face: str) -> None:
    assert fonts.runs("Žluťoučký kůň Å × ½", face) == [("Žluťoučký kůň Å × ½", face)]


def test_runs__a_word_with_a_foreign_letter_changes_font_whole() -> None:
    behind = fonts.FALLBACK_BOLD
    assert fonts.runs("Иван Sky", fonts.NAME) == [("Иван", behind), (" Sky", fonts.NAME)]
    assert fonts.runs("Nguyễn", fonts.NAME) == [("Nguyễn", behind)]
    assert fonts.runs("♀Sky", fonts.NAME) == [("♀", behind), ("Sky", fonts.NAME)]


def test_runs__numbers_are_never_set_in_hanging_figures() -> None:
    assert fonts.runs("26-014C × Fen", fonts.NAME)[0] == ("26-014C", fonts.BOLD)
    assert fonts.runs("(Fen × 23-007B)", fonts.ITALIC)[1] == ("23-007B", fonts.TEXT)
    assert fonts.runs("Sky-High", fonts.NAME) == [("Sky-High", fonts.NAME)]


@FACES
def test_runs__what_no_font_has_is_a_dot(face: str) -> None:
    assert "".join(piece for piece, _ in fonts.runs("鳶尾 🌸", face)) == "·· ·"


def test_runs__refuses_an_unknown_face() -> None:
    with pytest.raises(KeyError):
        fonts.runs("Fen", "Helvetica")


def test_unprintable__names_each_sign_once() -> None:
    assert fonts.unprintable("鳶尾鳶 iris 🌸 Иван שלום ❤️") == "鳶尾🌸"
    assert fonts.unprintable("Žluťoučký ♀ × ♂ Ἶρις") == ""


@settings(max_examples=25, deadline=None)
@given(st.text(st.sampled_from("ab Žß×26-014CИванῬשלוםنور鳶(♀)·"), min_size=1, max_size=30))
def test_width__is_what_is_drawn(text: str) -> None:
    for face in (fonts.NAME, fonts.TEXT):
        signs = [sign for sign in drawn(text, face) if sign["text"].strip()]
        if not signs:
            continue
        reach = max(sign["x1"] for sign in signs) - 20
        blanks = 12 * fonts.ems(" ", face) * len(text)
        assert reach <= fonts.width(text, face, 12) + 0.05
        assert reach >= fonts.width(text, face, 12) - blanks - 0.05


@settings(max_examples=60)
@given(st.text(max_size=40))
def test_runs__loses_no_sign(text: str) -> None:
    text = fonts.clean(text)
    joined = "".join(piece for piece, _ in fonts.runs(text, fonts.TEXT))
    assert len(joined) == len(as_drawn(text))


def test_clean__one_line_without_steering_signs() -> None:
    assert fonts.clean(" a\u0301\tb\r\n\x00c\u200f\ufe0f ") == "á b c"
    assert fonts.clean("e\ufffex\ue000") == "e x"


# Unicode Standard Annex 9: what is read from the right is drawn from the left, last letter first;
# brackets are mirrored, numbers keep their order.
@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("שלום", "םולש"),
        ("שלום (2026)", "(2026) םולש"),
        ("Sun (שמש) b", "Sun (שמש)"[:5] + "שמש"[::-1] + ") b"),
        ("אירוס 26-014C", "26-014C סוריא"),
        ("שָׁלוֹם", "םולש"),
        ("Fen × Sky", "Fen × Sky"),
    ],
)
def test_as_drawn__hebrew(text: str, wanted: str) -> None:
    assert as_drawn(text) == wanted


def test_as_drawn__arabic_letters_take_the_form_of_their_place() -> None:
    # نور: noon at its beginning, waw joined to it, reh by itself (Unicode block Arabic
    # Presentation Forms-B: FEE7, FEEE, FEAD).
    assert as_drawn("نور") == "\ufead\ufeee\ufee7"
    assert as_drawn("نور 26-014") == "26-014 \ufead\ufeee\ufee7"
    assert fonts.unprintable(as_drawn("قزحية الجبل")) == ""
