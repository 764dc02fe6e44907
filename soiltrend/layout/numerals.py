"""What looks like one printed number."""

import re

_NUMBER = re.compile(r"[<>≤≥~+±-]?\s?\d[\d.,'’]*(?:[a-z%*†+-]{0,3})", re.IGNORECASE)

_DENOMINATOR = re.compile(r"100\s?(?:g|ml|cc)", re.IGNORECASE)


def is_number(text: str) -> bool:
    """Whether ``text`` looks like one printed number, with its sign, limit mark or short rating."""
    return bool(_NUMBER.fullmatch(text)) and not is_denominator(text)


def is_denominator(text: str) -> bool:
    """Whether ``text`` is the second line of a unit such as ``meq/100g``."""
    return bool(_DENOMINATOR.fullmatch(text))
