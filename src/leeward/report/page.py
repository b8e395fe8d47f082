"""The job sheet as one HTML file: nothing remote, nothing that may load, whole with scripts off."""

import hashlib
from collections.abc import Collection, Mapping
from functools import cache
from itertools import compress

from markupsafe import Markup

from leeward.report import page_base
from leeward.report.columns import Rows
from leeward.report.drawing import Drawing
from leeward.report.marks import alone
from leeward.report.sheet import CAPTION, JobSheet, TargetSheet
from leeward.report.sheet_lists import Mark
from leeward.report.svg import svg_element

STYLES, SCRIPTS = ("base.css", "sheet.css"), ("sheet.js", "zoom.js")


def sheet_page(sheet: JobSheet) -> str:
    """Return the job sheet as HTML; all words of the board file are escaped, and the policy forbids all loading."""
    own = {"svg": _svg, "drawn_mark": _mark, "plan": _plan, "classes": _classes}
    return page_base.page("sheet.html.j2", STYLES, SCRIPTS, sheet=sheet, title=title(sheet), caption=CAPTION, **own)


def title(sheet: JobSheet) -> str:
    """Return the heading of a job sheet."""
    name = page_base.file_name(sheet.board.file)
    return f"Take off {', '.join(job.target.ref for job in sheet.targets)}: {name}"


def _svg(drawing: Drawing, links: Mapping[str, str], key: str) -> Markup:
    addresses = {name: f"#{key}-{row}" for name, row in links.items()}
    return Markup(svg_element(drawing, addresses, f"{key}-"))  # noqa: S704  # `svg_element` escapes what it is given


@cache
def _mark(mark: Mark) -> Markup:
    return Markup(svg_element(alone(mark.level, mark.text)))  # noqa: S704  # the same


def _classes(rows: Rows, off_paper: Collection[str]) -> list[str]:
    """Return each column's classes: figures to the right, long words wrapped, and what paper leaves out."""
    held = [(column.align == "right", column.long, column.heading in off_paper) for column in rows.columns]
    return [" ".join(compress(("figure", "long", "screen"), flags)) for flags in held]


def _plan(job: TargetSheet) -> str:
    """Return what tells one work order from another, so that ticks are not carried over to other steps."""
    told = "\n".join(step.do for step in job.steps)
    return hashlib.sha256(told.encode("utf-8", "backslashreplace")).hexdigest()[:12]
