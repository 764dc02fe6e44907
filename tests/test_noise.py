"""How much one report wobbles: published figures, their parts, and what a garden says instead."""

import math
from datetime import date
from pathlib import Path

import pytest

from soiltrend.data import load_toml
from soiltrend.errors import RecordsError, SoiltrendError
from soiltrend.noise import Noise, known_analytes, noise_of, noise_text
from soiltrend.records.models import Garden, Measurement

ROWS = load_toml("noise")["analytes"]


@pytest.mark.parametrize("analyte", ROWS)
def test_every_figure_has_a_source_and_sensible_parts(analyte: str) -> None:
    row = ROWS[analyte]
    assert len(row["source"]) > 10
    assert row["scale"] in {"log", "raw"}
    assert all(row[part] > 0 for part in ("lab", "core", "year"))


@pytest.mark.parametrize(
    ("analyte", "least", "most"),
    [
        ("organic_matter", 10, 10.5),
        ("organic_carbon", 10, 10.5),
        ("phosphorus", 15, 20.5),
        ("potassium", 10, 15.5),
        ("calcium", 10, 15.5),
        ("magnesium", 10, 15.5),
        ("zinc", 20, 25.5),
        ("boron", 20, 25.5),
        ("iron", 20, 25.5),
        ("copper", 20, 25.5),
        ("manganese", 20, 25.5),
        ("nitrate_n", 29, 31),
    ],
)
def test_one_composite_report_of_fifteen_cores(analyte: str, least: float, most: float) -> None:
    """The project's proposal: OM 10 %, P 15-20 %, K/Ca/Mg 10-15 %, micronutrients 20-25 %, nitrate 30 %."""
    prior = Noise(cores=15).of(analyte, "mg/kg")
    cv = 100 * math.sqrt(math.expm1(prior.s0**2))
    assert prior.scale == "log"
    assert least <= cv <= most
    assert prior.d0 == 4


def test_ph_is_fitted_in_ph_units() -> None:
    """0.15 unit; Ferrari and Vermeulen give about 0.1 for sampling and analysis."""
    prior = Noise().of("ph", "[pH]")
    assert (prior.scale, round(prior.s0, 2)) == ("raw", 0.15)


@pytest.mark.parametrize(
    ("lab", "core", "year", "cores", "expected"),
    [
        (5, 20, 4, 1, 21.0),
        (5, 20, 4, 3, 13.2),
        (5, 30, 4, 10, 11.4),
        (5, 30, 4, 15, 10.0),
        (5, 60, 4, 5, 27.6),
        (5, 40, 4, 40, 9.0),
        (5, 10, 4, 20, 6.8),
    ],
)
def test_table_9_what_cores_buy(lab, core, year, cores, expected) -> None:
    """This project's own table 9, independent parts added: sqrt(lab² + core²/cores + year²)."""
    parts = {"lab_cv_pct": lab, "core_cv_pct": core, "year_cv_pct": year}
    prior = Noise({"organic_matter": parts}, cores=cores).of("organic_matter", "%")
    assert 100 * math.sqrt(math.expm1(prior.s0**2)) == pytest.approx(expected, abs=0.06)


def test_more_cores_never_make_a_report_noisier() -> None:
    for analyte in known_analytes():
        sizes = [Noise(cores=cores).of(analyte, "").s0 for cores in (1, 3, 5, 15, 40)]
        assert sizes == sorted(sizes, reverse=True)


def test_unknown_cores_are_assumed_and_said() -> None:
    assert Noise().of("potassium", "mg/kg").s0 == Noise(cores=15).of("potassium", "mg/kg").s0
    assert "15 cores (assumed)" in Noise().of("potassium", "mg/kg").source
    assert "15 cores" in Noise(cores=15).of("potassium", "mg/kg").source
    assert "assumed" not in Noise(cores=15).of("potassium", "mg/kg").source


def test_a_cv_on_the_log_scale_is_the_log_normal_one() -> None:
    """CV 10 % is 0.0998 on the log scale: sqrt(ln(1 + CV²))."""
    prior = Noise({"potassium": {"cv_pct": 10}}).of("potassium", "mg/kg")
    assert prior.s0 == pytest.approx(0.09975, abs=5e-6)
    assert (prior.source, prior.text) == ("garden.toml", "10 %")


def test_the_growers_own_duplicates_set_noise_and_certainty() -> None:
    prior = Noise({"ph": {"sd": 0.08, "df": 9}}).of("ph", "[pH]")
    assert (prior.s0, prior.d0, prior.source) == (0.08, 9.0, "garden.toml")


def test_one_part_can_be_said_and_the_rest_stays_published() -> None:
    plain, said = Noise(cores=10), Noise({"phosphorus": {"core_cv_pct": 20}}, cores=10)
    assert said.of("phosphorus", "mg/kg").s0 < plain.of("phosphorus", "mg/kg").s0
    assert said.of("phosphorus", "mg/kg").source.startswith("garden.toml for core_cv_pct; else design")


