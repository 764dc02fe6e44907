"""The picture that is shared: everything that must be on it is, and nothing runs out of it."""

import struct
from datetime import date
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from soiltrend.report.card import build_card, card_png, card_svg, text_width, wrap
from tests.report.sample import rich

RECORD = {
    "claim": "Organic matter doubled in three years",
    "verdict": "unbelievable",
    "reasons": [
        {"code": "more-than-applied", "text": "Everything put on could have raised it by 0.4 at most."}
    ],
    "say_instead": "In Bed 1, 2021–2024 (4 yearly reports), organic matter rose by about 0.3 points.",
}
TREND = next(t for t in rich().trends if t.analyte == "organic_matter" and t.n > 3)


def shown(svg: str) -> str:
    """All text of the picture, lines joined."""
    root = ElementTree.fromstring(svg)
    texts = [" ".join("".join(e.itertext()).split()) for e in root.iter() if e.tag.endswith("}text")]
    return " ".join(texts)


def test_the_card_says_claim_verdict_sentence_and_fine_print() -> None:
    text = shown(card_svg(RECORD, TREND, ["Hollow Creek Laboratory"]))
    for part in (
        "“Organic matter doubled in three years”",
        "Too large to believe.",
        "Say instead: In Bed 1, 2021–2024 (4 yearly reports), organic matter rose by about 0.3 points.",
        f"n = {TREND.n} reports",
        "Hollow Creek Laboratory",
        "95 % interval",
    ):
        assert part in text


def test_a_claim_that_could_not_be_tested_has_no_chart() -> None:
    record = RECORD | {"verdict": "untestable"}
    svg = card_svg(record, None)
    assert "These records cannot test it." in shown(svg)
    assert "circle" not in svg


def test_the_png_is_1200_by_630() -> None:
    png = card_png(card_svg(RECORD, TREND))
    assert png[:8] == b"\x89PNG\r\n\x1a\n"
    assert struct.unpack(">II", png[16:24]) == (1200, 630)


def test_markup_in_a_claim_is_text() -> None:
    svg = card_svg(RECORD | {"claim": "<script>alert(1)</script> & OM doubled"}, TREND)
    assert "<script>" not in svg
    assert "<script>alert(1)</script> & OM doubled" in shown(svg).replace("“", "").replace("”", "")


@given(st.text(st.characters(categories=["L", "N", "P", "Zs"]), max_size=400), st.floats(8, 40))
def test_no_line_is_wider_than_its_room(text: str, width: float) -> None:
    assert all(text_width(line) <= width for line in wrap(text, width))


@pytest.mark.parametrize("words", [3, 30, 120])
def test_however_long_the_texts_are_they_stay_on_the_picture(words: int) -> None:
    record = RECORD | {"claim": "doubled " * words, "say_instead": "organic matter rose " * words}
    card = build_card(record, TREND)
    assert card.verdict_y < 400
    assert all(line.y < 408 for line in card.reason)
    assert all(418 < line.y < 585 for line in card.say)


def test_the_day_of_the_first_report_is_on_the_axis() -> None:
    card = build_card(RECORD, TREND)
    assert card.chart is not None
    assert isinstance(TREND.first_on, date)
    assert card.chart.x_ticks[0].label == str(TREND.first_on.year)


LONG = "organic matter rose by about 0.3 points in 3 years (95 % interval +0.1 to +0.5 points). " * 3


@pytest.mark.parametrize("words", [1, 12, 40])
def test_what_to_say_never_runs_into_the_fine_print(words: int) -> None:
    card = build_card(RECORD | {"claim": "doubled " * words, "say_instead": LONG}, TREND)
    assert card.say[-1].y <= card.fine_print[0].y - 21 - 4
    assert card.reason[-1].y <= 418 - 8


def test_the_reason_is_the_one_that_decided() -> None:
    interval = {"code": "interval-beyond-claim", "text": "All of it is as much as claimed."}
    picked = {"code": "chosen-because-low", "text": "The bed was chosen for its low test."}
    card = build_card(RECORD | {"verdict": "unproven", "reasons": [interval, picked]}, TREND)
    assert card.reason[0].text.startswith("The bed was chosen")


def test_laboratories_and_methods_stand_in_the_fine_print_only() -> None:
    said = "In Bed 1 pH rose. Tested by water 1:1 at Old Mill. We cannot say that lime did it."
    numbers = {"labs": ["Old Mill"], "methods": ["water 1:1"]}
    card = build_card(RECORD | {"say_instead": said, "numbers": numbers}, TREND)
    text = " ".join(line.text for line in card.say)
    assert "Old Mill" not in text
    assert "We cannot say that lime did it." in text
    assert "water 1:1" in card.fine_print[0].text
    assert card.fine_print[1].text == "Old Mill"


def test_two_sides_compared_have_their_own_fine_print() -> None:
    numbers = {"n": 4, "first_on": date(2023, 9, 1), "last_on": date(2026, 9, 1), "beds": ["A", "B"],
               "reference_beds": ["C"]}  # fmt: skip
    card = build_card(RECORD | {"numbers": numbers}, None)
    assert card.fine_print[0].text == "n = 4 shared days, 2023–2026 · 2 against 1 beds"


def test_the_interval_of_two_sides_is_drawn_about_no_difference() -> None:
    numbers = {"n": 4, "beds": ["A"], "reference_beds": ["B"], "difference_as": "share", "unit_shown": "gal",
               "difference_low": -0.14, "difference": -0.04, "difference_high": 0.06}  # fmt: skip
    card = build_card(RECORD | {"numbers": numbers}, None)
    assert card.bar is not None
    assert card.bar.low < card.bar.middle < card.bar.zero < card.bar.high
    assert "no difference" in shown(card_svg(RECORD | {"numbers": numbers}, None))
