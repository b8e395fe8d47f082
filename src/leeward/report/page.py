"""The job sheet as one HTML file: nothing remote, nothing that may load, whole with scripts off."""

import hashlib
from base64 import b64encode
from collections.abc import Collection, Mapping
from functools import cache
from importlib.resources import files
from itertools import compress

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from leeward.report import inks
from leeward.report.columns import Rows
from leeward.report.drawing import Drawing
from leeward.report.inks import Shade
from leeward.report.marks import alone
from leeward.report.sheet import CAPTION, JobSheet, TargetSheet
from leeward.report.sheet_lists import Mark
from leeward.report.svg import page_style, svg_element
from leeward.report.wording import clean

COLOURS: Mapping[str, Shade] = {
    "page": inks.PAGE,
    "text": inks.TEXT,
    "faint": inks.FAINT,
    "line": inks.LINE,
    "target": inks.TARGET,
    "risk": inks.RISK,
    "own": inks.OWN,
}
TEMPLATES = "templates"


def sheet_page(sheet: JobSheet) -> str:
    """Return the job sheet as HTML; all words of the board file are escaped, and the policy forbids all loading."""
    style, script = f"{_colours()}{page_style()}{_text('sheet.css')}", _text("sheet.js")
    nothing = "default-src 'none'; base-uri 'none'; form-action 'none'"
    page = (
        _environment()
        .get_template("sheet.html.j2")
        .render(
            sheet=sheet,
            title=title(sheet),
            caption=CAPTION,
            policy=f"{nothing}; style-src {_hash(style)}; script-src {_hash(script)}",
            style=Markup(style),  # noqa: S704  # our own, and no word of a board in it
            script=Markup(script),  # noqa: S704  # the same
        )
    )
    return page.rstrip("\n") + "\n"


def title(sheet: JobSheet) -> str:
    """Return the heading of a job sheet."""
    name = sheet.board.file.replace("\\", "/").rsplit("/", 1)[-1]
    return f"Take off {', '.join(job.target.ref for job in sheet.targets)}: {name}"


@cache
def _environment() -> Environment:
    made = Environment(
        loader=PackageLoader("leeward.report", TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        finalize=_finalized,
    )
    made.globals.update(svg=_svg, drawn_mark=_mark, plan=_plan, classes=_classes)
    return made


def _finalized(value: object) -> object:
    """Return a text without control characters; markup of our own stays as it is."""
    return clean(value) if isinstance(value, str) and not isinstance(value, Markup) else value


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


def _colours() -> str:
    light = ";".join(f"--{name}:{shade.light}" for name, shade in COLOURS.items())
    dark = ";".join(f"--{name}:{shade.dark}" for name, shade in COLOURS.items())
    return f":root{{{light}}}@media screen and (prefers-color-scheme:dark){{:root{{{dark}}}}}"


def _text(name: str) -> str:
    return (files("leeward.report") / TEMPLATES / name).read_text(encoding="utf-8").strip()


def _hash(content: str) -> str:
    return f"'sha256-{b64encode(hashlib.sha256(content.encode()).digest()).decode()}'"
