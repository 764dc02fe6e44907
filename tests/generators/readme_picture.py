"""Draw the README's picture anew: ``python -m tests.generators.readme_picture`` (needs Chromium)."""

import shutil
import tempfile
from datetime import date
from pathlib import Path

from playwright.sync_api import sync_playwright

from soiltrend.pipeline import Study, write_report
from tests.browser.conftest import FLAGS, NAMES

TOP = Path(__file__).parents[2]
PICTURE = TOP / "fixtures" / "readme" / "report.png"
WIDTH, HEIGHT = 1160, 900
SEEN_ON = date(2026, 11, 25)


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        garden = Path(folder) / "garden"
        shutil.copytree(TOP / "fixtures" / "demo", garden, ignore=shutil.ignore_patterns("out"))
        page_file = write_report(Study(garden, SEEN_ON))
        with sync_playwright() as player:
            program = next(found for name in NAMES if (found := shutil.which(name)))
            browser = player.chromium.launch(executable_path=program, args=FLAGS)
            page = browser.new_page(viewport={"width": WIDTH, "height": HEIGHT})
            page.goto(page_file.resolve().as_uri())
            page.screenshot(path=PICTURE)
            browser.close()


if __name__ == "__main__":
    main()
