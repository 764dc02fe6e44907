"""Any table of values, in any of the layouts, delimiters and locales, reads back equal."""

import csv
import io
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.layout.bytes_of import read_bytes

# name in a heading, unit, analyte of the vocabulary, largest value
ANALYTES = (
    ("pH", "", "ph", 9),
    ("Organic Matter", "%", "organic_matter", 20),
    ("Phosphorus", "ppm", "phosphorus", 400),
    ("Potassium", "mg/kg", "potassium", 900),
    ("Calcium", "ppm", "calcium", 9000),
    ("Magnesium", "mg/kg", "magnesium", 900),
    ("CEC", "meq/100 g", "cec", 40),
    ("Zinc", "ppm", "zinc", 40),
    ("Nitrate-N", "mg/kg", "nitrate_n", 90),
    ("Boron", "ppm", "boron", 5),
)
NAMES = ("Bed", "North", "Row", "Plot", "Garden", "A", "House", "Terrace")


@dataclass(frozen=True)
class Table:
    """Samples with their values as texts with a decimal point."""

    samples: tuple[str, ...]
    analytes: tuple[tuple[str, str, str, int], ...]
    values: tuple[tuple[str, ...], ...]

    @property
    def truth(self) -> list[tuple[str, str, float]]:
        return sorted(
            (sample, analyte[2], float(text))
            for sample, row in zip(self.samples, self.values, strict=True)
            for analyte, text in zip(self.analytes, row, strict=True)
        )


@st.composite
def tables(draw: st.DrawFn) -> Table:
    numbers = draw(st.lists(st.integers(1, 99), min_size=1, max_size=4, unique=True))
    stem = draw(st.sampled_from(NAMES))
    analytes = draw(st.lists(st.sampled_from(ANALYTES), min_size=2, max_size=7, unique=True))

    def text(largest: int) -> str:
        decimals = draw(st.integers(0, 2))
        # a result of 0 is noted and kept; it is no usual one
        return f"{draw(st.integers(1, largest * 10**decimals)) / 10**decimals:.{decimals}f}"

    values = tuple(tuple(text(largest) for *_, largest in analytes) for _ in numbers)
    return Table(tuple(f"{stem} {n}" for n in numbers), tuple(analytes), values)


Rows = list[list[str]]


def _head(name: str, unit: str) -> str:
    return f"{name} ({unit})" if unit else name


def wide(table: Table) -> Rows:
    head = ["Sample", *(_head(name, unit) for name, unit, *_ in table.analytes)]
    return [head, *([sample, *row] for sample, row in zip(table.samples, table.values, strict=True))]


def transposed(table: Table) -> Rows:
    return [list(column) for column in zip(*wide(table), strict=True)]


def long(table: Table) -> Rows:
    rows = [["Sample", "Test", "Result", "Unit"]]
    for sample, values in zip(table.samples, table.values, strict=True):
        for (name, unit, *_), text in zip(table.analytes, values, strict=True):
            rows.append([sample, name, text, unit])
    return rows


def pairs(table: Table) -> Rows:
    rows: Rows = []
    for sample, values in zip(table.samples, table.values, strict=True):
        rows.append(["Sample", sample])
        for (name, unit, *_), text in zip(table.analytes, values, strict=True):
            rows.append([name, text, unit])
        rows.append([])
    return rows


LAYOUTS: Sequence[Callable[[Table], Rows]] = (wide, transposed, long, pairs)


def _localised(rows: Rows, mark: str) -> Rows:
    def cell(text: str) -> str:
        return text.replace(".", mark) if text[:1].isdigit() else text

    return [[cell(text) for text in row] for row in rows]


@pytest.mark.parametrize("layout", LAYOUTS, ids=lambda f: f.__name__)
@given(table=tables(), delimiter=st.sampled_from(",;\t|"), mark=st.sampled_from(".,"))
@settings(max_examples=60, deadline=None)
def test_delimited_text(layout: Callable[[Table], Rows], table: Table, delimiter: str, mark: str) -> None:
    stream = io.StringIO()
    csv.writer(stream, delimiter=delimiter).writerows(_localised(layout(table), mark))
    assert _read(stream.getvalue().encode(), "any.csv") == table.truth


@pytest.mark.parametrize("layout", LAYOUTS, ids=lambda f: f.__name__)
@given(table=tables(), gap=st.integers(2, 6), right=st.booleans(), mark=st.sampled_from(".,"))
@settings(max_examples=60, deadline=None)
def test_fixed_width_text(
    layout: Callable[[Table], Rows], table: Table, gap: int, right: bool, mark: str
) -> None:
    rows = _localised(layout(table), mark)
    most = max(len(row) for row in rows)
    widths = [max((len(row[i]) for row in rows if i < len(row)), default=0) for i in range(most)]
    lines = []
    for row in rows:
        cells = [
            f"{text:>{width}}" if right and i else f"{text:<{width}}"
            for i, (text, width) in enumerate(zip(row, widths, strict=False))
        ]
        lines.append((" " * gap).join(cells).rstrip())
    assert _read("\n".join(lines).encode() + b"\n", "any.txt") == table.truth


@pytest.mark.parametrize("layout", LAYOUTS, ids=lambda f: f.__name__)
@given(table=tables(), blank_rows=st.integers(0, 12), blank_columns=st.integers(0, 3))
@settings(max_examples=25, deadline=None)
def test_spreadsheets(
    layout: Callable[[Table], Rows], table: Table, blank_rows: int, blank_columns: int
) -> None:
    from openpyxl import Workbook

    book = Workbook()
    for line, row in enumerate(layout(table), start=1 + blank_rows):
        for column, text in enumerate(row, start=1 + blank_columns):
            value = float(text) if text.replace(".", "", 1).isdigit() else text
            book.active.cell(row=line, column=column, value=value)
    stream = io.BytesIO()
    book.save(stream)
    assert _read(stream.getvalue(), "any.xlsx") == table.truth


def _read(content: bytes, name: str) -> list[tuple[str, str, float]]:
    reading = read_bytes(content, name)
    return sorted((one.sample, one.analyte, float(one.result.number or 0)) for one in reading.readings)
