"""Surveys as one HTML file: the board as a map by three rankings, each part's short review, the findings.

Which ranking is shown is a choice of radio buttons that the style sheet answers to, and a part's short review is shown
where its address says so: both work with scripts off.
"""

from collections.abc import Sequence
from functools import cache

from markupsafe import Markup

from leeward.report import page_base
from leeward.report.marks import alone
from leeward.report.survey_sheet import FIRST, TITLES, Map, survey_sheets
from leeward.report.svg import svg_element
from leeward.review.records import Priority
from leeward.survey.records import Survey

STYLES, SCRIPTS = ("base.css", "survey.css"), ("survey.js", "zoom.js")
LETTERS = {"high": "H", "medium": "M", "low": "L"}


def survey_page(surveys: Sequence[Survey]) -> str:
    """Return surveys as HTML; all words of the board files are escaped, and the policy forbids all loading."""
    names = ", ".join(page_base.file_name(survey.board.file) for survey in surveys)
    return page_base.page(
        "survey.html.j2",
        STYLES,
        SCRIPTS,
        title=f"Survey: {names}",
        sheets=survey_sheets(surveys),
        rankings=TITLES,
        first=FIRST,
        drawn=_drawn,
        sign=_sign,
    )


def _drawn(shown: Map, key: str, number: int) -> Markup:
    addresses = {name: f"#{key}-{card}" for name, card in shown.links.items()}
    return Markup(svg_element(shown.drawing, addresses, f"{key}-m{number}-", shown.names))  # noqa: S704  # `svg_element` escapes what it is given


@cache
def _sign(level: Priority) -> Markup:
    return Markup(svg_element(alone(level, LETTERS[level])))  # noqa: S704  # the same
