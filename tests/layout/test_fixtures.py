"""Every report under fixtures/ reads exactly as the expected table beside it says."""

from pathlib import Path

import pytest

from soiltrend.layout.reading import Reading
from tests.generators.report_common import table
from tests.generators.reports import quick_makers
from tests.layout.expected import ENDING, FIXTURES, compare, expected_rows, read, reports

SHAPES = ("csv-", "text-", "pdf-", "sheet-", "not-soil", "outside")


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
    shapes = [p for p in FIXTURES.iterdir() if p.name.startswith(SHAPES)]
    files = {p for shape in shapes for p in shape.iterdir() if not p.name.endswith(ENDING)}
    assert files - set(reports()) == set()
    assert len(files) >= 70


def test_the_expected_tables_are_what_the_generators_printed() -> None:
    for name, maker in quick_makers().items():
        beside = (FIXTURES / f"{name}{ENDING}").read_text(encoding="utf-8")
        assert table(maker()[1]) == beside, name
