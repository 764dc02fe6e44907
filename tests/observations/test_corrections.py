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
        "unit": "mg/kg",
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


@pytest.mark.parametrize("fields", [{"sample": "NORTH-1"}, {"analyte": "Phosphorus"}, {"unit": "ppm"}])
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
        ({"unit": "spoons"}, "line 2, unit: expected a unit of soil tests"),
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
