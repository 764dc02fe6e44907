from datetime import date

import pandas as pd
import pytest

from soiltrend.observations import COLUMNS, long_table, to_frame, usable
from soiltrend.records.models import Measurement


def measured(line: int, day: date, value: float) -> Measurement:
    return Measurement(
        line=line, date=day, bed="North 1", measure="Soil temperature", value=value, unit="Cel"
    )


def test_the_frame_has_the_columns_in_their_order_and_kinds(reading, report, garden) -> None:
    frame, _ = long_table([report(reading(), reading(sampled_on=None))], garden)
    assert tuple(frame.columns) == COLUMNS
    assert frame["sampled_on"].dtype.kind == "M"
    assert frame["sampled_on"].isna().tolist() == [False, True]
    assert [frame[name].dtype for name in ("value", "depth_from_cm", "depth_to_cm")] == ["float64"] * 3
    assert frame["notes"].tolist() == ["depth-assumed"] * 2
    assert frame["method"].tolist() == ["", ""]


def test_an_empty_table_has_all_columns_and_no_rows() -> None:
    frame = to_frame([])
    assert tuple(frame.columns) == COLUMNS
    assert len(frame) == len(usable(frame)) == 0
    assert frame["sampled_on"].dtype.kind == "M"


def test_notes_are_joined_with_semicolons(reading, report, garden) -> None:
    frame, _ = long_table([report(reading(-1.0, notes=("low-confidence",)))], garden)
    assert frame["notes"].tolist() == ["low-confidence;depth-assumed;impossible-value"]


def test_own_measurements_stand_in_the_same_table(garden) -> None:
    records = garden.model_copy(update={"measurements": (measured(3, date(2024, 5, 1), -0.1),)})
    frame, messages = long_table([], records)
    row = frame.iloc[0]
    assert (row["bed"], row["analyte"], row["value"], row["unit"]) == (
        "North 1",
        "soil_temperature",
        -0.1,
        "Cel",
    )
    assert (row["sampled_on"], row["date_basis"]) == (pd.Timestamp(2024, 5, 1), "sampled")
    assert (row["value_printed"], row["source"], row["place"]) == ("-0.1", "measurements.csv", "line 3")
    assert row["notes"] == ""  # it can be colder than nothing
    assert messages == ()


@pytest.mark.parametrize(
    ("fields", "fits"),
    [
        ({}, True),
        ({"sampled_on": None}, False),
        ({"value": -1.0}, False),
        ({"sampled_on": date(2030, 1, 1)}, False),
        ({"notes": ("unit-assumed", "low-confidence")}, True),
        ({"notes": ("not-in-fits",)}, False),
    ],
)
def test_what_enters_fits(reading, report, fields, fits: bool) -> None:
    frame, _ = long_table([report(reading(**fields))], None, date(2024, 6, 1))
    assert len(frame) == 1
    assert len(usable(frame)) == int(fits)


def test_duplicates_and_missing_values_are_in_the_table_and_in_no_fit(reading, report) -> None:
    from soiltrend.values import Result

    absent = reading(analyte="zinc", unit="mg/kg", result=Result(qualifier="<", status="not-detected"))
    frame, _ = long_table([report(absent, reading()), report(reading(), source="reports/b.csv")], None)
    assert len(frame) == 3
    assert usable(frame).index.tolist() == [1]


def test_measurements_of_the_future_enter_no_fit(garden) -> None:
    records = garden.model_copy(update={"measurements": (measured(2, date(2030, 5, 1), 12.0),)})
    frame, _ = long_table([], records, date(2024, 6, 1))
    assert frame["notes"].tolist() == ["future-date;not-in-fits"]
    assert usable(frame).empty


def test_a_measure_in_several_units_is_said_once(garden) -> None:
    first, second = measured(2, date(2023, 5, 1), 12.0), measured(3, date(2024, 5, 1), 55.0)
    other = second.model_copy(update={"unit": "F"})
    records = garden.model_copy(update={"measurements": (first, other)})
    _, messages = long_table([], records)
    assert messages == (
        "measurements.csv: soil temperature stands in several units "
        "(Cel first in line 2, F first in line 3); "
        "they are not compared with each other. Write all of it in one unit.",
    )
    assert long_table([], garden.model_copy(update={"measurements": (first, second)}))[1] == ()
