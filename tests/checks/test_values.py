"""Values that no soil can have. Limits: Rayment and Lyons 2011 and others, named in the data."""

import pytest

from soiltrend.checks.values import impossible_value
from tests.checks.gardens import evidence, row


def severities(*rows):
    return [finding.severity for finding in impossible_value(evidence(list(rows)))]


@pytest.mark.parametrize(
    ("analyte", "value", "severity"),
    [
        ("ph", 6.5, None),
        ("ph", 15.0, "unbelievable"),
        ("ph", 1.5, "unbelievable"),  # below ultra acid (Rayment and Lyons 2011, ch. 4)
        ("ph", 3.9, "note"),
        ("organic_matter", 8.0, None),  # Maine tunnels: 54 % above 8 %
        ("organic_matter", 24.0, "note"),
        ("organic_matter", 104.0, "unbelievable"),
        ("phosphorus", -3.0, "unbelievable"),
        ("phosphorus", 133.0, None),  # median of Minnesota community gardens
        ("phosphorus", 2500.0, "unbelievable"),
        ("calcium", 12000.0, "note"),
        ("cec", 160.0, "unbelievable"),
    ],
)
def test_a_value_is_held_against_what_soil_can_have(analyte, value, severity):
    assert severities(row("Bed 1", 2020, analyte, value)) == ([severity] if severity else [])


def test_the_limit_depends_on_the_extraction():
    olsen = row("Bed 1", 2020, "phosphorus", 600.0, method="olsen")
    mehlich = row("Bed 1", 2020, "phosphorus", 600.0, method="mehlich_3")
    assert severities(olsen) == ["unbelievable"]
    assert severities(mehlich) == ["note"]


def test_an_impossible_value_names_the_slips_that_would_mend_it():
    (finding,) = impossible_value(evidence([row("Bed 1", 2020, "ph", 65.0)]))
    assert finding.causes[0].code == "unit-decimal"
    assert "65 ÷ 10 = 6.5" in finding.causes[0].text
    assert finding.observations == ("reports/2020.csv: Bed 1 ph",)


@pytest.mark.parametrize(("clay", "flagged"), [(20.0, False), (21.0, False), (32.0, True)])
def test_sand_silt_and_clay_make_a_whole(clay, flagged):
    parts = [row("Bed 1", 2020, a, v) for a, v in (("sand", 40.0), ("silt", 40.0), ("clay", clay))]
    assert bool(severities(*parts)) is flagged


def test_a_temperature_below_zero_is_no_soil_test():
    assert severities(row("Bed 1", 2020, "soil_temperature", -2.0, unit="Cel")) == []


def test_a_value_below_a_limit_of_detection_is_not_judged_negative():
    assert severities(row("Bed 1", 2020, "zinc", 0.5, qualifier="<")) == []
