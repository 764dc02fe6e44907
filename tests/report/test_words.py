"""Names, units, dates and small grammar."""

from datetime import date

import pytest

from soiltrend.data import load_toml
from soiltrend.report.glossary import glossary
from soiltrend.report.series import Scale
from soiltrend.report.words import (
    analyte_in_text,
    analyte_name,
    analyte_short,
    area,
    change_unit,
    counted,
    depth,
    listed,
    long_date,
    method_name,
    unit_name,
)


@pytest.mark.parametrize(
    ("analyte", "name", "short", "inside"),
    [
        ("organic_matter", "Organic matter", "OM", "organic matter"),
        ("ph", "pH", "pH", "pH"),
        ("cec", "Cation exchange capacity", "CEC", "cation exchange capacity"),
        ("root_mass", "Root mass", "root mass", "root mass"),
    ],
)
def test_names_of_tests(analyte: str, name: str, short: str, inside: str) -> None:
    assert (analyte_name(analyte), analyte_short(analyte), analyte_in_text(analyte)) == (name, short, inside)


def test_every_analyte_of_the_vocabulary_has_a_name_and_not_its_code() -> None:
    assert [name for name in load_toml("analytes") if "_" in analyte_name(name)] == []


def test_every_method_of_the_vocabulary_has_a_name_and_not_its_code() -> None:
    assert [name for name in load_toml("methods")["method"] if "_" in method_name(name)] == []


@pytest.mark.parametrize(
    ("unit", "system", "printed", "change"),
    [
        ("%", "metric", "%", "points"),
        ("[pH]", "metric", "", "pH units"),
        ("mg/kg", "metric", "mg/kg", "mg/kg"),
        ("mg/kg", "us", "ppm", "ppm"),
        ("meq/(100.g)", "us", "meq/100 g", "meq/100 g"),
        ("bushels", "us", "bushels", "bushels"),
    ],
)
def test_units(unit: str, system: str, printed: str, change: str) -> None:
    assert (unit_name(unit, system), change_unit(unit, system)) == (printed, change)


def test_lengths_and_areas_in_the_growers_own_units() -> None:
    assert depth(0, 15.24, "us") == "0–6\u00a0in"
    assert depth(0, 15, "metric") == "0–15\u00a0cm"
    assert depth(None, None, "us") == ""
    assert area(9.290304, "us") == "100\u00a0ft²"
    assert area(24, "metric") == "24\u00a0m²"


@pytest.mark.parametrize(("celsius", "fahrenheit"), [(0, 32), (100, 212), (-40, -40)])
def test_temperatures_in_the_growers_own_units(celsius: float, fahrenheit: float) -> None:
    # fixed points of the two scales: melting and boiling water, and where the scales meet
    assert Scale.of("Cel", "us").value(celsius) == pytest.approx(fahrenheit)
    assert Scale.of("Cel", "metric").value(celsius) == celsius


def test_a_kilogram_per_square_metre_in_pounds_per_thousand_square_feet() -> None:
    # 0.45359237 kg and 0.09290304 m2 by the international agreement of 1959
    assert Scale.of("kg/m2", "us").factor == pytest.approx(92.90304 / 0.45359237, rel=1e-12)


def test_dates_counts_and_lists() -> None:
    assert long_date(date(2021, 10, 4)) == "4\u00a0October\u00a02021"
    assert [counted(n, "bed") for n in (0, 1, 2)] == ["no\u00a0beds", "1\u00a0bed", "2\u00a0beds"]
    assert [listed(names) for names in ([], ["a"], ["a", "b"], ["a", "b", "c"])] == [
        "",
        "a",
        "a and b",
        "a, b and c",
    ]


def test_every_word_of_the_glossary_has_a_source() -> None:
    assert all(term.source and term.text.endswith((".", "it.")) for term in glossary())
