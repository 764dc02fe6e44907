"""Text that a spreadsheet would run as a formula gets an apostrophe in front."""

# Open guidance on CSV injection: a cell that starts with one of these may be evaluated.
RISKY_STARTS = ("=", "+", "-", "@", "\t", "\r")


def guarded(text: str) -> str:
    """Return ``text`` with an apostrophe in front where a spreadsheet could take it for a formula.

    A lone carriage return becomes a line feed: writers of CSV leave it unquoted, readers end the row.
    """
    kept = f"'{text}" if text.startswith(RISKY_STARTS) else text
    return kept.replace("\r\n", "\n").replace("\r", "\n")
