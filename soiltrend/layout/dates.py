"""Dates as reports print them. The file's own evidence decides whether the day or the month comes first."""

import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from functools import cache, lru_cache
from typing import Literal

from soiltrend.data import load_toml

Order = Literal["day-first", "month-first", ""]

_YEAR = r"(?:19[5-9]\d|20\d\d)"
_ISO = re.compile(rf"(?<!\d)({_YEAR})([-/. ]?)(0?[1-9]|1[0-2])\2(0?[1-9]|[12]\d|3[01])(?!\d)")
_NUMERIC = re.compile(
    rf"(?<![\d.,/-])(\d{{1,2}})\s?([-/.])\s?(\d{{1,2}})\s?\2\s?({_YEAR}|\d\d)(?![\d/]|[.,-]\d)"
)
_DAY_MONTH = re.compile(
    rf"(?<!\d)(\d{{1,2}})(?:st|nd|rd|th|er|re|º|°)?\.?[\s-]*(?:de[l]?\s|of\s|d')?\s*([a-z]{{3,}})\.?,?[\s-]*(?:de[l]?\s)?\s*({_YEAR}|'?\d\d)(?!\d)"
)
_MONTH_DAY = re.compile(rf"([a-z]{{3,}})\.?[\s-]*(\d{{1,2}})(?:st|nd|rd|th)?,?[\s-]+({_YEAR}|'?\d\d)(?!\d)")
_YEAR_MONTH_NAME_DAY = re.compile(rf"({_YEAR})[\s-]*([a-z]{{3,}})\.?[\s-]*(\d{{1,2}})(?!\d)")
_MONTH_YEAR = re.compile(rf"(?<![a-z])([a-z]{{3,}})\.?,?[\s-]*(?:de[l]?\s)?\s*({_YEAR})(?!\d)")
_NUMERIC_MONTH = re.compile(
    rf"(?<![\d./-])(?:({_YEAR})[-/](0?[1-9]|1[0-2])|(0?[1-9]|1[0-2])[-/.]({_YEAR}))(?![\d/-])"
)
_YEAR_ONLY = re.compile(rf"(?<![\d.,/-])({_YEAR})(?![\d/-]|[.,]\d)")
_COMPACT = re.compile(rf"(?<!\d)({_YEAR})(0[1-9]|1[0-2])(0[1-9]|[12]\d|3[01])(?!\d)")


@dataclass(frozen=True, slots=True)
class PrintedDate:
    """A date as printed. Where the order is open, ``first`` and ``second`` are the two numbers.

    ``month`` or ``day`` is 0 where the report prints only a month or a year.
    """

    text: str
    year: int
    month: int = 0
    day: int = 0
    first: int = 0
    second: int = 0
    slash: str = ""

    @property
    def open(self) -> bool:
        """Whether both orders give a real date and they differ."""
        return 0 < self.first <= 12 and 0 < self.second <= 12 and self.first != self.second

    def on(self, order: Order) -> tuple[date | None, tuple[str, ...]]:
        """Return the day and the notes it must carry, under the order the file uses."""
        if self.first:
            return self._numeric(order)
        notes: tuple[str, ...] = () if self.day else ("date-assumed",)
        month, day = (self.month or 7), (self.day or (15 if self.month else 1))
        made = _day(self.year, month, day)
        return made, notes if made else ("date-impossible",)

    def _numeric(self, order: Order) -> tuple[date | None, tuple[str, ...]]:
        day_first = self.slash == "." or self.first > 12 or order == "day-first"
        if self.second > 12:
            day_first = False
        day, month = (self.first, self.second) if day_first else (self.second, self.first)
        made = _day(self.year, month, day)
        return made, () if made else ("date-impossible",)


@lru_cache(maxsize=20000)
def find_date(text: str) -> PrintedDate | None:
    """Return the first date in ``text``, or None. A lone number is no date unless it is a year."""
    plain = _plain(text)
    full = [found for found in (_numeric_date(plain), _named_date(plain)) if found]
    return min(full, key=lambda found: plain.index(found.text), default=None) or _part_of_date(plain)


