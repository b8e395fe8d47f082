"""Makes the README's picture: the top of the job sheet of U1 on the sample board.

Not a test: run `python tests/report/make_picture.py` from a checkout with Debian's chromium and the extra `test`.
"""

import os
import sys
from io import BytesIO
from pathlib import Path
from tempfile import TemporaryDirectory

from PIL import Image
from playwright.sync_api import sync_playwright

from leeward.cli.main import run

ROOT = Path(__file__).parents[2]
SAMPLE = "sample_boards/tide_logger.kicad_pcb"
PICTURE = ROOT / "tests" / "report" / "job_sheet.png"
WIDTH, HEIGHT = 1180, 908  # px: verdict, numbers, and the side to work on
COLOURS = 200  # flat tints need no more, and keep the file small


def main() -> None:
    """Write the picture."""
    sys.stdout.write(f"{PICTURE.relative_to(ROOT)}: {make(PICTURE)} bytes\n")


def make(picture: Path) -> int:
    """Write the picture of the sample's job sheet to a file; return its size in bytes."""
    os.chdir(ROOT)  # the page names the board's file as it is given
    with TemporaryDirectory() as folder:
        page = Path(folder) / "job.html"
        run(["review", SAMPLE, "U1", "-o", str(page)])
        shot = Image.open(BytesIO(_screenshot(page)))
    shot.convert("RGB").quantize(COLOURS, dither=Image.Dither.NONE).save(picture, optimize=True)
    return picture.stat().st_size


def _screenshot(page: Path) -> bytes:
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path="/usr/bin/chromium", args=["--headless", "--no-sandbox"])
        shown = browser.new_page(viewport={"width": WIDTH, "height": HEIGHT})
        shown.goto(page.as_uri())
        return shown.screenshot()


if __name__ == "__main__":
    main()
