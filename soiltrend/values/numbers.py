"""Printed digits → a number, where decimal comma, decimal point and thousands marks compete."""

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from soiltrend.data.spelling import fold_case_kept

Decimal = Literal[".", ",", ""]

ASSUMED = "decimal-assumed"
CONFLICT = "decimal-conflict"
THOUSANDS = "thousands-assumed"
SCIENTIFIC = "spreadsheet-number"

# A sample name such as 1E45 that a spreadsheet took for a number is no result.
LARGEST_EXPONENT = 12

# Digits with marks between them, an exponent after them. A blank counts only before three digits.
NUMBER = (
    r"[-+]?(?:\d(?:[\d.,]|['_](?=\d{3}(?!\d))|\s(?=\d{3}(?!\d)))*|[.,]\d+)"
    r"(?:[eE][-+]?\d{1,3}(?![\d.,])|\s?[x*]\s?10\s?\^?\s?[-+]?\d{1,2}(?!\d))?"
)
_EXPONENT = re.compile(r"(.*?)(?:[eE]|\s?[x*]\s?10\s?\^?\s?)([-+]?\d+)")


@dataclass(frozen=True, slots=True)
class Digits:
    """A number read from digits (None where they make none), and the notes that reading earns."""

    number: float | None
    notes: tuple[str, ...] = ()


def read_number(printed: str, decimal: str | None = None) -> Digits:
    """Return the number that ``printed`` (digits, marks, sign, exponent) shows.

    ``decimal`` is the file's decimal mark where it is known. Without it digits that read both ways
    (``1,234``) are read the English way and noted ``decimal-assumed``; digits that contradict the file's
    mark make no number and are noted ``decimal-conflict``.
    """
    text = printed.strip()
    sign = -1.0 if text.startswith("-") else 1.0
    mantissa, power, notes = _exponent(text.lstrip("+-"))
    plain = _ungrouped(mantissa)
    if plain is None or power == 0.0:
        return Digits(None, notes)
    found = _marks(plain.replace(" ", "").replace("'", ""), decimal or "")
    if found.number is None:
        return found
    value = sign * found.number * power
    if not math.isfinite(value):
        return Digits(None)
    grouped = (THOUSANDS,) if " " in plain else ()
    return Digits(value, (*found.notes, *grouped, *notes))


def _exponent(text: str) -> tuple[str, float, tuple[str, ...]]:
    found = _EXPONENT.fullmatch(text)
    if not found:
        return text, 1.0, ()
    exponent = int(found[2])
    believable = abs(exponent) <= LARGEST_EXPONENT
    return found[1], math.pow(10.0, exponent) if believable else 0.0, (SCIENTIFIC,)


def _ungrouped(text: str) -> str | None:
    """Return the digits if blanks and apostrophes stand only before groups of three; else None."""
    if not re.search(r"[ '_]", text):
        return text
    return text if re.fullmatch(r"\d{1,3}(?:[ '_]\d{3})+(?:[.,]\d*)?", text) else None


def _marks(text: str, decimal: str) -> Digits:
    """Decide what points and commas are."""
    used = {mark for mark in ".," if mark in text}
    if not used:
        return Digits(float(text)) if text.isdigit() else Digits(None)
    if len(used) == 2:
        return _both_marks(text, decimal)
    mark = used.pop()
    if text.count(mark) > 1:
        return _only_groups(text, mark, decimal)
    return _one_mark(text, mark, decimal)


def _both_marks(text: str, decimal: str) -> Digits:
    point = max(".,", key=text.rfind)
    group = "," if point == "." else "."
    if not re.fullmatch(rf"\d{{1,3}}(?:{re.escape(group)}\d{{3}})+{re.escape(point)}\d+", text):
        return Digits(None)
    if decimal and decimal != point:
        return Digits(None, (CONFLICT,))
    return Digits(float(text.replace(group, "").replace(point, ".")))


def _only_groups(text: str, mark: str, decimal: str) -> Digits:
    if not re.fullmatch(rf"\d{{1,3}}(?:{re.escape(mark)}\d{{3}})+", text):
        return Digits(None)
    return Digits(None, (CONFLICT,)) if decimal == mark else Digits(float(text.replace(mark, "")))


def _one_mark(text: str, mark: str, decimal: str) -> Digits:
    as_decimal = _float(text.replace(mark, "."))
    if decimal == mark:
        return Digits(as_decimal)
    groups = _reads_both_ways(text, mark)
    if decimal:
        return Digits(float(text.replace(mark, ""))) if groups else Digits(None, (CONFLICT,))
    if not groups:
        return Digits(as_decimal)
    return Digits(as_decimal if mark == "." else float(text.replace(mark, "")), (ASSUMED,))


def _reads_both_ways(text: str, mark: str) -> bool:
    """Whether one mark can be a thousands mark too: one to three digits, no leading zero, three digits."""
    return bool(re.fullmatch(rf"[1-9]\d{{0,2}}{re.escape(mark)}\d{{3}}", text))


def _float(text: str) -> float | None:
    return float(text) if re.fullmatch(r"\d+\.?\d*|\.\d+", text) else None


_CELL = re.compile(rf"\s*[<>≤≥~]?\s*({NUMBER})(?![\d.,:/-])\s*\D{{0,12}}")


def decimal_convention(cells: Iterable[str]) -> Decimal:
    """Return the decimal mark that the cells of one file show: ``"."``, ``","`` or ``""``.

    Only cells that hold one number count, and only where the digits leave no doubt. ``""`` stands for no
    evidence and for cells that contradict each other.
    """
    shown = {mark for cell in cells if (mark := _evidence(cell))}
    return shown.pop() if len(shown) == 1 else ""


def _evidence(cell: str) -> Decimal:
    found = _CELL.fullmatch(fold_case_kept(cell))
    if not found:
        return ""
    text = found[1].strip().lstrip("+-").replace("'", "").replace(" ", "")
    text = _EXPONENT.sub(r"\1", text).rstrip(".,")
    readable: list[Decimal] = [mark for mark in _MARKS if _reads_surely(text, mark)]
    return readable[0] if len(readable) == 1 else ""


_MARKS: tuple[Decimal, ...] = (".", ",")


def _reads_surely(text: str, mark: Decimal) -> bool:
    """Whether the digits are a number by this decimal mark and by it alone."""
    other: Decimal = "," if mark == "." else "."
    return _marks(text, mark).number is not None and _marks(text, other).number is None
