"""Pages in a real browser for tests: Debian's chromium, driven by Playwright, with the network off."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, sync_playwright

from needs import chromium

QUIET = ("--headless", "--no-sandbox", "--disable-gpu", "--disable-background-networking", "--no-first-run")
DESK, TABLET, PHONE = 1280, 800, 390


@dataclass
class Visit:
    """A page with all that it asked for and said since before it was opened."""

    page: Page
    asked: list[str] = field(default_factory=list)  # addresses
    said: list[str] = field(default_factory=list)  # on the console, as errors and in dialogs


@contextmanager
def running_browser() -> Iterator[Browser]:
    """Yield a browser; the test is skipped where there is none."""
    path = chromium()
    with sync_playwright() as driver:
        started = driver.chromium.launch(executable_path=path, args=list(QUIET))
        yield started
        started.close()


def opened(browser: Browser, path: Path, width: int = DESK, *, scripts: bool = True, scheme: str = "light") -> Page:
    """Return a page of a file."""
    context = browser.new_context(
        viewport={"width": width, "height": 900},
        offline=True,
        java_script_enabled=scripts,
        has_touch=True,
        color_scheme="dark" if scheme == "dark" else "light",
    )
    page = context.new_page()
    page.goto(path.as_uri())
    return page


def visit(browser: Browser, path: Path) -> Visit:
    """Return a page of a file that is listened to."""
    made = Visit(browser.new_context(offline=True).new_page())
    made.page.on("request", lambda request: made.asked.append(request.url))
    made.page.on("console", lambda message: made.said.append(message.text))
    made.page.on("pageerror", lambda error: made.said.append(str(error)))
    made.page.on("dialog", lambda dialog: made.said.append(dialog.message))
    made.page.goto(path.as_uri())
    return made


def faults(page: Page) -> list[tuple[str, str, int]]:
    """Return what axe-core, the checker of the WCAG rules, finds: each rule, its weight, in how many places."""
    found = Axe().run(page).response["violations"]
    return [(entry["id"], entry["impact"], len(entry["nodes"])) for entry in found]
