"""What our HTML pages share: one template language, one set of colours, a policy that lets nothing load."""

import hashlib
from base64 import b64encode
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from leeward.report import inks
from leeward.report.inks import Shade
from leeward.report.svg import page_style
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
NOTHING = "default-src 'none'; base-uri 'none'; form-action 'none'"


def page(template: str, styles: tuple[str, ...], scripts: tuple[str, ...], **given: Any) -> str:  # noqa: ANN401  # a template's own
    """Return a template as HTML, with styles and scripts by their file names; all words given are escaped.

    The policy forbids all loading and allows the page's own style and script by their hashes.
    """
    style = f"{_colours()}{page_style()}{_joined(styles)}"
    script = _joined(scripts)
    made = (
        _environment()
        .get_template(template)
        .render(
            policy=f"{NOTHING}; style-src {_hash(style)}; script-src {_hash(script)}",
            style=Markup(style),  # noqa: S704  # our own, and no word of a board in it
            script=Markup(script),  # noqa: S704  # the same
            **given,
        )
    )
    return made.rstrip("\n") + "\n"


def file_name(path: str) -> str:
    """Return the last part of a path, of whatever system."""
    return path.replace("\\", "/").rsplit("/", 1)[-1]


@cache
def _environment() -> Environment:
    return Environment(
        loader=PackageLoader("leeward.report", TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        finalize=_finalized,
    )


def _finalized(value: object) -> object:
    """Return a text without control characters; markup of our own stays as it is."""
    return clean(value) if isinstance(value, str) and not isinstance(value, Markup) else value


def _colours() -> str:
    light = ";".join(f"--{name}:{shade.light}" for name, shade in COLOURS.items())
    dark = ";".join(f"--{name}:{shade.dark}" for name, shade in COLOURS.items())
    return f":root{{{light}}}@media screen and (prefers-color-scheme:dark){{:root{{{dark}}}}}"


def _joined(names: tuple[str, ...]) -> str:
    return "\n".join((files("leeward.report") / TEMPLATES / name).read_text(encoding="utf-8").strip() for name in names)


def _hash(content: str) -> str:
    return f"'sha256-{b64encode(hashlib.sha256(content.encode()).digest()).decode()}'"
