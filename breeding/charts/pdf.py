"""A chart on one sheet of paper, as PDF with vectors and embedded fonts."""

from __future__ import annotations

from reportlab.lib.colors import HexColor
from reportlab.lib.pagesizes import landscape
from reportlab.pdfgen.canvas import Canvas

from breeding.charts.legend import legend
from breeding.charts.measure import FACES, clean, ems, filled, fitted, font
from breeding.charts.model import Chart
from breeding.charts.pdf_flower import flower_forms
from breeding.charts.scene import Ring, Scene, Spot, Stroke, Words
from breeding.charts.sheet import FOOT, HEAD, MARGIN, fit
from breeding.charts.style import EDGE, INK, SOFT
from garden.paper import fonts
from garden.paper.sizes import PAPERS

THINNEST = 0.35
TITLE, SMALLEST_TITLE, FOOTER = 21.0, 11.0, 6.6
LEGEND = (7.6, 6.6, 5.8, 5.0)


class _Sheet:
    """A canvas on which chart units become points."""

    def __init__(self, canvas: Canvas, scale: float, left: float, top: float) -> None:
        self.canvas, self.scale, self.left, self.top = canvas, scale, left, top

    def at(self, x: float, y: float) -> tuple[float, float]:
        return self.left + x * self.scale, self.top - y * self.scale

    def stroke(self, stroke: Stroke) -> None:
        canvas, path, here = self.canvas, self.canvas.beginPath(), (0.0, 0.0)
        for sign, *values in stroke.steps:
            points = [self.at(x, y) for x, y in zip(values[::2], values[1::2], strict=True)]
            if sign == "M":
                path.moveTo(*points[0])
            elif sign == "L":
                path.lineTo(*points[0])
            else:
                one, two, end = points if sign == "C" else _cubic(here, *points)
                path.curveTo(*one, *two, *end)
            here = points[-1]
        canvas.setStrokeColor(HexColor(stroke.ink))
        canvas.setLineWidth(max(THINNEST, stroke.width * self.scale))
        canvas.setDash([float(length) * self.scale for length in stroke.dash.split()])
        canvas.drawPath(path)

    def words(self, words: Words) -> None:
        self.canvas.setFillColor(HexColor(words.ink))
        write(self.canvas, *self.at(words.x, words.y), words.text, words.face,
              words.size * self.scale)  # fmt: skip

    def ring(self, ring: Ring) -> None:
        canvas = self.canvas
        canvas.setStrokeColor(HexColor(ring.ink))
        canvas.setFillColor(HexColor("#ffffff"))
        canvas.setLineWidth(max(THINNEST, (1.8 if ring.letter else 2.5) * self.scale))
        canvas.setDash()
        fill = int(bool(ring.letter))
        canvas.circle(*self.at(ring.x, ring.y), ring.radius * self.scale, fill=fill)
        canvas.setFillColor(HexColor(ring.ink))
        canvas.setFont(font("code"), ring.size * self.scale)
        canvas.drawCentredString(*self.at(ring.x, ring.y + ring.size * 0.34), ring.letter)

    def spot(self, spot: Spot, forms: dict) -> None:
        if spot.bloom:
            half, size = spot.bloom.size / 2, spot.bloom.size * self.scale / 100
            self.canvas.saveState()
            self.canvas.translate(*self.at(spot.bloom.x - half, spot.bloom.y + half))
            self.canvas.scale(size, size)
            self.canvas.doForm(forms[spot.bloom.recipe])
            self.canvas.restoreState()
        for words in spot.words:
            self.words(words)
        if spot.ring:
            self.ring(spot.ring)


def _cubic(here: tuple, turn: tuple, end: tuple) -> tuple:
    """A quadratic curve as a cubic one."""
    one = tuple(a + (b - a) * 2 / 3 for a, b in zip(here, turn, strict=True))
    two = tuple(a + (b - a) * 2 / 3 for a, b in zip(end, turn, strict=True))
    return one, two, end


def write(canvas: Canvas, x: float, y: float, text: str, face: str, size: float) -> None:
    """`text` from `x` on, in fonts that have its signs, never wider than it was measured.

    The page measures a sign of another font as one em, whatever font the browser takes.
    """
    wide = fonts.ems(text, FACES[face])
    size *= min(1.0, ems(text, face) / wide) if wide else 1.0
    fonts.draw(canvas, x, y, text, FACES[face], size)


def to_pdf(chart: Chart, paper: str = "A4", title: str = "", footer: str = "") -> bytes:
    """The chart on one sheet, upright or across, whichever gives the larger words.

    No word is smaller than 5 pt: long names wrap, then rooms shrink, and where a chart is larger
    than any sheet its outermost generations are left out, which the sheet says. `title` is the
    heading (the chart's own without one), `footer` a line at the foot.

    Raises
    ------
    KeyError
        When the paper is neither ``'A4'`` nor ``'Letter'``.
    ValueError
        When the chart is empty.
    """
    size = PAPERS[paper]
    chart, laid, scale, across = fit(chart, size)
    page = landscape(size) if across else size
    canvas = Canvas(None, pagesize=page, initialFontName=font("text"), invariant=1)
    canvas.setTitle(clean(title or chart.title))
    forms = flower_forms(canvas, [spot.bloom.recipe for spot in laid.spots if spot.bloom])
    _around(canvas, page, chart, clean(title or chart.title), clean(footer))
    _draw(canvas, page, laid, scale, forms)
    canvas.showPage()
    return canvas.getpdfdata()


def _draw(canvas: Canvas, page: tuple, laid: Scene, scale: float, forms: dict) -> None:
    width, height = page
    room = height - 2 * MARGIN - HEAD - FOOT
    left = (width - laid.width * scale) / 2
    top = height - MARGIN - HEAD - (room - laid.height * scale) / 2
    sheet = _Sheet(canvas, scale, left, top)
    canvas.setLineCap(1)
    for stroke in sorted(laid.strokes, key=lambda stroke: stroke.width):
        sheet.stroke(stroke)
    for spot in laid.spots:
        sheet.spot(spot, forms)


def _around(canvas: Canvas, page: tuple, chart: Chart, title: str, footer: str) -> None:
    """Heading, legend and footer."""
    width, height = page
    room = width - 2 * MARGIN
    canvas.setFillColor(HexColor(INK))
    lines, size = fitted(title, "name", TITLE, SMALLEST_TITLE, room)
    size = min(size, HEAD * 0.9 / len(lines))
    for at, line in enumerate(lines):
        write(canvas, MARGIN, height - MARGIN - size * (0.8 + at), line, "name", size)
    canvas.setStrokeColor(HexColor(EDGE))
    canvas.setLineWidth(THINNEST)
    canvas.line(MARGIN, MARGIN + FOOT - 8, width - MARGIN, MARGIN + FOOT - 8)
    canvas.setFillColor(HexColor(SOFT))
    _legend(canvas, legend(chart), room, MARGIN + FOOT - 19)
    size = max(5.0, min(FOOTER, room / max(ems(footer, "text"), 1)))
    write(canvas, MARGIN, MARGIN, footer, "text", size)


def _legend(canvas: Canvas, said: list[str], room: float, y: float) -> None:
    """The sentences as running text, smaller where they take more than the lines at the foot."""
    words = clean("  ".join(said)).split()
    for size in LEGEND:
        lines = filled(words, "hand", room / size)
        if len(lines) * size * 1.25 <= FOOT - 16:
            break
    for at, line in enumerate(lines):
        write(canvas, MARGIN, y - at * size * 1.25, line, "hand", size)
