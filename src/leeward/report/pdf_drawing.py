"""A drawing on a page of PDF."""

from reportlab.lib.colors import HexColor
from reportlab.lib.units import mm
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import FILL_EVEN_ODD, Canvas
from reportlab.pdfgen.pathobject import PDFPathObject
from reportlab.platypus import Flowable

from leeward.report.drawing import Area, Drawing, Line, Point, Ring, Words
from leeward.report.inks import INKS, Ink
from leeward.report.lettering import CAPITAL
from leeward.report.wording import clean

FONT, BOLD = "Helvetica", "Helvetica-Bold"
SPELLED = {"\u03a9": "Ohm", "\u2126": "Ohm", "\u03bc": "\u00b5", "\u2212": "-"}  # signs that the font lacks


class Picture(Flowable):  # type: ignore[misc]  # reportlab is not typed
    """A drawing as wide as is asked, in points; strokes keep their width on paper."""

    def __init__(self, drawing: Drawing, width: float) -> None:
        super().__init__()
        x0, y0, x1, y1 = drawing.frame_mm
        self.drawing = drawing
        self.unit = width / (x1 - x0)  # points for one of the drawing's mm
        self.width, self.height = width, (y1 - y0) * self.unit
        self.hAlign = "CENTER"

    def draw(self) -> None:
        """Draw all items, in their order, onto the page."""
        for item in self.drawing.items:
            ink = INKS[item.ink]
            self.canv.saveState()
            if isinstance(item, Words):
                self._words(item, ink)
            else:
                self._shape(item, ink)
            self.canv.restoreState()

    def _place(self, point: Point) -> Point:
        x0, _, _, y1 = self.drawing.frame_mm
        return (point[0] - x0) * self.unit, (y1 - point[1]) * self.unit

    def _shape(self, item: Area | Line, ink: Ink) -> None:
        canvas, shrunk = self.canv, self.unit / (self.drawing.scale * mm)
        if ink.stroke is not None:
            canvas.setStrokeColor(HexColor(ink.stroke.light))
            canvas.setLineWidth(ink.width_mm * mm * shrunk)
            canvas.setLineJoin(1)
            canvas.setDash([dash * mm * shrunk for dash in ink.dash_mm])
        if ink.fill is not None:
            canvas.setFillColor(HexColor(ink.fill.light))
            canvas.setFillAlpha(ink.opacity)
        path = canvas.beginPath()
        for ring in item.rings if isinstance(item, Area) else (item.points,):
            self._run(path, ring, closed=isinstance(item, Area) or item.closed)
        filled = isinstance(item, Area) and ink.fill is not None
        canvas.drawPath(path, stroke=int(ink.stroke is not None), fill=int(filled), fillMode=FILL_EVEN_ODD)

    def _run(self, path: PDFPathObject, ring: Ring, *, closed: bool) -> None:
        first, *others = (self._place(point) for point in ring)
        path.moveTo(*first)
        for point in others:
            path.lineTo(*point)
        if closed:
            path.close()

    def _words(self, item: Words, ink: Ink) -> None:
        canvas: Canvas = self.canv
        font, size = BOLD if ink.bold else FONT, item.height_mm / CAPITAL * self.unit
        text = printable(item.text)
        before = {"start": 0.0, "middle": 0.5, "end": 1.0}[item.anchor] * stringWidth(text, font, size)
        if ink.fill is not None:
            canvas.setFillColor(HexColor(ink.fill.light))
        canvas.setFont(font, size)
        canvas.translate(*self._place(item.at))
        canvas.rotate(item.angle_deg)
        canvas.drawString(-before, 0, text)


def printable(text: str) -> str:
    """Return a text in the letters that every PDF reader's own fonts have: others are spelled, or a question mark."""
    spelled = "".join(SPELLED.get(sign, sign) for sign in clean(text))
    return spelled.encode("cp1252", "replace").decode("cp1252")
