"""The job sheet as one HTML file."""

import hashlib
import re
from base64 import b64encode
from functools import cache
from html.parser import HTMLParser
from pathlib import Path

import pytest

import sample_jobs
from builders import board, review, sequence
from leeward.report.page import sheet_page
from leeward.report.sheet import job_sheet
from needs import kicad_demo
from report.hostile import NET, REF, VALUE, hostile_sheet

MOST_BYTES = 2_000_000
VOID = ("meta", "input")


class Outline(HTMLParser):
    """What a page holds: its elements with their attributes in order, its text, and whether they nest."""

    def __init__(self) -> None:
        super().__init__()
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.open: list[str] = []
        self.text: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note an element."""
        self.elements.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note an element without contents, as SVG writes it."""
        self.elements.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        """Check that what closes is what was opened last."""
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        """Note text."""
        self.text.append(data)


@cache
def plain_page() -> str:
    """Return the page of an invented review."""
    judged = review()
    return sheet_page(job_sheet(board(), [judged], sequence(judged)))


def outline(page: str) -> Outline:
    """Return what a page holds; all elements are closed."""
    found = Outline()
    found.feed(page)
    found.close()
    assert found.open == []
    return found


def test_the_policy_lets_nothing_load_but_the_page_s_own_style_and_script() -> None:
    """Nothing is allowed but the style and the script whose hashes are those of the page's own two."""
    page = plain_page()
    (style,) = re.findall(r"<style>(.*?)</style>", page, flags=re.DOTALL)
    (script,) = re.findall(r"<script>(.*?)</script>", page, flags=re.DOTALL)
    policy = re.search(r'Content-Security-Policy" content="([^"]*)"', page)
    assert policy is not None
    told = policy.group(1).replace("&#39;", "'")
    rules = dict(rule.strip().split(" ", 1) for rule in told.split(";"))
    assert rules == {
        "default-src": "'none'",
        "base-uri": "'none'",
        "form-action": "'none'",
        "style-src": digest(style),
        "script-src": digest(script),
    }


def digest(text: str) -> str:
    """Return the source expression of CSP level 2 for a text: its SHA-256 in base64."""
    return f"'sha256-{b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"


def test_nothing_is_remote() -> None:
    """No element loads anything, and every link stays in the page."""
    for tag, attributes in outline(plain_page()).elements:
        assert tag not in ("link", "img", "iframe", "object", "embed", "base", "form", "use", "image")
        assert "src" not in attributes
        assert "style" not in attributes
        assert (attributes.get("href") or "#").startswith("#")
        assert not [name for name in attributes if name.startswith("on")]


def test_links_lead_to_what_is_there() -> None:
    """Every link's end exists, and ids are given once."""
    elements = outline(plain_page()).elements
    ids = [attributes["id"] for _, attributes in elements if "id" in attributes]
    ends = [attributes["href"] for tag, attributes in elements if tag == "a"]
    assert len(ids) == len(set(ids))
    assert len(ends) > 6
    assert {end[1:] for end in ends if end} <= set(ids)


def test_headings_are_in_order_and_tables_have_heads() -> None:
    """Headings go down one level at a time from a single h1; every column and every row has its header."""
    elements = outline(plain_page()).elements
    levels = [int(tag[1]) for tag, _ in elements if re.fullmatch(r"h\d", tag)]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(b <= a + 1 for a, b in zip(levels[:-1], levels[1:], strict=True))
    assert all("scope" in attributes for tag, attributes in elements if tag == "th")
    assert [attributes for tag, attributes in elements if tag == "html"] == [{"lang": "en"}]


def test_all_that_a_bench_needs_is_in_the_page() -> None:
    """Verdict, steps, lists, cautions, what was not assessed and the sources stand in the page as text."""
    text = "".join(outline(plain_page()).text)
    for words in (
        "U1 (two-row gull-wing, top)",
        "Support the board.",
        "Neighbours, by shielding need",
        "Nozzles, by clearance",
        "Lands, by risk of lifting",
        "Burns: the nozzle is hot.",
        "mounting hole",
        "invented table, row 3: for tests only",
        "1 zone(s) hold no fill",
    ):
        assert words in text


def test_hostile_names_stay_text() -> None:
    """References, values, nets, notes and the file's name are shown letter by letter, and make no element."""
    page = sheet_page(hostile_sheet())
    found = outline(page)
    assert [tag for tag, _ in found.elements].count("script") == 1
    assert "img" not in [tag for tag, _ in found.elements]
    assert not [name for _, attributes in found.elements for name in attributes if name.startswith("on")]
    text = "".join(found.text)
    assert REF in text
    assert VALUE in text
    assert NET in text
    assert not re.search("[\x00\x1b\u202e\ud800]", page)
    page.encode("utf-8")


def test_the_same_review_gives_the_same_page() -> None:
    """Nothing of the moment is in the page."""
    judged = review()
    assert sheet_page(job_sheet(board(), [judged], sequence(judged))) == plain_page()


@pytest.mark.kicad
def test_the_page_of_a_large_board_is_small() -> None:
    """The sheet for U23 of the demo board `video` is at most 2 MB."""
    made = job_sheet(*sample_jobs.job(Path(kicad_demo("video/video.kicad_pcb")), "U23"))
    assert len(sheet_page(made).encode()) <= MOST_BYTES
