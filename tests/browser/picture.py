"""Draw the picture of the report that the README shows: ``python -m tests.browser.picture FILE.png``."""

import sys
import tempfile
from datetime import date
from pathlib import Path

from playwright.sync_api import sync_playwright

from soiltrend.pipeline import Study, write_demo, write_report
from tests.browser.conftest import FLAGS, program

# the demo tells of the years up to this one
DAY = date(2026, 11, 25)


def draw(target: Path) -> None:
    """Write the first screen of the demo garden's report as a PNG, 1280 pixels wide."""
    found = program()
    if found is None:
        raise SystemExit("No browser found; install Debian's package chromium.")
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        garden = Path(folder) / "demo"
        write_demo(garden)
        report = write_report(Study(garden, DAY))
        browser = playwright.chromium.launch(executable_path=found, args=FLAGS)
        page = browser.new_page(viewport={"width": 1280, "height": 980}, color_scheme="light")
        page.goto(report.as_uri())
        page.screenshot(path=target)
        browser.close()


if __name__ == "__main__":
    draw(Path(sys.argv[1]))
