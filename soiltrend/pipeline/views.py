"""What a person at a terminal sees: fewer columns than the data, in words, findings as short arguments."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from soiltrend.data import load_toml

Row = Mapping[str, Any]
MOST_CAUSES = 3
MORE_DIGITS = 2
# A heading names so many beds; of more it says how many.
NAMED_BEDS = 2


@dataclass(frozen=True, slots=True)
class Block:
    """A heading and the paragraphs under it."""

    heading: str
    lines: tuple[str, ...]


def trends_view(rows: Sequence[Row]) -> list[dict[str, Any]]:
    """Return one line per series: what changed per year, with its interval."""
    return [
        {
            "bed": row["bed"],
            "test": short_name(row["analyte"]),
            "years": _years(row),
            "reports": row["n"],
            "change a year": _estimate(row["slope_per_year"], row["ci_low"], row["ci_high"], row["unit"]),
            "95 % interval": _interval(row["ci_low"], row["ci_high"]),
            "verdict": row["verdict"].replace("-", " "),
        }
        for row in rows
    ]


def comparison_view(rows: Sequence[Row]) -> list[dict[str, Any]]:
    """Return one line per comparison."""
    return [
        {
            "test": short_name(row["analyte"]),
            "group": f"{row['group']} ({len(row['beds'])})",
            "against": f"{row['reference']} ({len(row['reference_beds'])})",
            "difference a year": _estimate(
                row["difference_per_year"], row["ci_low"], row["ci_high"], row["unit"]
            ),
            "95 % interval": _interval(row["ci_low"], row["ci_high"]),
            "verdict": row["verdict"].replace("-", " "),
        }
        for row in rows
    ]


def finding_blocks(rows: Sequence[Row]) -> list[Block]:
    """Return each finding as a short argument: what, why, the likeliest causes, what to do."""
    blocks = []
    for row in rows:
        about = ", ".join(
            part for part in (row["bed"] or _several(row), short_name(row["analyte"] or "")) if part
        )
        causes = [f"{cause['weight']:.0%} {cause['text']}" for cause in row["causes"][:MOST_CAUSES]]
        lines = (row["text"], *causes, f"Next: {row['next_step']}" if row["next_step"] else "")
        blocks.append(Block(f"{row['severity'].upper()}  {about}", tuple(line for line in lines if line)))
    return blocks


def _several(row: Row) -> str:
    """Return which beds a finding about no single bed is about."""
    told = (row.get("numbers") or {}).get("beds")
    beds = told if isinstance(told, list | tuple) else ()
    if not beds:
        return "a whole report"
    return " and ".join(map(str, beds)) if len(beds) <= NAMED_BEDS else f"{len(beds)} beds"


def claim_blocks(rows: Sequence[Row]) -> list[Block]:
    """Return each statement with its verdict, reasons and the sentence to say instead."""
    blocks = []
    for row in rows:
        unknown = row.get("not_understood") or []
        lines = [reason["text"] for reason in row["reasons"]]
        lines.append(f"Say instead: {row['say_instead']}")
        if unknown:
            lines.append(f"Not understood: {', '.join(unknown)}.")
        lines.append(f"To settle it: {row['to_settle']}")
        blocks.append(Block(f"{row['verdict'].upper()}  “{row['claim']}”", tuple(lines)))
    return blocks


def balance_view(rows: Sequence[Row], system: str) -> list[dict[str, Any]]:
    """Return what was put on in all, in the grower's units, then the largest change beside the one shown."""
    other = "kg/m2" if system == "us" else "lb/1000 ft2"
    return [
        {
            "bed": row["bed"],
            "what": "put on" if row["what"] == "put on" else f"{row['what']} {_span(row['year'])}",
            "of": short_name(row["quantity"]),
            "low": _number(row["low"]),
            "typical": _number(row["typical"]),
            "high": _number(row["high"]),
            "unit": row["unit"] if row["what"] == "put on" else unit_name(row["unit"], change=True),
            "at most": _number(row["largest"]),
            "shown": _number(row["observed"]),
        }
        for row in rows
        if row["what"] != "put on"
        or (str(row["year"]) == "total" and row["typical"] and row["unit"] != other)
    ]


def _span(years: Any) -> str:
    """Return ``2023-2026`` as ``2023–26``; a table has little room."""
    first, _, last = str(years).partition("-")
    return f"{first}–{last[-2:]}" if last else first


def plan_view(rows: Sequence[Row]) -> list[dict[str, Any]]:
    """Return the smallest change that the next tests can show."""
    return [
        {
            "bed": row["bed"],
            "test": short_name(row["analyte"]),
            "tests so far": row["tests_so_far"],
            "next": row["next_on"],
            "shows from": f"{_number(row['smallest_next'])} {unit_name(row['unit'], change=True)}".strip(),
            "in 3 years": _number(row["smallest_in_3"]),
            "in 5 years": _number(row["smallest_in_5"]),
        }
        for row in rows
    ]


