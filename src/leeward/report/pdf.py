"""The job sheet as PDF, on a page that A4 and Letter both hold: a page of drawing and steps, then the lists."""

import io
from collections.abc import Sequence
from xml.sax.saxutils import escape

from reportlab.lib.colors import HexColor
from reportlab.lib.enums import TA_RIGHT
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.platypus import (
    BalancedColumns,
    BaseDocTemplate,
    Flowable,
    Frame,
    KeepTogether,
    PageBreak,
    PageTemplate,
    Paragraph,
    Spacer,
    Table,
    TableStyle,
)

from leeward.report.columns import Rows
from leeward.report.inks import LINE, TEXT
from leeward.report.marks import alone
from leeward.report.page import title
from leeward.report.pdf_drawing import BOLD, FONT, Picture, printable
from leeward.report.sheet import CAPTION, Fact, JobSheet, TargetSheet
from leeward.report.sheet_lists import Table as List

PAGE = (210 * mm, 279 * mm)  # as wide as A4, as tall as Letter
MARGIN = 8 * mm
WIDTH = PAGE[0] - 2 * MARGIN
DRAWN, CHARTED = 0.84 * WIDTH, 0.7 * WIDTH
SIZE, LEADING = 6.5, 7.4
INK, RULE = HexColor(TEXT.light), HexColor(LINE.light)
BODY = ParagraphStyle("body", fontName=FONT, fontSize=SIZE, leading=LEADING, textColor=INK)
SMALL = ParagraphStyle("small", BODY, fontSize=SIZE - 0.8, leading=LEADING - 1)
HEADING = ParagraphStyle("heading", BODY, fontName=BOLD, fontSize=8, leading=10, borderPadding=0, spaceBefore=2)
VERDICT = ParagraphStyle("verdict", BODY, fontSize=7.6, leading=9.2)
LARGE = ParagraphStyle("large", BODY, fontName=BOLD, fontSize=20, leading=22)
TITLE = ParagraphStyle("title", BODY, fontName=BOLD, fontSize=10, leading=12)
LEAST_LONG = 26 * mm  # the narrowest that a column of long words gets


def sheet_pdf(sheet: JobSheet) -> bytes:
    """Return the job sheet as a PDF file; the same sheet gives the same bytes."""
    made = io.BytesIO()
    heading = printable(title(sheet))
    document = BaseDocTemplate(
        made, pagesize=PAGE, title=heading, author="Leeward", lang="en", invariant=1, pageCompression=1
    )
    frame = Frame(
        MARGIN,
        MARGIN,
        WIDTH,
        PAGE[1] - 2 * MARGIN,
        leftPadding=0,
        rightPadding=0,
        topPadding=0,
        bottomPadding=0,
        id="page",
    )
    document.addPageTemplates(PageTemplate(frames=[frame]))
    document.build(_story(sheet, heading))
    return made.getvalue()


def _story(sheet: JobSheet, heading: str) -> list[Flowable]:
    story: list[Flowable] = []
    for job in sheet.targets:
        story += [PageBreak()] if story else []
        story.append(_head(heading, f"{sheet.board.file}, sha256 {sheet.board.sha256[:12]}"))
        story += [_words(line) for line in sheet.order]
        story += [*_first_page(job), PageBreak(), *_lists(job, sheet.board.notes)]
    return story


def _head(heading: str, file: str) -> Table:
    aside = ParagraphStyle("aside", SMALL, alignment=TA_RIGHT)
    return Table([[_words(heading, TITLE), _words(file, aside)]], [WIDTH / 2] * 2, style=_plain())


def _first_page(job: TargetSheet) -> list[Flowable]:
    return [
        _rule(),
        *_block(job),
        _facts(job.facts),
        *_headed("The side to work on"),
        Picture(job.work, DRAWN),
        _words(CAPTION, SMALL),
        *_headed("The opposite side, board turned over"),
        Picture(job.opposite, DRAWN),
        *_headed("Work order"),
        BalancedColumns([_step(step.step, step.do) for step in job.steps], nCols=2, innerPadding=4 * mm),
        _note(),
    ]


def _lists(job: TargetSheet, notes: Sequence[str]) -> list[Flowable]:
    return [
        *_headed("Recipe, and what it does"),
        Picture(job.chart, CHARTED),
        _words(job.recipe),
        *(item for table in job.ranked for item in _list(table)),
        *_bullets("Cautions", job.cautions),
        *_bullets("What the figures are worth", job.worth),
        *_bullets("Not assessed", [f"{part}: {why}" for part, why in job.not_assessed.cells]),
        *_bullets("What the board file left open", notes),
    ]


def _block(job: TargetSheet) -> list[Flowable]:
    name = printable(job.target.ref)
    wide = min(stringWidth(name, BOLD, LARGE.fontSize) + 4 * mm, WIDTH / 3)
    cells = [_words(job.target.ref, LARGE), _words(job.verdict, VERDICT)]
    widths = [wide, WIDTH - wide]
    if job.place is not None:
        cells.append(Picture(job.place, 28 * mm))
        widths = [wide, WIDTH - wide - 30 * mm, 30 * mm]
    return [Table([cells], widths, style=_plain(("VALIGN", (0, 0), (-1, -1), "MIDDLE")))]


def _facts(facts: Sequence[Fact]) -> Table:
    cells = [[_words(fact.name, SMALL), _words(fact.value, HEADING), _words(fact.remark, SMALL)] for fact in facts]
    box = (
        ("BOX", (0, 0), (-1, -1), 0.6, INK),
        ("INNERGRID", (0, 0), (-1, -1), 0.6, INK),
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
    )
    padded = TableStyle([*box, ("TOPPADDING", (0, 0), (-1, -1), 1), ("BOTTOMPADDING", (0, 0), (-1, -1), 2)])
    return Table([cells], [WIDTH / len(cells)] * len(cells), style=padded)


