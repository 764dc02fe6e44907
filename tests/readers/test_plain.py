"""Plain text becomes words on lines and characters; what is drawn rather than written is no word."""

import pytest

from soiltrend.readers import plain
from soiltrend.readers.document import Page


def page(text: str) -> Page:
    return plain.read(text.encode(), "a.txt")[0][0]


def words(text: str) -> list[str]:
    return [word.text for word in page(text).words]


def test_a_word_keeps_its_line_and_columns() -> None:
    word = page("Report\n\n   pH      6.5\n").words[2]
    assert (word.text, word.line, word.x0, word.x1) == ("6.5", 3, 11, 14)


def test_tabs_reach_to_the_next_stop() -> None:
    assert page("pH\t6.5\n").words[1].x0 == 8


@pytest.mark.parametrize(
    "line",
    [
        "pH ........ 6.5",
        "pH . . . . . 6.5",
        "pH______6.5",
        "pH ······ 6.5",
        "pH ------> 6.5",
        "pH ===== 6.5",
        "pH … 6.5",
    ],
)
def test_leaders_lead_the_eye_and_say_nothing(line: str) -> None:
    assert words(line) == ["pH", "6.5"]


@pytest.mark.parametrize("line", ["6.5", "0.5 - 1.5", "-0.5", "pH - not run", "<0.5"])
def test_points_and_dashes_of_numbers_stay(line: str) -> None:
    assert words(line) == line.split()


def test_a_frame_is_drawn() -> None:
    found = page("┌────┬─────┐\n│ pH │ 6.5 │\n└────┴─────┘\n")
    assert [word.text for word in found.words] == ["pH", "6.5"]
    assert [rule.x0 for rule in found.rules if rule.upright and rule.top == 1] == [0, 5, 11]


def test_a_form_feed_begins_a_page_and_lines_count_on() -> None:
    pages = plain.read(b"pH 6.5\nP 45\n\fpH 6.6\n", "a.txt")[0]
    assert [(p.number, p.words[0].line) for p in pages] == [(1, 1), (2, 3)]


def test_an_older_message_quoted_in_a_mail_is_not_read_and_said_so() -> None:
    text = "pH 6.5\nP 45\nK 210\n\nOn 3 May 2019 Ann wrote:\n> pH 5.9\n> P 30\n"
    pages, messages = plain.read(text.encode(), "a.txt")
    assert "5.9" not in [word.text for word in pages[0].words]
    assert messages == ("Lines 6 to 7 quote an older message and were not read.",)


def test_a_mail_that_only_quotes_is_read() -> None:
    assert "5.9" in words("See below.\n\n> pH 5.9\n> P 30\n> K 200\n")


def test_a_forwarded_report_is_read_whatever_the_head_of_the_mail_counts() -> None:
    head = "From: Ann\nSubject: Fwd: order 60418\nDate: 24 Oct 2023 18:22\nMIME-Version: 1.0\n\nOurs. Ann\n\n"
    assert words(head + "> pH      5.9\n> P ppm   30\n")[-5:] == ["pH", "5.9", "P", "ppm", "30"]


def test_a_value_above_a_limit_is_no_quote() -> None:
    assert words("> 200\n> 300\npH 6.5\nP 45\nK 2\n")[:2] == [">", "200"]
