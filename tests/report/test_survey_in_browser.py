"""The survey's page in a real browser, with the network off."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from leeward.bench.read import read_bench
from leeward.board.read import read
from leeward.parts.identify import identify
from leeward.report.survey_page import survey_page
from leeward.survey.pool import workers
from leeward.survey.survey import Wish
from leeward.survey.survey import survey as survey_of
from report.browsing import DESK, PHONE, faults, opened, running_browser, visit

pytestmark = pytest.mark.browser
SAMPLE = Path(__file__).parents[2] / "sample_boards" / "tide_logger.kicad_pcb"


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """Yield one browser for all tests of this file."""
    with running_browser() as started:
        yield started


@pytest.fixture(scope="module")
def sample(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the page of six targets of the sample board, as a file."""
    board = read(str(SAMPLE))
    with workers(1) as alone:
        found = survey_of(board, identify(board), read_bench(), Wish(("U5", "U6", "L1", "L2", "Q1", "C1")), alone)
    path = tmp_path_factory.mktemp("survey") / "survey.html"
    path.write_text(survey_page([found]), encoding="utf-8")
    return path


def shown(page: Page, selector: str) -> int:
    """Return how many elements of a selector are shown."""
    return page.locator(selector).locator("visible=true").count()


def test_it_asks_for_nothing_and_says_nothing(browser: Browser, sample: Path) -> None:
    """One request, that of the file, and not a word on the console, also once a part was chosen."""
    seen = visit(browser, sample)
    page = seen.page
    page.locator(".maps a").locator("visible=true").first.click()
    assert page.title() == "Survey: tide_logger.kicad_pcb"
    assert seen.asked == [sample.as_uri()]
    assert seen.said == []


@pytest.mark.parametrize("scripts", [True, False])
def test_the_map_follows_the_ranking_chosen(browser: Browser, sample: Path, scripts: bool) -> None:
    """One layer and one list are shown at a time, by a click on the ranking's name, scripts or not."""
    page = opened(browser, sample, scripts=scripts)
    for name in ("lift", "clearance", "shielding"):
        page.locator(f'label[for="by-{name}"]').click()
        for other in ("lift", "clearance", "shielding"):
            assert (shown(page, f'.maps a[id*="-{other}-t"]') > 0) == (other == name)
            assert (shown(page, f".ranked.by-{other}") == 1) == (other == name)


@pytest.mark.parametrize("scripts", [True, False])
def test_a_part_opens_its_short_review_in_place(browser: Browser, sample: Path, scripts: bool) -> None:
    """No review is open at first; a part in the map opens its own, another replaces it, and Close closes it."""
    page = opened(browser, sample, scripts=scripts)
    assert shown(page, ".card") == 0
    parts = page.locator(".maps a").locator("visible=true")
    for at in (0, 1):
        where = parts.nth(at).get_attribute("href")
        parts.nth(at).click()
        assert shown(page, ".card") == 1
        box = page.locator(f"{where}").bounding_box()
        assert box is not None
        assert box["y"] < 900
    page.locator(".card >> visible=true").get_by_text("Close").click()
    assert shown(page, ".card") == 0


def test_the_keyboard_is_enough(browser: Browser, sample: Path) -> None:
    """Tab and arrows choose a ranking, Tab goes on to the parts, Enter opens a review and the focus goes there."""
    page = opened(browser, sample)
    page.keyboard.press("Tab")
    page.keyboard.press("ArrowRight")
    assert page.evaluate("document.activeElement.id") == "by-clearance"
    assert shown(page, '.maps a[id*="-clearance-t"]') > 0
    for _ in range(12):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.matches('.maps a')"):
            break
    page.keyboard.press("Enter")
    page.wait_for_function("document.activeElement.matches('.card:target')")


@pytest.mark.parametrize(("width", "scheme"), [(DESK, "light"), (DESK, "dark"), (PHONE, "light")])
def test_axe_finds_no_fault_in_a_survey(browser: Browser, sample: Path, width: int, scheme: str) -> None:
    """axe-core reports no violation, with a review open, and the page is no wider than its window."""
    page = opened(browser, sample, width, scheme=scheme)
    page.locator(".maps a").locator("visible=true").first.click()
    assert faults(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_it_prints(browser: Browser, sample: Path) -> None:
    """On paper both maps, the ranking and the findings are there, and the controls are not."""
    page = opened(browser, sample)
    page.emulate_media(media="print")
    assert shown(page, ".maps svg.drawing") == 2
    assert shown(page, ".ranked") == 1
    assert shown(page, ".rankings") == 0
    assert page.pdf(format="A4").startswith(b"%PDF")