def _step(number: int, do: str) -> Table:
    box = Table([[""]], [2.6 * mm], [2.6 * mm], style=TableStyle([("BOX", (0, 0), (-1, -1), 0.6, INK)]))
    told = _words(do)
    wide = (WIDTH - 4 * mm) / 2 - 10.5 * mm
    below = ("LINEBELOW", (0, 0), (-1, -1), 0.3, RULE)
    return Table([[box, _words(str(number), HEADING), told]], [4.5 * mm, 6 * mm, wide], style=_plain(below))


def _note() -> KeepTogether:
    box = Table([[""]], [WIDTH], [9 * mm], style=TableStyle([("BOX", (0, 0), (-1, -1), 0.6, INK)]))
    return KeepTogether([_words("Notes", HEADING), box])


def _list(table: List) -> list[Flowable]:
    rows = table.rows
    kept = [i for i, column in enumerate(rows.columns) if column.heading not in table.off_paper]
    shown = [i for i in range(len(rows.cells)) if i in table.on_paper]
    if not shown:
        return [*_headed(table.title), _words("None.")]
    heads = [f"{rows.columns[i].heading}\n{rows.columns[i].unit}".strip() for i in kept]
    cells = [[rows.cells[at][i] for i in kept] for at in shown]
    grid = _grid(Rows([rows.columns[i] for i in kept], cells), heads, _marks(table, shown))
    more = len(rows.cells) - len(shown)
    return [*_headed(table.title), grid, *([_words(f"{more} more in the other forms.", SMALL)] if more else [])]


def _marks(table: List, shown: Sequence[int]) -> list[Picture]:
    return [Picture(alone(table.marks[at].level, table.marks[at].text), 3.1 * mm) for at in shown if table.marks]


def _grid(rows: Rows, heads: Sequence[str], marks: Sequence[Picture]) -> Table:
    """Return a table, its figures to the right, long words wrapped in what width is left."""
    lead = 5 * mm if marks else 0.0
    widths = _widths(rows, heads, WIDTH - lead)
    body = [[_cell(text, width) for text, width in zip(line, widths, strict=True)] for line in rows.cells]
    body = [list(heads), *body]
    right = [
        ("ALIGN", (i, 0), (i, -1), "RIGHT")
        for i, column in enumerate(rows.columns, int(bool(marks)))
        if column.align == "right"
    ]
    if marks:
        body = [[first, *line] for first, line in zip(("No.", *marks), body, strict=True)]
        widths = [lead, *widths]
    style = _plain(
        ("FONT", (0, 0), (-1, -1), FONT, SIZE - 0.4, LEADING - 1),
        ("FONT", (0, 0), (-1, 0), BOLD, SIZE - 0.8, LEADING - 1),
        ("TEXTCOLOR", (0, 0), (-1, -1), INK),
        ("LINEBELOW", (0, 0), (-1, -1), 0.3, RULE),
        ("LINEBELOW", (0, 0), (-1, 0), 0.6, INK),
        ("VALIGN", (0, 0), (-1, 0), "BOTTOM"),
        ("RIGHTPADDING", (0, 0), (-1, -1), 3),
        *right,
    )
    return Table(body, widths, repeatRows=1, style=style, hAlign="LEFT")


def _cell(text: str, width: float) -> str | Paragraph:
    return printable(text) if _wide(text) <= width + 0.01 else _words(text, SMALL)


def _wide(text: str) -> float:
    """Return how wide a cell is that holds a text (its lines are given) on one line."""
    return float(max(stringWidth(printable(line), FONT, SIZE - 0.4) for line in text.split("\n"))) + 4


def _widths(rows: Rows, heads: Sequence[str], room: float) -> list[float]:
    """Return the columns' widths: short ones as they need, long ones too as far as there is room for them."""
    wanted = [max(_wide(text) for text in column) for column in zip(heads, *rows.cells, strict=True)]
    widths = dict(enumerate(wanted))
    flexible = sorted((i for i, column in enumerate(rows.columns) if column.long), key=lambda i: wanted[i])
    left = room - sum(wanted) + sum(wanted[i] for i in flexible)
    for count, i in zip(range(len(flexible), 0, -1), flexible, strict=True):
        widths[i] = min(wanted[i], max(left / count, LEAST_LONG))
        left -= widths[i]
    return [widths[i] for i in range(len(wanted))]


def _bullets(heading: str, lines: Sequence[str]) -> list[Flowable]:
    if not lines:
        return []
    items = [_words(f"\u2022 {line}", SMALL) for line in lines]
    return [*_headed(heading), BalancedColumns(items, nCols=2, needed=LEADING, innerPadding=4 * mm)]


def _headed(text: str) -> list[Flowable]:
    return [Spacer(1, 0.9 * mm), _rule(), _words(text, HEADING)]


def _rule() -> Table:
    return Table([[""]], [WIDTH], [0.5 * mm], style=TableStyle([("LINEABOVE", (0, 0), (-1, 0), 0.9, INK)]))


def _plain(*commands: tuple[object, ...]) -> TableStyle:
    """Return a style without the padding that tables have by themselves, but for a little."""
    none = [(f"{side}PADDING", (0, 0), (-1, -1), 0) for side in ("LEFT", "RIGHT")]
    little = [(f"{side}PADDING", (0, 0), (-1, -1), 0.8) for side in ("TOP", "BOTTOM")]
    return TableStyle([*none, *little, ("VALIGN", (0, 0), (-1, -1), "TOP"), *commands])


def _words(text: str, style: ParagraphStyle = BODY) -> Paragraph:
    return Paragraph(_text(text), style)


def _text(text: str) -> str:
    return escape(printable(text))
