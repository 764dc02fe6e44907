"""Ranges to aim at: ``6.0 - 7.0``, ``20 to 40 ppm``, ``< 3.5 - 4``: printed beside results and no results."""

import re
from functools import lru_cache

from soiltrend.layout.dates import is_date

_NUMBER = r"[<>≤≥]?\s*\d+(?:[.,]\d+)*\s*%?"
_RANGE = re.compile(
    rf"\(?\s*{_NUMBER}\s*(?:-|–|—|to|bis|à|a|\.\.)\s*{_NUMBER}\s*[^\d]{{0,14}}", re.IGNORECASE
)


@lru_cache(maxsize=20000)
def is_range(text: str) -> bool:
    """Whether ``text`` is two numbers with a dash or 'to' between them, and no date."""
    return bool(_RANGE.fullmatch(text.strip())) and not is_date(text)
