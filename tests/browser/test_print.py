"""The report on paper: a bed stays on one page, and no page ends with a heading that begins something."""

import re
from pathlib import Path

import pypdfium2
import pytest

from soiltrend.report import build_model, render
from tests.browser.conftest import Shelf
from tests.report.sample import BEDS, many, rich

AXIS = "2019 2020 2021 2022 2023 2024 2025"


@pytest.fixture(scope="module")
def page() -> str:
    return render(build_model(rich()))


def printed(shelf: Shelf, html: str, paper: str) -> list[list[str]]:
    """Return the lines of text of each page as the browser prints it."""
    opened = shelf.open(html)
    file = Path(shelf.folder) / f"{paper}.pdf"
    opened.page.pdf(path=file, format=paper)
    with pypdfium2.PdfDocument(file) as document:
        return [lines_of(document[number]) for number in range(len(document))]


def lines_of(page: pypdfium2.PdfPage) -> list[str]:
    text = page.get_textpage().get_text_bounded().replace("\u00a0", " ")
    return [line.strip() for line in text.splitlines() if line.strip()]


def headings(html: str) -> set[str]:
    found = re.findall(r"<h[234][^>]*>(.*?)</h[234]>", html)
    return {re.sub(r"<[^>]+>", "", text).strip() for text in found}


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_paper(shelf: Shelf, page: str, paper: str) -> None:
    pages = printed(shelf, page, paper)
    # every bed: its name and all ten time axes on one page, each under the name of its test
    for bed in BEDS:
        charts = [lines for lines in pages if bed in lines and lines.count(AXIS) == 10]
        assert len(charts) == 1, bed
        assert any(line.startswith("Boron mg/kg") for line in charts[0])
    assert sum(lines.count(AXIS) for lines in pages) == 10 * len(BEDS)
    # no page ends with a heading (the first line is the page number)
    names = headings(page)
    for number, lines in enumerate(pages, start=1):
        assert lines[0] == f"{number} / {len(pages)}"
        assert lines[-1] not in names, f"page {number} ends with {lines[-1]!r}"


def test_what_is_folded_on_the_screen_is_open_on_paper(shelf: Shelf, page: str) -> None:
    text = " ".join(line for lines in printed(shelf, page, "A4") for line in lines)
    assert "Phosphorus in North 1 is by Bray P1 until 2022" in text
    assert "12 April 2019: 60 L leaf compost" in text


def test_a_very_large_garden_prints_without_its_rows(shelf: Shelf) -> None:
    html = render(build_model(many(30, 10, 6)))
    pages = printed(shelf, html, "A4")
    assert len(pages) < 60
    assert any("it is in observations.csv" in line for lines in pages for line in lines)
