"""The printed sampling sheet: every bed a line and a label, nothing from outside, nothing unescaped."""

import re
from datetime import date
from html.parser import HTMLParser

from soiltrend.records.models import Sampling
from soiltrend.report.sheet import render_sheet
from tests.comparison.gardens import Trial, trial
from tests.planning.test_plan import made


def page(found: Trial, name: str = "Larkfield", units: str = "metric") -> str:
    garden = found.garden.model_copy(update={"name": name, "units": units})
    return render_sheet(made(found, name=name, units=units, sampling=Sampling(cores=12)), garden)


def usual() -> Trial:
    return trial(2, 3).lines(range(2019, 2025), {}, seed=1)


class Tags(HTMLParser):
    """Counts tags and refuses a page whose tags do not close."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.counts: dict[str, int] = {}
        self.open: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: object) -> None:
        self.counts[tag] = self.counts.get(tag, 0) + 1
        if tag not in ("meta", "br"):
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag


def test_every_bed_has_a_line_and_a_label() -> None:
    text = page(usual())
    tags = Tags(text)
    assert tags.open == []
    assert tags.counts["tr"] == 1 + 5
    assert text.count('class="count"') == 5
    assert text.count("5 of 5") == 1


def test_says_when_how_deep_and_by_which_method() -> None:
    text = re.sub(r"\s+", " ", page(usual()))
    assert "April 2025" in text
    assert "0–15" in text
    assert "Organic matter by loss on ignition" in text
    assert "Hillview Soil Laboratory" in text


def test_asks_nothing_of_the_network() -> None:
    text = page(usual())
    assert not re.search(r"""(src|href|action)\s*=|url\(|@import|<script""", text)
    assert "default-src 'none'" in text


def test_names_are_escaped() -> None:
    found = Trial({"<b>Bed</b> & co": "x<script>"}).lines(range(2020, 2023), {})
    text = page(found, name="<i>Field</i>")
    assert "<script" not in text and "<b>Bed" not in text and "<i>" not in text
    assert "&lt;b&gt;Bed&lt;/b&gt; &amp; co" in text


def test_the_bag_carries_the_name_that_the_laboratory_printed() -> None:
    found = usual()
    for row in found.rows:
        if row["bed"] == "A1":
            row["sample"] = "NORTH 1"
    assert "<strong>NORTH 1</strong>" in page(found)


def test_a_bed_never_tested_is_on_the_sheet_too() -> None:
    found = usual()
    found.treatments = {**found.treatments, "New": ""}
    text = page(found)
    assert "never tested before" in text
    assert Tags(text).counts["tr"] == 7


def test_inches_for_those_who_use_them() -> None:
    assert re.search(r"0–(6|5\.9\d?)\sin", page(usual(), units="us"))


def test_without_a_test_the_page_says_so() -> None:
    found = trial(1, 1)
    text = render_sheet(made(found, today=date(2025, 1, 1)), found.garden)
    assert "No dated test so far" in text
    assert Tags(text).open == []
