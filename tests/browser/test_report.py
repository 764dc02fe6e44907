"""The report in a real browser: it asks for nothing, runs nothing but its own, and everyone can read it."""

from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe

from soiltrend.report import build_model, render
from tests.browser.conftest import Shelf
from tests.report.sample import many, poisoned, rich

# W3C Web Content Accessibility Guidelines 2.2, levels A and AA, and axe-core's own good practice.
RULES = {
    "runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
    "rules": {"target-size": {"enabled": True}},
    "resultTypes": ["violations"],
}
# Parts that are drawn only when they come near the screen are drawn for the check.
DRAW_ALL = ".bed,.side,.rows{content-visibility:visible!important}"


def faults(response: dict[str, Any]) -> dict[str, list[str]]:
    """Return each rule that is broken and the first places where."""
    return {
        fault["id"]: [f"{node['target'][0]}: {node['failureSummary']}" for node in fault["nodes"][:3]]
        for fault in response["violations"]
    }


@pytest.fixture(scope="module")
def page() -> str:
    return render(build_model(rich()))


@pytest.fixture(scope="module")
def hostile() -> str:
    return render(build_model(poisoned()))


def test_the_page_asks_for_nothing_and_complains_of_nothing(shelf: Shelf, page: str) -> None:
    opened = shelf.open(page)
    opened.page.mouse.wheel(0, 20_000)
    opened.page.wait_for_timeout(200)
    assert opened.requests == [opened.page.url]
    assert not opened.complaints


def test_no_script_runs_but_ours(shelf: Shelf, page: str) -> None:
    opened = shelf.open(page)
    assert opened.page.locator("script").count() == 1
    opened.page.evaluate(
        "() => { const s = document.createElement('script'); s.textContent = 'window.foreign = 1';"
        "document.body.append(s); }"
    )
    assert opened.page.evaluate("window.foreign") is None
    assert any("Content Security Policy" in text for text in opened.complaints)


def test_words_of_strangers_stay_words(shelf: Shelf, hostile: str) -> None:
    opened = shelf.open(hostile)
    assert not opened.complaints
    assert opened.requests == [opened.page.url]
    assert opened.page.evaluate("window.stolen") is None
    assert opened.page.locator("script").count() == 1
    for selector in ("img", "iframe", "object", "embed", "marquee", "base", "[onerror]", "[onload]"):
        assert opened.page.locator(selector).count() == 0, selector
    assert "<img src=x onerror=" in opened.page.inner_text("body")


@pytest.mark.parametrize(
    ("dark", "media", "width"),
    [(False, "screen", 1280), (True, "screen", 1280), (False, "screen", 390), (False, "print", 1280)],
    ids=["light", "dark", "phone", "print"],
)
def test_axe_finds_no_fault(shelf: Shelf, page: str, dark: bool, media: str, width: int) -> None:
    opened = shelf.open(page, dark=dark, media=media, width=width)
    opened.page.add_style_tag(content=DRAW_ALL)
    # nobody touches a link on paper
    rules = RULES if media == "screen" else {**RULES, "rules": {"target-size": {"enabled": False}}}
    assert faults(Axe().run(opened.page, options=rules).response) == {}


@pytest.mark.parametrize("width", [320, 390, 640, 1024, 1280])
def test_nothing_scrolls_sideways(shelf: Shelf, page: str, width: int) -> None:
    # 640 px is a 1280 px screen at 200 % zoom, 320 px one at 400 % (WCAG 1.4.10)
    opened = shelf.open(page, width=width)
    assert opened.page.evaluate("document.documentElement.scrollWidth") <= width
    opened.page.add_style_tag(content=DRAW_ALL)
    assert opened.page.evaluate("document.documentElement.scrollWidth") <= width


def test_a_value_leads_to_its_row(shelf: Shelf, page: str) -> None:
    opened = shelf.open(page)
    value = opened.page.locator("#bed-2 .chart a").first
    target = value.get_attribute("href")
    value.focus()
    opened.page.keyboard.press("Enter")
    assert opened.page.url.endswith(str(target))
    row = opened.page.locator(f"tr{target}")
    assert row.is_visible()
    assert "row " in row.inner_text()


def test_everything_can_be_read_without_scripts(shelf: Shelf, page: str) -> None:
    opened = shelf.open(page, scripts=False)
    assert not opened.page.locator("#filter").is_visible()
    assert opened.page.locator("tr[id^=r]").count() == 560
    assert opened.page.locator("#term-interval").is_visible()


def test_the_filter_shows_one_bed_and_a_link_out_of_it_shows_all_again(shelf: Shelf, page: str) -> None:
    opened = shelf.open(page)
    opened.page.select_option("#filter-bed", "bed-2")
    assert opened.page.locator("article.bed:visible").count() == 1
    opened.page.select_option("#filter-test", "ph")
    assert opened.page.locator("#bed-2 figure:visible").count() == 1
    opened.page.evaluate("location.hash = '#bed-3'")
    opened.page.wait_for_function("document.querySelectorAll('article.bed')[2].getClientRects().length > 0")
    assert opened.page.locator("#filter-bed").input_value() == ""


def test_a_technical_word_explains_itself_where_it_stands(shelf: Shelf, page: str) -> None:
    opened = shelf.open(page)
    opened.page.locator("a.term").first.click()
    assert opened.page.locator("#explain").is_visible()
    opened.page.keyboard.press("Escape")
    assert not opened.page.locator("#explain").is_visible()


def test_the_data_can_be_saved_from_inside_the_page(shelf: Shelf, page: str) -> None:
    opened = shelf.open(page)
    with opened.page.expect_download() as waiting:
        opened.page.locator("a[download='observations.csv']").click()
    saved = Path(waiting.value.path()).read_text(encoding="utf-8").splitlines()
    assert saved[0].startswith("bed,sample,sampled_on")
    assert len(saved) == 561


def test_a_large_garden_paints_in_two_seconds(shelf: Shelf) -> None:
    html = render(build_model(many(60, 15, 12)))
    assert len(html.encode()) <= 12_000_000
    opened = shelf.open(html)
    painted = opened.page.evaluate(
        "performance.getEntriesByType('paint').find(e => e.name === 'first-contentful-paint').startTime"
    )
    assert painted < 2000
