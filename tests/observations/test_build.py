from datetime import date
from pathlib import Path

import pytest

from soiltrend.observations import observe
from soiltrend.records.models import Bed, Correction, Garden
from soiltrend.values import Result


def test_a_row_says_what_was_measured_where_and_how(reading, report, garden) -> None:
    one = reading(
        87.0,
        sample="n-1",
        analyte="phosphorus",
        form="P2O5",
        unit="mg/kg",
        unit_printed="ppm P2O5",
        value_printed="87",
        method="mehlich_3",
        method_printed="M3",
        depth_from_cm=0,
        depth_to_cm=15,
        lab="Test Lab",
        report="R-1",
    )
    (row,), messages = observe(report(one), garden)

    assert (row.bed, row.sample, row.sampled_on, row.date_basis) == (
        "North 1",
        "n-1",
        date(2024, 4, 15),
        "sampled",
    )
    # P in P2O5: 2 x 30.974 / (2 x 30.974 + 5 x 15.999), IUPAC abridged atomic weights
    assert row.value == pytest.approx(87 * 0.43643, rel=1e-4)
    assert (row.analyte, row.unit, row.qualifier) == ("phosphorus", "mg/kg", "")
    assert (row.value_printed, row.unit_printed) == ("87", "ppm P2O5")
    assert (row.method, row.method_printed) == ("mehlich_3", "M3")
    assert (row.depth_from_cm, row.depth_to_cm) == (0, 15)
    assert (row.lab, row.report) == ("Test Lab", "R-1")
    assert (row.source, row.place) == ("reports/a.csv", "row 2 column pH")
    assert row.notes == ()
    assert messages == []


@pytest.mark.parametrize(
    ("result", "value", "qualifier"),
    [
        (Result(number=5.0, status="measured"), 5.0, ""),
        (Result(number=5.0, qualifier="<", status="measured"), 5.0, "<"),
        (Result(number=5.0, qualifier=">", status="measured"), 5.0, ">"),
        (Result(number=0.5, qualifier="<", status="not-detected"), 0.5, "<"),
        (Result(qualifier="<", status="not-detected"), None, "<"),
    ],
)
def test_a_result_below_a_limit_keeps_its_sign(reading, report, result, value, qualifier) -> None:
    (row,), _ = observe(report(reading(analyte="zinc", unit="mg/kg", result=result)), None)
    assert (row.value, row.unit, row.qualifier) == (value, "mg/kg", qualifier)


@pytest.mark.parametrize("status", ["not-run", "text"])
def test_a_test_that_was_not_run_makes_no_row(reading, report, status: str) -> None:
    assert observe(report(reading(result=Result(status=status))), None) == ([], [])


def test_without_a_garden_the_sample_is_the_bed(reading, report) -> None:
    (row,), messages = observe(report(reading(sample="Probe 7")), None)
    assert (row.bed, row.depth_to_cm, row.notes, messages) == ("Probe 7", None, (), [])


def test_a_garden_without_beds_asks_for_none(reading, report) -> None:
    (row,), messages = observe(report(reading(sample="Probe 7")), Garden(folder=Path()))
    assert (row.bed, row.notes, messages) == ("Probe 7", (), [])


def test_a_near_miss_stays_on_its_own_and_is_suggested_once(reading, report, garden) -> None:
    rows, messages = observe(report(reading(sample="Nort 1"), reading(2.0, sample="Nort 1")), garden)
    assert [row.bed for row in rows] == ["Nort 1", "Nort 1"]
    assert all("bed-unmatched" in row.notes for row in rows)
    (message,) = messages
    assert message == (
        "reports/a.csv: sample 'Nort 1' is no bed of beds.csv and stays on its own. "
        "Is it 'North 1'? Then add 'Nort 1' to its also_called in beds.csv."
    )


def test_a_depth_that_is_not_printed_is_the_gardens_and_noted(reading, report, garden) -> None:
    (row,), _ = observe(report(reading()), garden)
    assert (row.depth_from_cm, row.depth_to_cm, row.notes) == (0.0, 20, ("depth-assumed",))


@pytest.mark.parametrize(
    ("sample", "density"), [("North 1", 1.3), ("South 1", 1.1)], ids=["the garden's", "the bed's own"]
)
def test_a_result_per_area_is_divided_by_the_soil_of_the_layer(
    reading, report, garden, sample: str, density: float
) -> None:
    one = reading(100.0, sample=sample, analyte="phosphorus", unit="kg/ha", depth_from_cm=10, depth_to_cm=30)
    (row,), _ = observe(report(one), garden)
    # kg/ha = mg/kg x depth (cm) x bulk density (g/cm3) x 0.1
    assert row.value == pytest.approx(100 / (20 * density * 0.1))
    assert "depth-and-density-used" in row.notes


def test_pounds_per_acre_keep_to_the_furrow_slice_where_only_the_garden_has_a_usual_density(
    reading, report, garden
) -> None:
    one = reading(100.0, analyte="phosphorus", unit="lb/acre")
    (row,), _ = observe(report(one), garden)
    assert row.value == pytest.approx(50)  # garden: 20 cm at 1.3 g/cm3, of which the laboratory knows nothing
    assert {"furrow-slice-assumed", "depth-assumed"} <= set(row.notes)


