"""The page of a tiny garden, line by line, against one that a person has read."""

from tests.report.gold import GOLD, scrubbed


def test_the_page_is_the_one_that_was_read() -> None:
    # after a wanted change: python -m tests.report.gold, then read the difference
    assert scrubbed().splitlines() == GOLD.read_text(encoding="utf-8").splitlines()
