"""The job sheet in a real browser: Debian's chromium, driven by Playwright, with the network off."""

import io
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page
from pypdf import PdfReader

import sample_jobs
from leeward.report.page import sheet_page
from report.browsing import DESK, PHONE, TABLET, faults, opened, running_browser, visit
from report.hostile import NET, REF, VALUE, hostile_sheet

pytestmark = pytest.mark.browser
DRAWN = "#job1 figure .view"
OVERLAPPING = """() => {
  const found = [];
  for (const svg of document.querySelectorAll("svg.drawing")) {
    const words = [...svg.querySelectorAll("text")].map((element) => (
      { text: element.textContent, box: element.getBoundingClientRect() }));
    const cut = 1;  // px: the box of a line of text is a little larger than its ink
    for (let i = 0; i < words.length; i++) for (let j = i + 1; j < words.length; j++) {
      const a = words[i].box, b = words[j].box;
      const wide = Math.min(a.right, b.right) - Math.max(a.left, b.left);
      const tall = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
      if (wide > cut && tall > Math.min(a.height, b.height) * 0.3) found.push(words[i].text + " / " + words[j].text);
    }
  }
  return found;
}"""


SHARE_OF_DRAWING = """([x, y]) => {
  const box = document.querySelector("figure .view svg").getBoundingClientRect();
  return [(x - box.left) / box.width, (y - box.top) / box.height];
}"""


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """Yield one browser for all tests of this file."""
    with running_browser() as started:
        yield started


