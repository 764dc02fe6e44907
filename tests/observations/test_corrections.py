import pytest

from soiltrend.errors import RecordsError
from soiltrend.observations import observe
from soiltrend.records.models import Correction
from soiltrend.values import Result


def correcting(garden, **fields):
    defaults = {
        "line": 2,
        "source": "reports/a.csv",
        "sample": "North 1",
        "analyte": "phosphorus",
        "value": 42.0,
        "unit": "mg P/kg",
        "reason": "typing error",
    }
    return garden.model_copy(update={"corrections": (Correction(**(defaults | fields)),)})


@pytest.fixture
def phosphorus(reading):
    return reading(
        420.0,
        analyte="phosphorus",
        form="P2O5",
        unit="mg/(100.g)",
        unit_printed="mg P2O5/100 g",
        value_printed="420",
        method="bray_p1",
        result=Result(number=420.0, qualifier=">", status="measured"),
    )


def test_a_correction_replaces_the_value_and_keeps_what_was_printed(phosphorus, report, garden) -> None:
    (row,), messages = observe(report(phosphorus), correcting(garden))
    assert (row.value, row.unit, row.qualifier) == (42.0, "mg/kg", "")
    assert (row.value_printed, row.unit_printed) == ("420", "mg P2O5/100 g")
    assert "corrected" in row.notes
    assert messages == []


def test_a_correction_in_the_printed_unit_has_the_printed_form(phosphorus, report, garden) -> None:
    (row,), _ = observe(report(phosphorus), correcting(garden, unit="mg P2O5/100 g"))
    assert row.value == pytest.approx(42 * 10 * 0.43643, rel=1e-4)


@pytest.mark.parametrize(
    ("unit", "value"),
    [
        ("mg P2O5/kg", 42 * 0.43643),
        ("ppm P₂O₅", 42 * 0.43643),
        ("mg P/100 g", 420),
        ("ppm P", 42),
        ("mg P/kg", 42),
    ],
)
def test_the_unit_of_a_correction_may_name_an_oxide(phosphorus, report, garden, unit, value) -> None:
    (row,), _ = observe(report(phosphorus), correcting(garden, unit=unit))
    assert row.value == pytest.approx(value, rel=1e-4)  # P in P2O5 by IUPAC abridged atomic weights


def test_nitrate_nitrogen_is_the_element(reading, report, garden) -> None:
    nitrate = reading(10.0, analyte="nitrate_n", unit="mg/kg", unit_printed="ppm")
    for unit, value in (("ppm", 42), ("mg NO3-N/kg", 42), ("mg NO3/kg", 42 * 0.22590)):
        (row,), _ = observe(report(nitrate), correcting(garden, analyte="nitrate_n", unit=unit))
        assert row.value == pytest.approx(value, rel=1e-4)


@pytest.mark.parametrize("unit", ["pH", "ph", "[pH]"])
def test_a_ph_is_corrected_in_ph(reading, report, garden, unit: str) -> None:
    (row,), _ = observe(report(reading(56.0)), correcting(garden, analyte="ph", value=5.6, unit=unit))
    assert (row.value, row.unit) == (5.6, "[pH]")
    assert "impossible-value" not in row.notes


@pytest.mark.parametrize("fields", [{"sample": "NORTH-1"}, {"analyte": "Phosphorus"}, {"unit": "ppm P"}])
def test_spelling_does_not_matter(phosphorus, report, garden, fields) -> None:
    (row,), _ = observe(report(phosphorus), correcting(garden, **fields))
    assert row.value == 42.0


def test_other_results_and_other_reports_stay_as_they_are(phosphorus, reading, report, garden) -> None:
    records = correcting(garden)
    rows, _ = observe(report(phosphorus, reading()), records)
    assert ["corrected" in row.notes for row in rows] == [True, False]
    rows, _ = observe(report(phosphorus, source="reports/b.csv"), records)
    assert ["corrected" in row.notes for row in rows] == [False]


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"sample": "Nort 1"}, "line 2, sample: expected a result for 'phosphorus' of sample 'Nort 1'"),
        ({"sample": "Nort 1"}, "Did you mean 'North 1'?"),
        ({"analyte": "potassium"}, "This sample has: ph, phosphorus."),
        ({"method": "olsen"}, "expected a result for 'phosphorus'"),
        ({"unit": "mg/kg"}, "line 2, unit: expected a unit that says P or P2O5, as mg P2O5/kg"),
        ({"unit": "mg/kg"}, "found 'mg/kg'. The report prints it as P2O5."),
        ({"unit": "spoons"}, "line 2, unit: expected a unit of soil tests"),
        ({"unit": "dS/m P"}, "line 2, unit: expected a value and unit that fit the analyte, found 'dS/m'"),
        ({"analyte": "ph", "unit": "dS/m"}, "line 2, unit: expected a value and unit that fit the analyte"),
        ({"unit": "mg K2O/kg"}, "line 2, unit: expected a value and unit that fit the analyte"),
    ],
)
def test_a_correction_of_nothing_is_an_error_that_names_its_line(
    phosphorus, reading, report, garden, *, fields, said: str
) -> None:
    with pytest.raises(RecordsError, match=r"corrections\.csv line 2") as caught:
        observe(report(phosphorus, reading()), correcting(garden, **fields))
    assert said in str(caught.value)


def test_a_correction_of_two_results_must_say_which(phosphorus, reading, report, garden) -> None:
    olsen = reading(30.0, analyte="phosphorus", unit="mg/kg", method="olsen", place="row 2 column P Olsen")
    both = report(phosphorus, olsen)
    with pytest.raises(RecordsError, match=r"bray_p1 at row 2 column pH, olsen at row 2 column P Olsen"):
        observe(both, correcting(garden))
    rows, _ = observe(both, correcting(garden, method="olsen"))
    assert [("corrected" in row.notes, row.method) for row in rows] == [(False, "bray_p1"), (True, "olsen")]


def test_a_negative_correction_is_flagged_like_any_other_value(phosphorus, report, garden) -> None:
    (row,), _ = observe(report(phosphorus), correcting(garden, value=-1.0))
    assert "impossible-value" in row.notes
