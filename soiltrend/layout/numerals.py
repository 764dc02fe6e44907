"""What looks like one printed number."""

import re

_NUMBER = re.compile(r"[<>≤≥~+±-]?\s?\d[\d.,'’]*(?:[a-z%*†+-]{0,3})", re.IGNORECASE)


def is_number(text: str) -> bool:
    """Whether ``text`` looks like one printed number, with its sign, limit mark or short rating."""
    return bool(_NUMBER.fullmatch(text))
