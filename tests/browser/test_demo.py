"""The demo garden's report, read by someone who has nothing but the page."""

from datetime import date
from pathlib import Path
from typing import Literal

import pytest
from axe_playwright_python.sync_playwright import Axe

from soiltrend.pipeline import Study, write_demo, write_report
from tests.browser.conftest import Shelf
from tests.browser.test_report import DRAW_ALL, RULES, faults
from tests.report.test_page import Walk

OPEN_ALL = "document.querySelectorAll('details').forEach(part => part.open = true)"


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> str:
    folder: Path = tmp_path_factory.mktemp("demo") / "garden"
    write_demo(folder)
    return write_report(Study(folder, date(2026, 11, 25))).read_text(encoding="utf-8")


def test_it_fits_into_an_e_mail(page: str) -> None:
    assert len(page.encode()) <= 1_300_000


def test_no_season_is_told_as_a_change_and_no_copy_as_a_report(page: str) -> None:
    # eight soil temperatures from May to August, and one report file that is there twice
    assert "\u00b0F a\u00a0year" not in page
    assert "8\u00a0reports read" in page


def test_every_link_leads_somewhere(page: str) -> None:
    walk = Walk(page)
    assert not walk.wrong
    assert {link[1:] for link in walk.links if link.startswith("#")} <= set(walk.ids)


@pytest.mark.parametrize(
    ("question", "where", "answers"),
    [
        ("Which beds really improved?", ".answer:has(#changed)", ["Organic matter rose", "North 3"]),
        ("What did not happen although the numbers say so?", ".answer:has(#doubted)", ["South 2", "organic"]),
        ("Which report is suspect, and why?", "#findings", ["17 April 2021", "P2O5", "2.29"]),
        ("What can nobody say yet?", ".answer:has(#unsaid)", ["nitrate", "soil temperature"]),
        ("Did treated beds do better?", ".answer:has(#unsaid)", ["leans apart", "compost", "is not shown"]),
        ("What is not comparable?", ".answer:has(#unsaid)", ["20 April 2024 (laboratory, method)"]),
        ("Is that too much phosphorus?", "#put-on", ["Phosphorus builds up in North 2"]),
        ("What is loss on ignition?", "#words", ["hot furnace"]),
        ("Can I say that organic matter doubled?", "#claims", ["doubled in three years", "unbelievable"]),
        ("What can I say instead?", "#claims", ["Say instead"]),
        ("How much was put on?", "#put-on", ["home compost", "charged char", "lb/1000"]),
        ("Could that have done it?", "#put-on", ["At most, nothing lost", "The tests show"]),
        ("What do I sample next?", "#next", ["cores", "Tarnvale Analytical"]),
        ("How small a change would show?", "#next", ["Organic matter", "After three"]),
        ("Where does a number come from?", "#readings", ["file reports/", "row "]),
        ("What does interval mean?", "#words", ["19 times out of 20"]),
    ],
    ids=lambda value: value if isinstance(value, str) and value.endswith("?") else "",
)
def test_a_growers_questions_are_answered(
    shelf: Shelf, page: str, question: str, where: str, answers: list[str]
) -> None:
    opened = shelf.open(page)
    opened.page.add_style_tag(content=DRAW_ALL)
    opened.page.evaluate(OPEN_ALL)
    said = opened.page.inner_text(where).replace("\u00a0", " ")
    assert [answer for answer in answers if answer not in said] == [], question


@pytest.mark.parametrize("width", [320, 1280])
def test_opened_wide_it_still_does_not_scroll_sideways(shelf: Shelf, page: str, width: int) -> None:
    opened = shelf.open(page, width=width)
    opened.page.add_style_tag(content=DRAW_ALL)
    opened.page.evaluate(OPEN_ALL)
    assert opened.page.evaluate("document.documentElement.scrollWidth") <= width


def test_axe_finds_no_fault_with_everything_open(shelf: Shelf, page: str) -> None:
    opened = shelf.open(page)
    opened.page.add_style_tag(content=DRAW_ALL)
    opened.page.evaluate(OPEN_ALL)
    assert faults(Axe().run(opened.page, options=RULES).response) == {}
    assert opened.requests == [opened.page.url]
    assert not opened.complaints


@pytest.mark.parametrize(("width", "medium"), [(1280, "screen"), (390, "screen"), (720, "print")])
def test_the_first_picture_keeps_its_names_within_its_box(
    shelf: Shelf, page: str, width: int, medium: Literal["screen", "print"]
) -> None:
    opened = shelf.open(page, width=width)
    opened.page.emulate_media(media=medium)
    beyond = opened.page.evaluate(
        """() => [...document.querySelectorAll('.story svg')]
            .filter(svg => svg.getBoundingClientRect().width > 0)
            .flatMap(svg => [...svg.querySelectorAll('text')]
                .map(text => text.getBoundingClientRect().right - svg.getBoundingClientRect().right))"""
    )
    assert beyond
    assert max(beyond) <= 0
