"""A real browser for the tests in this folder: the system's Chromium, driven by playwright."""

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

NAMES = ("chromium", "chromium-browser", "google-chrome-stable", "google-chrome")
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


def program() -> str | None:
    """Return the path of the first browser found."""
    return next((found for name in NAMES if (found := shutil.which(name))), None)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Start the browser once. Without one the tests say so, and on a build machine (CI=true) they fail."""
    found = program()
    if found is None:
        reason = f"no browser found (looked for {', '.join(NAMES)}); install Debian's package chromium"
        if os.environ.get("CI") == "true":
            pytest.fail(reason)
        pytest.skip(reason)
    with sync_playwright() as playwright:
        running = playwright.chromium.launch(executable_path=found, args=FLAGS)
        yield running
        running.close()


class Opened:
    """A page that was opened, with everything it asked for and everything it complained of."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.requests: list[str] = []
        self.complaints: list[str] = []
        page.on("request", lambda request: self.requests.append(request.url))
        page.on("console", self._console)
        page.on("pageerror", lambda error: self.complaints.append(str(error)))
        page.on("dialog", self._dialog)

    def _console(self, message: object) -> None:
        if getattr(message, "type", "") in {"error", "warning"}:
            self.complaints.append(str(getattr(message, "text", message)))

    def _dialog(self, dialog: object) -> None:
        self.complaints.append(f"dialog: {getattr(dialog, 'message', '')}")
        getattr(dialog, "dismiss")()  # noqa: B009 -- the type is playwright's own


class Shelf:
    """Writes pages to files and opens them, in the size and colours asked for."""

    def __init__(self, browser: Browser, folder: Path) -> None:
        self.browser = browser
        self.folder = folder

    def open(
        self, html: str, *, width: int = 1280, dark: bool = False, media: str = "screen", scripts: bool = True
    ) -> Opened:
        file = self.folder / f"page-{len(list(self.folder.iterdir()))}.html"
        file.write_text(html, encoding="utf-8")
        context = self.browser.new_context(
            viewport={"width": width, "height": 800},
            color_scheme="dark" if dark else "light",
            java_script_enabled=scripts,
            reduced_motion="reduce",
        )
        opened = Opened(context.new_page())
        if media == "print":
            opened.page.emulate_media(media="print")
        opened.page.goto(file.as_uri())
        return opened


@pytest.fixture
def shelf(browser: Browser, tmp_path: Path) -> Iterator[Shelf]:
    """Lend a shelf and close every page on it afterwards."""
    made = Shelf(browser, tmp_path)
    yield made
    for context in browser.contexts:
        context.close()