def test_the_shared_year_is_never_more_than_the_whole() -> None:
    prior = Noise({"nitrate_n": {"cv_pct": 5}}).of("nitrate_n", "mg/kg")
    assert 0 < prior.year <= prior.s0


@pytest.mark.parametrize(
    ("measure", "unit", "scale"),
    [
        ("yield", "kg", "log"),
        ("soil_temperature", "Cel", "raw"),
        ("soil_temperature", "°C", "raw"),
        ("soil_temperature", "°F", "raw"),
    ],
)
def test_what_nothing_is_published_for_is_called_a_guess(measure: str, unit: str, scale: str) -> None:
    prior = Noise().of(measure, unit)
    assert (prior.scale, prior.d0) == (scale, 2.0)
    assert "guess" in prior.source


def test_a_measure_of_ones_own_can_have_a_figure() -> None:
    noise = Noise({"yield": {"cv_pct": 12}}, measures=("yield",))
    assert noise.of("yield", "kg").text == "12 %"
    assert noise.of("yield", "kg").d0 == 4


def test_a_figure_for_a_measure_takes_the_name_and_the_scale_of_the_long_table(tmp_path: Path) -> None:
    measured = Measurement(
        line=2, date=date(2024, 5, 1), bed="North", measure="Soil temperature", value=14, unit="°C"
    )
    given = Garden(folder=tmp_path, measurements=(measured,), noise={"soil_temperature": {"sd": 0.7}})
    prior = noise_of(given).of("soil_temperature", "°C")
    assert (prior.scale, prior.s0, prior.d0, prior.source) == ("raw", 0.7, 4.0, "garden.toml")


def test_a_figure_in_percent_is_never_taken_for_one_in_degrees() -> None:
    noise = Noise({"warmth": {"cv_pct": 12}}, measures=("warmth",))
    assert noise.of("warmth", "kg").text == "12 %"
    assert noise.of("warmth", "Cel").s0 == Noise().of("warmth", "Cel").s0


def test_a_measure_as_it_was_written_is_pointed_to_its_name(tmp_path: Path) -> None:
    measured = Measurement(line=2, date=date(2024, 5, 1), bed="North", measure="Root mass", value=1, unit="g")
    given = Garden(folder=tmp_path, measurements=(measured,), noise={"Root mass": {"cv_pct": 9}})
    with pytest.raises(RecordsError, match=r"Did you mean root_mass\?"):
        noise_of(given)


@pytest.mark.parametrize(
    ("overrides", "words"),
    [
        ({"phosphorous": {"cv_pct": 10}}, ["[noise.phosphorous]", "Did you mean phosphorus?"]),
        ({"xyz": {"cv_pct": 10}}, ["[noise.xyz]", "the name of an analyte", "column analyte"]),
        ({"potassium": {"cvpct": 10}}, ["[noise.potassium] cvpct", "one of cv_pct", "Did you mean cv_pct?"]),
        ({"potassium": {"cv_pct": "ten"}}, ["a number", "'ten'"]),
        ({"potassium": {"cv_pct": True}}, ["a number", "True"]),
        ({"potassium": {"cv_pct": math.nan}}, ["a number", "nan"]),
        ({"potassium": {"cv_pct": 0}}, ["more than 0", "found 0"]),
        ({"potassium": {"lab_cv_pct": -1}}, ["0 or more", "found -1"]),
        ({"potassium": {"cv_pct": 1000}}, ["percent, at most 300", "found 1000"]),
        ({"potassium": {"df": 0}}, ["at least 1", "found 0"]),
        ({"potassium": {"sd": 5}}, ["cv_pct, percent of the value", "found sd"]),
        ({"ph": {"cv_pct": 5}}, ["sd, in the unit of the analyte", "found cv_pct"]),
        ({"ph": {"sd": 0}}, ["more than 0", "found 0"]),
        ({"potassium": {"cv_pct": 10, "lab_cv_pct": 5}}, ["only the whole noise", "not both"]),
        ({"potassium": 10}, ["a table with cv_pct"]),
    ],
)
def test_an_override_that_makes_no_sense_is_refused_with_its_place(overrides, words) -> None:
    with pytest.raises(SoiltrendError) as caught:
        Noise(overrides)
    message = str(caught.value)
    assert message.startswith("garden.toml, [noise.")
    for word in words:
        assert word in message


def test_all_mistakes_are_named_at_once() -> None:
    with pytest.raises(SoiltrendError) as caught:
        Noise({"ph": {"cv_pct": 5}, "zinc": {"cv_pct": -5}})
    assert len(str(caught.value).splitlines()) == 2


@pytest.mark.parametrize(
    ("size", "scale", "unit", "said"),
    [(10.04, "log", "%", "10 %"), (0.1464, "raw", "[pH]", "0.15 pH units"), (4.7, "raw", "%", "4.7 points")],
)
def test_a_noise_figure_in_words(size, scale, unit, said) -> None:
    assert noise_text(size, scale, unit) == said