@pytest.mark.parametrize(
    ("sample", "printed", "density"),
    [("South 1", None, 1.1), ("South 1", 1.25, 1.25), ("North 1", 1.25, 1.25)],
    ids=["the bed's own", "the report's before the bed's", "the report's"],
)
def test_pounds_per_acre_are_divided_by_a_density_known_for_this_soil(
    reading, report, garden, sample: str, printed: float | None, density: float
) -> None:
    layer = {"sample": sample, "depth_from_cm": 0.0, "depth_to_cm": 15.0}
    one = reading(100.0, analyte="phosphorus", unit="lb/acre", **layer)
    also = () if printed is None else (reading(printed, analyte="bulk_density", unit="g/cm3", **layer),)
    rows, _ = observe(report(one, *also), garden)
    # lb/acre = ppm × depth (cm) × bulk density (g/cm3) × 0.1 / 1.12085
    assert rows[0].value == pytest.approx(100 * 1.120851 / (15 * density * 0.1), rel=1e-6)
    assert "depth-and-density-used" in rows[0].notes


@pytest.mark.parametrize(
    "printed", [(13.0,), (1.2, 1.4), (None,)], ids=["impossible", "two that differ", "not a number"]
)
def test_a_printed_density_that_cannot_be_used_changes_nothing(reading, report, printed) -> None:
    also = [
        reading(value, analyte="bulk_density", unit="g/cm3", place=f"row {i}")
        for i, value in enumerate(printed)
    ]
    rows, _ = observe(report(reading(100.0, analyte="phosphorus", unit="lb/acre"), *also), None)
    assert rows[0].value == pytest.approx(50)


def test_a_corrected_density_is_the_one_that_counts(reading, report, garden) -> None:
    layer = {"depth_from_cm": 0.0, "depth_to_cm": 15.0}
    correction = Correction(
        line=2,
        source="reports/a.csv",
        sample="North 1",
        analyte="bulk_density",
        value=1.2,
        unit="g/cm3",
        reason="slip of the pen",
    )
    corrected = garden.model_copy(update={"corrections": (correction,)})
    rows, _ = observe(
        report(
            reading(100.0, analyte="phosphorus", unit="kg/ha", **layer),
            reading(1.8, analyte="bulk_density", unit="g/cm3", place="row 3", **layer),
        ),
        corrected,
    )
    assert rows[0].value == pytest.approx(100 / (15 * 1.2 * 0.1))


def test_a_result_per_area_without_depth_or_density_rests_on_the_furrow_slice_and_says_so(
    reading, report
) -> None:
    (row,), _ = observe(report(reading(100.0, analyte="phosphorus", unit="lb/acre")), None)
    assert row.value == pytest.approx(50)  # 2,000,000 lb to the acre
    assert "furrow-slice-assumed" in row.notes


def test_what_cannot_be_converted_is_left_out_and_named(reading, report) -> None:
    bad = reading(
        7.0,
        analyte="phosphorus",
        unit="index",
        unit_printed="index",
        value_printed="7",
        place="page 1 line 4",
    )
    rows, (message,) = observe(report(bad, reading()), None)
    assert [row.analyte for row in rows] == ["ph"]
    assert message.startswith("reports/a.csv, page 1 line 4: phosphorus 7 index was left out: ")


@pytest.mark.parametrize(
    ("value", "analyte", "unit"), [(-3.0, "zinc", "mg/kg"), (-0.1, "organic_matter", "%"), (65.0, "ph", "")]
)
def test_what_no_soil_can_have_is_kept_and_flagged(reading, report, value, analyte, unit) -> None:
    (row,), _ = observe(report(reading(value, analyte=analyte, unit=unit)), None)
    assert row.value == value
    assert "impossible-value" in row.notes


def test_a_date_of_another_age_is_emptied_and_noted(reading, report) -> None:
    (row,), (message,) = observe(report(reading(sampled_on=date(204, 4, 15))), None)
    assert (row.sampled_on, row.date_basis, row.notes) == (None, "", ("impossible-date",))
    assert "cannot be right" in message


def test_a_date_after_today_is_kept_and_noted(reading, report) -> None:
    rows, messages = observe(report(reading(), reading()), None, today=date(2024, 4, 14))
    assert all(
        (row.sampled_on, row.notes) == (date(2024, 4, 15), ("future-date", "not-in-fits")) for row in rows
    )
    assert messages == ["reports/a.csv: the date 2024-04-15 is in the future; the rows enter no trend."]


def test_a_sample_of_today_is_not_of_the_future(reading, report) -> None:
    (row,), messages = observe(report(reading()), None, today=date(2024, 4, 15))
    assert (row.notes, messages) == ((), [])


def test_what_the_reader_noted_stays_noted_once(reading, report) -> None:
    one = reading(
        30.0,
        analyte="potassium",
        unit="",
        result=Result(number=30.0, status="measured", notes=("low-confidence",)),
        notes=("method-assumed", "low-confidence"),
    )
    (row,), _ = observe(report(one), None)
    assert row.notes == ("method-assumed", "low-confidence", "unit-assumed")


def test_two_names_of_one_bed_are_two_samples_of_it(reading, report) -> None:
    garden = Garden(folder=Path(), beds=(Bed(bed="North 1", also_called=("N1",)),))
    rows, _ = observe(report(reading(), reading(6.7, sample="N1")), garden)
    assert [(row.bed, row.sample) for row in rows] == [("North 1", "North 1"), ("North 1", "N1")]
