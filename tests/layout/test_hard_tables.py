"""Tables whose samples are called P1, 101 or 'Zn bed', in four languages, read back as they were written."""

import random
from collections.abc import Callable
from dataclasses import replace

import pytest

from soiltrend.layout.reading import ReportReading
from tests.layout import writing
from tests.layout.bytes_of import read_bytes
from tests.layout.writing import DELIMITERS, GRIDS, LEADS, NAMES, Table

SAMPLES = (
    "Bed 1", "Bed 2", "Bed 3", "North", "South plot", "A1", "B-2", "Upper garden", "Tomato bed", "P1",
    "K2", "12",
    "101", "7", "Beet Nord", "Hochbeet 3", "Planche 4", "Parcela 5", "C", "Zn bed", "Lime walk",
    "East 2 (new)",
    "Tunnel A",
)  # fmt: skip
# smallest and largest value, and decimals, of an ordinary garden soil: common practice, no source
VALUES = {
    "ph": (4.5, 8.2, 1), "organic_matter": (0.8, 14, 1), "phosphorus": (2, 400, 0),
    "potassium": (30, 900, 0),
    "calcium": (200, 9800, 0), "magnesium": (20, 990, 0), "zinc": (0.2, 30, 1), "boron": (0.1, 3, 2),
    "cec": (3, 40, 1),
}  # fmt: skip
# single blanks between columns can leave a person in doubt too; these shares were measured and hold with room
LEAST_READ, MOST_WRONG = 0.95, 0.01


def table(rng: random.Random) -> Table:
    language = rng.choice(list(NAMES))
    keys = rng.sample(list(VALUES), rng.randint(3, 9))
    samples = rng.sample(SAMPLES, rng.randint(1, 5))

    def text(key: str) -> str:
        low, high, decimals = VALUES[key]
        return f"{rng.uniform(low, high):.{decimals}f}"

    return Table({name: {key: text(key) for key in keys} for name in samples}, language, rng.choice(".,"))


def found(reading: ReportReading) -> set[tuple[str, str, float, str]]:
    return {(one.sample, one.analyte, float(one.result.number or 0), one.unit) for one in reading.readings}


def text_of(shape: str, rng: random.Random, one: Table) -> str:
    if shape == "delimited":
        return writing.delimited(rng.choice(GRIDS)(one), rng.choice(DELIMITERS))
    if shape == "framed":
        return writing.framed(rng.choice(GRIDS[:5])(one))
    if shape == "sheets":
        return writing.sheets(one, rng.choice(LEADS))
    return writing.abreast(one)


@pytest.mark.parametrize("seed", range(40))
@pytest.mark.parametrize("shape", ["delimited", "framed", "sheets", "abreast"])
def test_a_table_reads_back(shape: str, seed: int) -> None:
    rng = random.Random(f"{shape} {seed}")
    one = table(rng)
    text = text_of(shape, rng, one)
    reading = read_bytes(text.encode(), "any.csv" if shape == "delimited" else "any.txt")
    assert found(reading) == one.truth, text


def _in_columns(
    grid: Callable[[Table], writing.Rows], gaps: tuple[int, ...], seed: str
) -> tuple[int, int, int]:
    """Return how many results were written, how many read, and how many read wrong without a mark."""
    rng = random.Random(seed)
    one = table(rng)
    text = writing.aligned(grid(one), rng.choice(gaps), right=rng.random() < 0.5)
    reading = read_bytes(text.encode(), "any.txt")
    unmarked = found(replace(reading, readings=tuple(one for one in reading.readings if not one.notes)))
    # a unit that was not seen is asked for later and noted; a wrong one is wrong
    known = {key[:3] for key in one.truth}
    wrong = {key for key in unmarked - one.truth if key[3] or key[:3] not in known}
    return len(one.truth), len(found(reading) & one.truth), len(wrong)


@pytest.mark.parametrize("grid", GRIDS[:5], ids=lambda f: f.__name__)
def test_columns_two_blanks_apart_and_more(grid: Callable[[Table], writing.Rows]) -> None:
    counts = [_in_columns(grid, (2, 3, 5), f"{grid.__name__} {seed}") for seed in range(60)]
    written, read, wrong = map(sum, zip(*counts, strict=True))
    assert wrong == 0
    assert read >= 0.99 * written


@pytest.mark.parametrize("grid", GRIDS[:5], ids=lambda f: f.__name__)
def test_columns_one_blank_apart(grid: Callable[[Table], writing.Rows]) -> None:
    counts = [_in_columns(grid, (1,), f"{grid.__name__} {seed}") for seed in range(60)]
    written, read, wrong = map(sum, zip(*counts, strict=True))
    assert read >= LEAST_READ * written
    assert wrong <= MOST_WRONG * written
