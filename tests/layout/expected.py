"""Holds what the reader said of a report against the expected table that lies beside the report."""

import csv
from collections import defaultdict
from dataclasses import dataclass, field
from pathlib import Path

from soiltrend.layout import read_report
from soiltrend.layout.reading import Reading, ReportReading
from soiltrend.readers import open_document

FIXTURES = Path(__file__).parents[2] / "fixtures"
ENDING = ".expected.csv"
# A reading is the same result as an expected row where these agree; the other columns are then compared.
KEY = ("sample", "sampled_on", "analyte", "form", "unit", "method", "depth_from_cm", "depth_to_cm")

Row = dict[str, str]


@dataclass(slots=True)
class Difference:
    """What differs between a reading and its expected table; nothing where they agree."""

    missing: list[Row] = field(default_factory=list)
    extra: list[Row] = field(default_factory=list)
    wrong: list[tuple[Row, Row]] = field(default_factory=list)

    def __bool__(self) -> bool:
        return bool(self.missing or self.extra or self.wrong)

    def __str__(self) -> str:
        lines = [f"missing {_brief(row)}" for row in self.missing]
        lines += [f"extra   {_brief(row)}" for row in self.extra]
        lines += [f"wrong   {_brief(row)} read as {_brief(found)}" for row, found in self.wrong]
        return "\n".join(lines)


def _brief(row: Row) -> str:
    return " ".join(f"{name}={text}" for name, text in row.items() if text)


def reports() -> list[Path]:
    """Every report of the fixtures that has an expected table."""
    return sorted(path.with_name(path.name.removesuffix(ENDING)) for path in FIXTURES.rglob(f"*{ENDING}"))


def expected_rows(report: Path) -> list[Row]:
    """The expected table beside ``report``: only the columns that it gives."""
    with report.with_name(report.name + ENDING).open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


def read(report: Path) -> ReportReading:
    """Read one report as the program does."""
    return read_report(open_document(report, FIXTURES))


def compare(reading: ReportReading, expected: list[Row]) -> Difference:
    """Hold each reading against one expected row, first by equality, then by what it is a result of."""
    columns = tuple(expected[0]) if expected else KEY
    waiting = [_normal(row) for row in expected]
    found = [_row(one, columns) for one in reading.readings]
    difference = Difference()
    for row in list(found):
        if row in waiting:
            waiting.remove(row)
            found.remove(row)
    keys = [name for name in KEY if name in columns]
    by_key: dict[tuple[str, ...], list[Row]] = defaultdict(list)
    for row in found:
        by_key[tuple(row[name] for name in keys)].append(row)
    for row in waiting:
        same = by_key[tuple(row[name] for name in keys)]
        if same:
            difference.wrong.append((row, same.pop()))
        else:
            difference.missing.append(row)
    difference.extra = [row for rows in by_key.values() for row in rows]
    return difference


def _normal(row: Row) -> Row:
    return {name: _number(text) if name in NUMBERS else text for name, text in row.items()}


NUMBERS = ("value", "depth_from_cm", "depth_to_cm")


def _number(text: str) -> str:
    return f"{float(text):.6g}" if text else ""


def _row(reading: Reading, columns: tuple[str, ...]) -> Row:
    result = reading.result
    told = {
        "value": "" if result.number is None else f"{result.number:.6g}",
        "qualifier": result.qualifier,
        "sampled_on": reading.sampled_on.isoformat() if reading.sampled_on else "",
        "depth_from_cm": "" if reading.depth_from_cm is None else f"{reading.depth_from_cm:.6g}",
        "depth_to_cm": "" if reading.depth_to_cm is None else f"{reading.depth_to_cm:.6g}",
        "notes": ";".join(reading.notes),
    }
    return {name: told[name] if name in told else str(getattr(reading, name)) for name in columns}
