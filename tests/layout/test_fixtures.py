"""Every report under fixtures/ reads exactly as the expected table beside it says."""

from pathlib import Path

import pytest

from soiltrend.layout.reading import Reading
from tests.layout.expected import ENDING, FIXTURES, compare, expected_rows, read, reports


@pytest.mark.parametrize("report", reports(), ids=lambda p: p.relative_to(FIXTURES).as_posix())
def test_a_report_reads_as_its_expected_table(report: Path) -> None:
    reading = read(report)
    expected = expected_rows(report)
    difference = compare(reading, expected)
    assert not difference, f"{report.name}\n{difference}"
    assert all(_is_explained(one) for one in reading.readings)
    assert all(left.reason and left.place for left in reading.left_alone)
    if not expected:
        assert reading.looks_like != "soil test", "a file without results must say what it is instead"


def _is_explained(reading: Reading) -> bool:
    return bool(reading.reason and reading.place and any(c.isdigit() for c in reading.place))


def test_every_report_has_an_expected_table() -> None:
    shapes = [p for p in FIXTURES.iterdir() if p.is_dir() and not p.name.startswith(("demo", "records"))]
    files = [p for shape in shapes for p in shape.rglob("*") if p.is_file() and not p.name.endswith(ENDING)]
    assert {p for p in files if p not in set(reports())} == set()