@pytest.fixture(scope="module")
def sample(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the sheet of U1 on the sample board, as a file."""
    path = tmp_path_factory.mktemp("sheet") / "job.html"
    path.write_text(sheet_page(sample_jobs.sample_sheet()), encoding="utf-8")
    return path


def test_it_opens_from_a_file_and_asks_for_nothing(browser: Browser, sample: Path) -> None:
    """With the network off the page is whole: one request, that of the file, and not a word on the console."""
    seen = visit(browser, sample)
    page = seen.page
    assert page.title() == "Take off U1: tide_logger.kicad_pcb"
    assert page.locator("svg.drawing").first.bounding_box()
    assert page.evaluate("getComputedStyle(document.querySelector('h1')).fontFamily").startswith("Helvetica")
    assert seen.asked == [sample.as_uri()]
    assert seen.said == []


def test_it_is_whole_with_scripts_off(browser: Browser, sample: Path) -> None:
    """Without scripts the drawing, the steps, the lists and the links are there; steps can be ticked."""
    page = opened(browser, sample, scripts=False)
    made = sample_jobs.sample_sheet().targets[0]
    assert page.locator(".verdict").inner_text() == made.verdict
    assert page.locator(".steps li").count() == len(made.steps)
    assert page.locator("h3", has_text="Lands, by risk of lifting").is_visible()
    assert page.locator(f"{DRAWN} svg").first.bounding_box()
    page.locator(".steps input").first.check()
    assert page.locator(".steps input").first.is_checked()
    assert page.locator("button").count() == 0


def test_callouts_and_their_lines_link_both_ways(browser: Browser, sample: Path) -> None:
    """Each callout leads to a row that leads back to it; a click shows the row, another the drawing."""
    page = opened(browser, sample)
    pairs = page.evaluate("""() => [...document.querySelectorAll("figure svg a")].map((a) => {
        const row = document.querySelector(a.getAttribute("href"));
        return [a.id, row && row.querySelector("a").getAttribute("href")];
    })""")
    assert len(pairs) > 20
    assert all(back == f"#{name}" for name, back in pairs)
    page.locator("#job1-call-1 text").first.click()
    assert page.evaluate("location.hash") == "#job1-near-1"
    assert in_sight(page, "#job1-near-1")
    page.locator("#job1-near-1 a").click()
    assert in_sight(page, "#job1-call-1")


def in_sight(page: Page, selector: str) -> bool:
    """Return whether an element is within the window."""
    box = page.locator(selector).bounding_box()
    return box is not None and 0 <= box["y"] <= 900


def drawn_width(page: Page) -> float:
    """Return how wide the first drawing is, in pixels."""
    box = page.locator(f"{DRAWN} svg").first.bounding_box()
    assert box is not None
    return box["width"]


def test_two_fingers_zoom_about_their_middle(browser: Browser, sample: Path) -> None:
    """Fingers moved apart to twice their distance make the drawing twice as wide; what was between them stays there."""
    page = opened(browser, sample, TABLET)
    before = drawn_width(page)
    view = page.locator(DRAWN).first
    box = view.bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    share = page.evaluate(SHARE_OF_DRAWING, [x, y])
    touch(page, x, y, 40, 80)
    assert drawn_width(page) == pytest.approx(2 * before, rel=0.02)
    assert page.evaluate(SHARE_OF_DRAWING, [x, y]) == pytest.approx(share, abs=0.01)
    touch(page, x, y, 80, 20)
    assert drawn_width(page) == pytest.approx(before, rel=0.02)


def touch(page: Page, x: float, y: float, start: float, end: float) -> None:
    """Move two fingers from `start` px either side of a place to `end` px."""
    session = page.context.new_cdp_session(page)

    def fingers(half: float) -> list[dict[str, float]]:
        return [{"x": x - half, "y": y}, {"x": x + half, "y": y}]

    session.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": fingers(start)})
    for i in range(1, 9):
        half = start + (end - start) * i / 8
        session.send("Input.dispatchTouchEvent", {"type": "touchMove", "touchPoints": fingers(half)})
    session.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})


def test_wheel_keys_and_mouse_zoom_and_move(browser: Browser, sample: Path) -> None:
    """The wheel scrolls the page until the drawing is chosen, then zooms; + and - and 0 zoom; drag and arrows move."""
    page = opened(browser, sample)
    view = page.locator(DRAWN).first
    whole = drawn_width(page)
    view.hover()
    page.mouse.wheel(0, -200)
    assert drawn_width(page) == whole
    view.focus()
    view.hover()
    page.mouse.wheel(0, -200)
    page.wait_for_function(
        "w => document.querySelector('figure .view svg').getBoundingClientRect().width > w", arg=whole
    )
    page.keyboard.press("0")
    assert drawn_width(page) == whole
    for _ in range(4):
        page.keyboard.press("+")
    assert drawn_width(page) == pytest.approx(whole * 1.3**4, rel=0.01)
    box = view.bounding_box()
    assert box is not None
    x, y = box["x"] + 300, box["y"] + 200
    before = view.evaluate("view => view.scrollLeft")
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x - 100, y, steps=4)
    page.mouse.up()
    assert view.evaluate("view => view.scrollLeft") == pytest.approx(before + 100, abs=2)
    page.keyboard.press("ArrowRight")
    page.wait_for_function("x => document.querySelector('figure .view').scrollLeft > x", arg=before + 102)
    page.keyboard.press("-")
    assert drawn_width(page) < whole * 1.3**4


def test_ticks_and_notes_survive_a_reload_but_not_another_work_order(browser: Browser, sample: Path) -> None:
    """What was ticked and noted is there after a reload; a sheet with other steps keeps the note alone."""
    page = opened(browser, sample)
    page.locator(".steps input").nth(2).check()
    page.locator("textarea").fill("pad 87 took 80 s")
    page.reload()
    ticked = page.locator(".steps input").evaluate_all("boxes => boxes.map((box) => box.checked)")
    assert [i for i, tick in enumerate(ticked) if tick] == [2]
    assert page.locator("textarea").input_value() == "pad 87 took 80 s"
    text = sample.read_text(encoding="utf-8")
    try:
        sample.write_text(re.sub(r'data-plan="\w+"', 'data-plan="other"', text), encoding="utf-8")
        page.reload()
        assert page.locator(".steps input:checked").count() == 0
        assert page.locator("textarea").input_value() == "pad 87 took 80 s"
    finally:
        sample.write_text(text, encoding="utf-8")


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_it_prints_on_two_pages(browser: Browser, sample: Path, paper: str) -> None:
    """One page of drawing and steps, with the note, and one of lists, on either paper."""
    page = opened(browser, sample)
    page.locator("textarea").fill("the note of the bench")
    pages = [
        sheet.extract_text() for sheet in PdfReader(io.BytesIO(page.pdf(format=paper, print_background=True))).pages
    ]
    assert len(pages) == 2
    made = sample_jobs.sample_sheet().targets[0]
    first = pages[0].replace("\n", " ")
    for words in ("The side to work on", "Work order", made.steps[-1].do[:30], "the note of the bench"):
        assert words in first
    for words in ("Neighbours, by shielding need", "Nozzles, by clearance", "Lands, by risk of lifting", "Cautions"):
        assert words in pages[1]


@pytest.mark.parametrize(("width", "scheme"), [(DESK, "light"), (DESK, "dark"), (PHONE, "light")])
def test_axe_finds_no_fault(browser: Browser, sample: Path, width: int, scheme: str) -> None:
    """axe-core, the checker of the WCAG rules, reports no violation of any weight."""
    assert faults(opened(browser, sample, width, scheme=scheme)) == []


@pytest.mark.parametrize("width", [DESK, TABLET, PHONE])
def test_nothing_overlaps_and_nothing_sticks_out(browser: Browser, sample: Path, width: int) -> None:
    """In the letters of this browser no words of a drawing overlap, and the page is no wider than its window."""
    page = opened(browser, sample, width)
    assert page.evaluate(OVERLAPPING) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_both_schemes_are_drawn(browser: Browser, sample: Path, scheme: str) -> None:
    """The page follows the system's scheme, drawing included."""
    page = opened(browser, sample, scheme=scheme)
    ground = page.evaluate("getComputedStyle(document.documentElement).backgroundColor")
    board = page.evaluate("getComputedStyle(document.querySelector('.ink-board')).fill")
    light = [sum(int(part) for part in re.findall(r"\d+", colour)[:3]) > 384 for colour in (ground, board)]
    assert light == [scheme == "light"] * 2


def test_hostile_names_run_nothing(browser: Browser, tmp_path: Path) -> None:
    """Names that are markup and script are shown as text: no dialog, no element of theirs, nothing on the console."""
    path = tmp_path / "hostile.html"
    path.write_text(sheet_page(hostile_sheet()), encoding="utf-8")
    seen = visit(browser, path)
    page = seen.page
    page.locator(".steps input").first.check()
    page.reload()
    assert page.locator(".steps input").first.is_checked()
    assert seen.said == []
    assert page.locator("script").count() == 1
    assert page.locator("img").count() == 0
    assert page.locator("h2").inner_text() == REF
    text = page.locator("body").inner_text()
    assert VALUE in text
    assert NET in text
