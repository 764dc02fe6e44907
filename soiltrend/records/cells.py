"""One cell of a record → a number, a date or a list of names, or a reason why not.

Numbers: a point or a comma is the decimal sign. ``1,234`` could be either of two numbers and is refused,
unless the file is separated by semicolons, as spreadsheet programs write it where the comma is the decimal
sign; there ``1.234`` is refused. Dates: ISO 8601, ``31.12.2024`` (day first), dates with the month's name,
and ``12/31/2024`` where one date of the column shows which part is the day.
"""

import math
import re
from collections.abc import Iterable
from datetime import date
from typing import Literal

DayOrder = Literal["day first", "month first"]
# Outside these years a date is a slip of the pen; judgement, no source.
FIRST_YEAR, LAST_YEAR = 1900, 2100
LANGUAGES = ["en", "de", "fr", "es", "it", "nl"]

_PLAIN = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?")
_TWO_NUMBERS = re.compile(r"[+-]?[1-9]\d{0,2}[.,]\d{3}")
_GROUPED = (
    re.compile(r"[+-]?\d{1,3}(?:[ ’']\d{3})+([.,]\d+)?"),
    re.compile(r"[+-]?\d{1,3}(?:,\d{3})+(\.\d+)?"),
    re.compile(r"[+-]?\d{1,3}(?:\.\d{3})+(,\d+)?"),
)
_YEAR_FIRST = re.compile(r"(\d{4})([-/.])(\d{1,2})\2(\d{1,2})|(\d{4})()(\d\d)(\d\d)")
_YEAR_LAST = re.compile(r"(\d{1,2})([-/.])(\d{1,2})\2(\d{4})")
_MIDNIGHT = re.compile(r"[T ]00:00(:00(\.0+)?)?$")


class BadCell(ValueError):  # noqa: N818 -- it names the thing
    """A cell that cannot be used: what was ``expected``, and ``advice``."""

    def __init__(self, expected: str, advice: str = "") -> None:
        super().__init__(expected)
        self.expected = expected
        self.advice = advice


def number(text: str, *, semicolons: bool = False) -> float:
    """Return the number in ``text``; ``semicolons`` says that the file is separated by them.

    Raises
    ------
    BadCell
        No number, one that is not finite, or one that could be either of two.
    """
    tidy = text.strip().replace("\u2212", "-").replace("\xa0", " ").replace("\u202f", " ")
    sure = "," if semicolons else "."
    if _TWO_NUMBERS.fullmatch(tidy) and sure not in tidy:
        bare = tidy.replace(",", "").replace(".", "")
        point = tidy.replace(",", ".")
        raise BadCell(
            "a number that can be read one way only", f"Write {bare}, or {point}0 if that is meant."
        )
    value = float(plain) if (plain := _plain(tidy)) else math.nan
    if not math.isfinite(value):
        raise BadCell("a number")
    return value


def _plain(text: str) -> str | None:
    """Return ``text`` with a decimal point and without group signs; None where it is no number."""
    comma_as_point = text.replace(",", ".") if text.count(",") == 1 and "." not in text else text
    if _PLAIN.fullmatch(comma_as_point):
        return comma_as_point
    for pattern in _GROUPED:
        if found := pattern.fullmatch(text):
            decimals = found[1] or ""
            whole = re.sub(r"[^\d+-]", "", text[: len(text) - len(decimals)])
            return whole + decimals.replace(",", ".")
    return None


def day_order(texts: Iterable[str]) -> DayOrder | None:
    """Return what the dates of one column show about their order; None where nothing, or both, is shown."""
    shown: set[DayOrder] = set()
    for text in texts:
        found = _YEAR_LAST.fullmatch(_MIDNIGHT.sub("", text.strip()))
        if found and found[2] != ".":
            first, second = int(found[1]), int(found[3])
            if first > 12 >= second:
                shown.add("day first")
            elif second > 12 >= first:
                shown.add("month first")
    return shown.pop() if len(shown) == 1 else None


def day(text: str, order: DayOrder | None = None) -> date:
    """Return the date in ``text``; ``order`` is what the column shows about ``5/6/2024``.

    Raises
    ------
    BadCell
        No date, one that does not exist, or one that could be either of two.
    """
    tidy = _MIDNIGHT.sub("", text.strip())
    if found := _YEAR_FIRST.fullmatch(tidy):
        year, month, dom = (
            int(part) for part in (found[1] or found[5], found[3] or found[7], found[4] or found[8])
        )
        return _real(year, month, dom)
    if found := _YEAR_LAST.fullmatch(tidy):
        return _year_last(int(found[1]), int(found[3]), int(found[4]), found[2], order)
    return _with_month_name(tidy)


def first_or_last_day(text: str, *, last: bool) -> date | None:
    """Return the first or the last day of a year written alone (``2024``); None where it is not one."""
    tidy = text.strip()
    if not re.fullmatch(r"\d{4}", tidy):
        return None
    return _real(int(tidy), 12, 31) if last else _real(int(tidy), 1, 1)


def _year_last(first: int, second: int, year: int, sign: str, order: DayOrder | None) -> date:
    if sign == ".":  # written so where the day comes first: common practice, no source
        return _real(year, second, first)
    if first > 12 or first == second or (order == "day first" and second <= 12):
        return _real(year, second, first)
    if second > 12 or order == "month first":
        return _real(year, first, second)
    raise BadCell(
        "a date that can be read one way only",
        f"Write {year}-{second:02}-{first:02} or {year}-{first:02}-{second:02}.",
    )


def _real(year: int, month: int, dom: int) -> date:
    try:
        found = date(year, month, dom)
    except ValueError:
        raise BadCell("a date that exists, as 2024-05-31") from None
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise BadCell(f"a year from {FIRST_YEAR} to {LAST_YEAR}")
    return found


def _with_month_name(text: str) -> date:
    expected = BadCell("a date as 2024-05-31")
    if not (re.search(r"[^\W\d_]{3}", text) and re.search(r"\b\d{4}\b", text) and len(text) <= 40):
        raise expected
    import dateparser

    found = dateparser.parse(text, languages=LANGUAGES, settings={"STRICT_PARSING": True})
    if found is None:
        raise expected
    return _real(found.year, found.month, found.day)


def names(text: str) -> tuple[str, ...]:
    """Return the names of a ``;``-separated list."""
    return tuple(name.strip() for name in text.split(";") if name.strip())