@lru_cache(maxsize=20000)
def is_date(text: str) -> bool:
    """Whether ``text`` is a full date and little else (a weekday, a time)."""
    found = find_date(text)
    if found is None or not (found.first or found.day):
        return False
    rest = _plain(text).replace(found.text, " ", 1)
    rest = re.sub(
        r"(\b|t)\d{1,2}:\d\d(:\d\d)?(\.\d+)?( ?[ap]\.?m\.?)?|\b(mon|tue|wed|thu|fri|sat|sun)[a-z]*", " ", rest
    )
    return len(re.findall(r"[a-z0-9]", rest)) <= 2


def printed_order(dates: Iterable[PrintedDate]) -> Order:
    """Return the order that the closed dates show; ``""`` where none does, or they disagree."""
    seen: set[Order] = set()
    for one in dates:
        if one.first and one.slash != "." and one.first != one.second:
            if one.first > 12 >= one.second:
                seen.add("day-first")
            if one.second > 12 >= one.first:
                seen.add("month-first")
    return seen.pop() if len(seen) == 1 else ""


def order_in_time(sampled: PrintedDate, later: PrintedDate) -> Order:
    """Return the only order in which ``sampled`` is not after ``later``; ``""`` where not one."""
    fits: list[Order] = []
    for order in ("day-first", "month-first"):
        first, second = sampled.on(order)[0], later.on(order)[0]
        if first and second and 0 <= (second - first).days <= 120:
            fits.append(order)
    return fits[0] if len(fits) == 1 else ""


def date_in_name(name: str) -> PrintedDate | None:
    """Return the date in a file's name: ``2023-05-04``, ``20230504``, ``2023-05`` or ``2023``."""
    plain = _plain(name.replace("_", " "))
    compact = _COMPACT.search(plain)
    if compact:
        return PrintedDate(compact[0], int(compact[1]), int(compact[2]), int(compact[3]))
    return find_date(plain)


def _numeric_date(plain: str) -> PrintedDate | None:
    found = _ISO.search(plain)
    if found and (found[2] or len(found[0]) == 8):
        return PrintedDate(found[0], int(found[1]), int(found[3]), int(found[4]))
    found = _NUMERIC.search(plain)
    if found:
        first, second = int(found[1]), int(found[3])
        return PrintedDate(found[0], _year(found[4]), first=first or 99, second=second or 99, slash=found[2])
    return None


def _named_date(plain: str) -> PrintedDate | None:
    for pattern, year, month, day in (
        (_DAY_MONTH, 3, 2, 1),
        (_MONTH_DAY, 3, 1, 2),
        (_YEAR_MONTH_NAME_DAY, 1, 2, 3),
    ):
        for found in pattern.finditer(plain):
            number = _months().get(found[month])
            if number:
                return PrintedDate(found[0], _year(found[year]), number, int(found[day]))
    return None


def _part_of_date(plain: str) -> PrintedDate | None:
    for found in _MONTH_YEAR.finditer(plain):
        if found[1] in _months():
            return PrintedDate(found[0], int(found[2]), _months()[found[1]])
    numeric = _NUMERIC_MONTH.search(plain)
    if numeric:
        year, month = (numeric[1], numeric[2]) if numeric[1] else (numeric[4], numeric[3])
        return PrintedDate(numeric[0], int(year), int(month))
    year_only = _YEAR_ONLY.search(plain)
    return PrintedDate(year_only[0], int(year_only[1])) if year_only else None


def _plain(text: str) -> str:
    text = re.sub(r"\b0(?=(?:ct|kt)\b)", "O", text)  # a picture of 'Oct' is often read with a nought
    plain = unicodedata.normalize("NFKD", text)
    return "".join(c for c in plain if not unicodedata.combining(c)).casefold().replace("’", "'")


def _year(text: str) -> int:
    number = int(text.strip("'"))
    if number >= 100:
        return number
    return number + (2000 if number < 70 else 1900)


def _day(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None


@cache
def _months() -> dict[str, int]:
    table = load_toml("months")["months"]
    return {name: int(number) for number, names in table.items() for name in names}