def dose_view(rows: Sequence[Row]) -> list[dict[str, Any]]:
    """Return a dose line by line: typical figure, range, the most it can change, if a test sees it."""
    return [
        {
            "bed": row["bed"],
            "what": row["what"],
            "of": short_name(row["name"]) if row["what"] == "change" else str(row["name"]).replace("_", " "),
            "typical": f"{_number(row['typical'])} {unit_name(row['unit'], change=row['what'] == 'change')}",
            "range": f"{_number(row['low'])} to {_number(row['high'])}" if row["low"] != row["high"] else "",
            "at most": _number(row["largest"]) if row["largest"] is not None else "",
            "a test shows from": _number(row["smallest_detectable"]) if row["smallest_detectable"] else "",
            "seen": row["visible"] or "",
        }
        for row in rows
    ]


def observation_view(rows: Sequence[Row]) -> list[dict[str, Any]]:
    """Return the long table in eight columns."""
    return [
        {
            "bed": row["bed"],
            "sampled": row["sampled_on"],
            "test": short_name(row["analyte"]),
            "value": f"{row['qualifier'] or ''}{_number(row['value'])}",
            "unit": unit_name(row["unit"]),
            "method": str(row["method"] or "").replace("_", " "),
            "place": f"{row['source'].rpartition('/')[2]}, {row['place']}",
            "notes": row["notes"],
        }
        for row in rows
    ]


def add_view(rows: Sequence[Row]) -> list[dict[str, Any]]:
    """Return each new value beside the last one of its bed."""
    return [
        {
            "bed": row["bed"],
            "test": short_name(row["analyte"]),
            "printed": row["printed"],
            "value": f"{row['qualifier'] or ''}{_number(row['value'])} {unit_name(row['unit'])}".strip(),
            "last": f"{row['last_qualifier'] or ''}{_number(row['last_value'])}",
            "on": row["last_on"] or "–",
            "change": "–" if row["change"] is None else f"{row['change']:+.3g}",
            "doubt": row["doubt"] or "",
            "file": _file_of(row, rows),
        }
        for row in rows
    ]


def explanation_view(rows: Sequence[Row]) -> list[dict[str, Any]]:
    """Return each number, taken or left alone, with the reason."""
    return [
        {
            "": "taken" if row["taken"] else "left",
            "sample": row["sample"] or "",
            "test": short_name(row["analyte"] or "") if row["taken"] else row["analyte"] or "",
            "number": row["text"],
            "place": row["place"],
            "reason": row["reason"],
            "file": _file_of(row, rows),
        }
        for row in rows
    ]


def _file_of(row: Row, rows: Sequence[Row]) -> str:
    """Return the file's name where there are several."""
    several = any(other["source"] != row["source"] for other in rows)
    return str(row["source"]).rpartition("/")[2] if several else ""


def short_name(analyte: str) -> str:
    """Return the short name of an analyte."""
    names = load_toml("display")["analytes"].get(analyte)
    return str(names[1]) if names else analyte.replace("_", " ")


def unit_name(unit: str, *, change: bool = False) -> str:
    """Return a unit as it is read; a change of a percentage is in points."""
    names = load_toml("display")["units"].get(unit)
    if not names:
        return unit
    return str((change and names[2]) or names[0])


def _years(row: Row) -> str:
    first, last = str(row["first_on"])[:4], str(row["last_on"])[:4]
    return first if first == last else f"{first}–{last}"


def _digits(low: float | None, high: float | None) -> int:
    """Return the decimals that an interval carries: one digit of its half-width, two below 3."""
    if low is None or high is None or not high > low:
        return 2
    half = (high - low) / 2
    exponent = math.floor(math.log10(half))
    return max(0, -exponent + (half / 10.0**exponent < 3))


def _estimate(value: float | None, low: float | None, high: float | None, unit: str) -> str:
    if value is None:
        return "–"
    digits = _digits(low, high)
    if low is not None and high is not None and low < 0 < high and not round(value, digits):
        return "about 0"
    return f"{_signed(value, digits)} {unit_name(unit, change=True)}".strip()


def _interval(low: float | None, high: float | None) -> str:
    if low is None or high is None:
        return "–"
    digits = _digits(low, high)
    return f"{_signed(low, digits)} to {_signed(high, digits)}"


def _signed(value: float, digits: int) -> str:
    """Return a change with its sign; one that is not zero gets further decimals before it reads as 0."""
    places = next((d for d in range(digits, digits + MORE_DIGITS + 1) if round(value, d)), None)
    if places is None:
        return "about 0" if value else "0"
    return f"{value:+.{places}f}"


def _number(value: float | None) -> str:
    if value is None:
        return "–"
    return f"{value:.3g}" if abs(value) < 1000 else f"{value:.0f}"
