"""Text that a spreadsheet would run as a formula gets an apostrophe in front."""

# Open guidance on CSV injection: a cell that starts with one of these may be evaluated.
RISKY_STARTS = ("=", "+", "-", "@", "\t", "\r")


def guarded(text: str) -> str:
    """Return ``text`` with an apostrophe in front where a spreadsheet could take it for a formula."""
    return f"'{text}" if text.startswith(RISKY_STARTS) else text
