"""The page as a whole: its structure, what it says, and that every link leads somewhere."""

from collections import Counter
from html.parser import HTMLParser

import pytest

from soiltrend.report import build_model, render
from tests.report.sample import rich

VOID = {"meta", "link", "br", "input", "use", "path", "circle", "line", "rect"}


class Walk(HTMLParser):
    """Open and close every element; keep ids, links and headings."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.ids: list[str] = []
        self.links: list[str] = []
        self.headings: list[int] = []
        self.tags: Counter[str] = Counter()
        self.wrong: list[str] = []
        self.feed(page)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags[tag] += 1
        given = dict(attrs)
        if given.get("id"):
            self.ids.append(str(given["id"]))
        if tag == "a":
            self.links.append(str(given.get("href")))
        if tag in {"h1", "h2", "h3", "h4"}:
            self.headings.append(int(tag[1]))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        if tag not in VOID:
            self.open.pop()

    def handle_endtag(self, tag: str) -> None:
        if tag in VOID:
            return
        if not self.open or self.open.pop() != tag:
            self.wrong.append(f"</{tag}> at {self.getpos()}")


@pytest.fixture(scope="module")
def page() -> str:
    return render(build_model(rich()))


@pytest.fixture(scope="module")
def walk(page: str) -> Walk:
    return Walk(page)


def test_every_element_is_closed_in_order(walk: Walk) -> None:
    assert not walk.wrong
    assert not walk.open


def test_every_anchor_is_there_and_only_once(walk: Walk) -> None:
    assert len(walk.ids) == len(set(walk.ids))
    inside = {link[1:] for link in walk.links if link.startswith("#")}
    assert inside <= set(walk.ids)


def test_links_lead_inside_the_page_or_hold_data(walk: Walk) -> None:
    assert all(link.startswith(("#", "data:")) for link in walk.links)


def test_headings_go_down_one_step_at_a_time(walk: Walk) -> None:
    assert walk.headings[0] == 1
    assert walk.tags["h1"] == 1
    pairs = zip(walk.headings, walk.headings[1:], strict=False)
    assert all(after - before <= 1 for before, after in pairs)


def test_the_demo_sized_page_is_small(page: str) -> None:
    assert len(page.encode()) < 1_500_000
