"""Drawings as PDF pages, each in its own scale: a drawing in true size measures so on paper that is not fitted."""

import io

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from leeward.report.drawing import Drawing
from leeward.report.pdf_drawing import Picture, printable

TOP_MM = 8.0  # margin above a drawing
SHEETS_MM = ((210.0, 297.0), (297.0, 210.0), (297.0, 420.0), (420.0, 297.0))  # A4 and A3, upright and across


def pages_pdf(drawings: tuple[Drawing, ...], title: str) -> bytes:
    """Return a PDF of one page for each drawing: the smallest of A4 and A3 that takes it, else as large as it is.

    The same drawings give the same bytes. Readers are asked not to scale the pages in print.
    """
    made = io.BytesIO()
    canvas = Canvas(made, invariant=1, pageCompression=1)
    canvas.setTitle(printable(title))
    canvas.setViewerPreference("PrintScaling", "None")
    for drawing in drawings:
        _page(canvas, drawing)
    canvas.save()
    return made.getvalue()


def _page(canvas: Canvas, drawing: Drawing) -> None:
    x0, y0, x1, y1 = drawing.frame_mm
    wide, tall = (x1 - x0) * drawing.scale, (y1 - y0) * drawing.scale
    width, height = next(((w, h) for w, h in SHEETS_MM if wide <= w and tall <= h), (wide, tall))
    canvas.setPageSize((width * mm, height * mm))
    top = min(TOP_MM, (height - tall) / 2)
    Picture(drawing, wide * mm).drawOn(canvas, (width - wide) / 2 * mm, (height - top - tall) * mm)
    canvas.showPage()
