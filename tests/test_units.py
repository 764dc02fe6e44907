"""Printed units: spellings, conversions to the canonical unit, refusals that say what is missing."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from soiltrend.data import load_toml
from soiltrend.errors import CannotConvert, SoiltrendError
from soiltrend.units import (
    acidity_meq,
    cation_sum_meq,
    confusions,
    element_fraction,
    equivalent_weight,
    kg_ha_per_lb_acre,
    lb_acre_per_ppm,
    match_unit,
    saturation_pct,
    to_canonical,
    to_us,
    unit,
    units,
    usual_unit,
)

# Unit spellings seen on reports (general usage, from memory).
SPELLINGS = {
    "mg/kg": ["ppm", "mg/kg", "mg kg-1", "mg.kg-1", "mg·kg⁻¹", "(mg/kg)", "[ppm]", "mg_kg", "mg per kg"],
    "ug/g": ["µg/g", "ug/g"],
    "mg/dm3": ["mg/dm3", "mg/dm³", "mg dm-3"],
    "mg/L": ["mg/L", "mg/l"],
    "mg/(100.g)": ["mg/100 g", "mg/100g Boden", "mg P2O5/100 g", "mg K2O/100g Boden", "mg/100g TS"],
    "g/kg": ["g/kg", "‰", "g kg-1"],
    "%": ["%", "pct", "Prozent"],
    "lb/acre": ["lb/A", "lbs/A", "lb/ac", "lbs/acre", "#/A", "pounds/A", "lbs per acre", "LBS/A", "lb./ac."],
    "pp2m": ["pp2m"],
    "kg/ha": ["kg/ha", "kg ha-1"],
    "meq/(100.g)": [
        "meq/100g", "me/100g", "mEq/100 g", "cmol/kg", "cmolc/kg", "cmol(+)/kg", "cmol(+) kg-1", "mval/100 g",
        "cmolc kg⁻¹", "cmol₍₊₎/kg",
    ],
    "meq/kg": ["mmolc/kg", "meq/kg", "mmol(+)/kg"],
    "meq/(100.mL)": ["meq/100 cm3", "cmolc/dm3", "cmolc dm-3", "meq/100cc"],
    "mmho/cm": ["mmho/cm", "mmhos/cm"],
    "1e-5 mho/cm": ["mhos x 10-5", "mhos × 10⁻⁵"],
    "dS/m": ["dS/m", "dS m-1"],
    "mS/cm": ["mS/cm"],
    "mS/m": ["mS/m"],
    "uS/cm": ["µS/cm", "uS/cm", "μS/cm"],
    "index": ["index"],
    "g/cm3": ["g/cm3", "t/m3", "Mg/m3", "g/cm³", "g cm-3"],
}  # fmt: skip


@pytest.mark.parametrize(("code", "printed"), [(c, p) for c, found in SPELLINGS.items() for p in found])
def test_a_printed_unit_is_recognised(code: str, printed: str) -> None:
    assert match_unit(printed) == code


@pytest.mark.parametrize(
    "text", ["", "P", "bananas", "mg", "23 ppm", "ppm P", "kg", "A", "m", "mg/kg or so", "per"]
)
def test_what_is_no_whole_unit_is_not_one(text: str) -> None:
    assert match_unit(text) == ""


def test_an_unknown_code_is_refused_with_the_known_ones() -> None:
    with pytest.raises(SoiltrendError, match="expected one of mg/kg"):
        unit("furlong")


@pytest.mark.parametrize(
    ("value", "analyte", "code", "form", "expected"),
    [
        (23, "phosphorus", "mg/kg", "", 23),
        (23, "phosphorus", "ug/g", "", 23),
        (2.3, "phosphorus", "mg/(100.g)", "", 23),
        (0.05, "phosphorus", "g/kg", "", 50),
        (0.01, "phosphorus", "%", "", 100),
        (100, "phosphorus", "mg/kg", "P2O5", 43.643),
        (10, "phosphorus", "mg/(100.g)", "P2O5", 43.643),
        (100, "potassium", "mg/kg", "K2O", 83.015),
        (100, "calcium", "mg/kg", "CaO", 71.470),
        (100, "calcium", "mg/kg", "CaCO3", 40.044),
        (100, "magnesium", "mg/kg", "MgO", 60.304),
        (100, "sodium", "mg/kg", "Na2O", 74.186),
        (100, "nitrate_n", "mg/kg", "NO3", 22.5905),
        (100, "ammonium_n", "mg/kg", "NH4", 77.648),
        (100, "sulfur", "mg/kg", "SO4", 33.376),
        (100, "sulfur", "mg/kg", "SO3", 40.046),
        (100, "phosphorus", "mg/kg", "PO4", 32.615),
        (1, "calcium", "meq/(100.g)", "", 200.39),
        (1, "magnesium", "meq/(100.g)", "", 121.525),
        (1, "potassium", "meq/(100.g)", "", 390.98),
        (1, "sodium", "meq/(100.g)", "", 229.90),
        (1, "aluminum", "meq/(100.g)", "", 89.94),
        (1, "ammonium_n", "meq/(100.g)", "", 140.07),
        (10, "potassium", "meq/kg", "", 390.98),
        (10, "potassium", "mmol/kg", "", 390.98),
        (800, "potassium", "pp2m", "", 400),
        (35, "organic_matter", "g/kg", "", 3.5),
        (1.5, "organic_carbon", "%", "", 1.5),
        (1500, "total_n", "mg/kg", "", 0.15),
        (250, "clay", "g/kg", "", 25),
        (12, "cec", "meq/(100.g)", "", 12),
        (120, "cec", "meq/kg", "", 12),
        (120, "cec", "mmol/kg", "", 12),
        (10.08, "exchangeable_acidity", "mg/kg", "", 1),
        (1.4, "soluble_salts", "mmho/cm", "", 1.4),
        (1.4, "soluble_salts", "mS/cm", "", 1.4),
        (140, "soluble_salts", "mS/m", "", 1.4),
        (1400, "soluble_salts", "uS/cm", "", 1.4),
        (140, "soluble_salts", "1e-5 mho/cm", "", 1.4),
        (1300, "bulk_density", "kg/m3", "", 1.3),
        (6.5, "ph", "[pH]", "", 6.5),
        (67, "buffer_ph", "[LTI]", "", 6.7),
        (6.7, "buffer_ph", "[LTI]", "", 6.7),
        (4.5, "base_saturation_k", "%", "", 4.5),
    ],
)  # fmt: skip
def test_a_printed_number_becomes_the_canonical_unit(
    value: float, analyte: str, code: str, form: str, expected: float
) -> None:
    converted = to_canonical(value, analyte=analyte, unit=code, form=form)
    assert converted.value == pytest.approx(expected, rel=2e-5)
    assert converted.unit == usual_unit(analyte)


@pytest.mark.parametrize(
    ("value", "analyte", "code", "expected", "canonical"),
    [
        (45, "phosphorus", "mg/dm3", 45, "mg/dm3"),
        (45, "phosphorus", "mg/L", 45, "mg/dm3"),
        (4.5, "phosphorus", "mg/(100.mL)", 45, "mg/dm3"),
        (1, "potassium", "meq/(100.mL)", 390.98, "mg/dm3"),
        (10, "potassium", "meq/L", 390.98, "mg/dm3"),
        (8, "cec", "meq/(100.mL)", 8, "meq/(100.mL)"),
        (25, "organic_matter", "g/dm3", 25, "g/dm3"),
    ],
)
def test_a_result_by_volume_stays_by_volume_and_is_marked(
    value: float, analyte: str, code: str, expected: float, canonical: str
) -> None:
    converted = to_canonical(value, analyte=analyte, unit=code)
    assert converted.value == pytest.approx(expected)
    assert (converted.unit, converted.notes) == (canonical, ("volume-basis",))


def test_a_litre_of_extract_is_not_a_litre_of_soil() -> None:
    converted = to_canonical(45, analyte="potassium", unit="mg/L", method="saturated_paste")
    assert (converted.value, converted.unit, converted.notes) == (45, "mg/L", ("extract-basis",))


@pytest.mark.parametrize(
    ("depth", "density", "expected", "note"),
    [
        (None, None, 50.0, "furrow-slice-assumed"),
        (15.24, None, 50.0, "furrow-slice-assumed"),
        (17.78, None, 50.0, "furrow-slice-assumed"),
        (15.0, None, 50.0, "furrow-slice-assumed"),
        (30.48, None, 25.0, "furrow-slice-prorated"),
        (60.96, None, 12.5, "furrow-slice-prorated"),
        (None, 1.3, 50.0, "furrow-slice-assumed"),
        (15.0, 1.3, 57.48, "depth-and-density-used"),
    ],
)
def test_pounds_per_acre_need_a_soil_mass_and_say_which_was_taken(
    depth: float | None, density: float | None, expected: float, note: str
) -> None:
    converted = to_canonical(100, analyte="phosphorus", unit="lb/acre", depth_cm=depth, bulk_density=density)
    assert converted.value == pytest.approx(expected, rel=1e-4)
    assert (converted.unit, converted.notes) == ("mg/kg", (note,))


@pytest.mark.parametrize(
    ("unit", "depth", "assumed", "expected", "note"),
    [
        # printed as 2 × ppm, 4 × ppm for 12 inches (Univ. of Minnesota Extension; Merced County note)
        ("lb/acre", 15.24, {"density_assumed": True}, 50.0, "furrow-slice-assumed"),
        ("lb/acre", 30.48, {"density_assumed": True}, 25.0, "furrow-slice-prorated"),
        ("lb/acre", 30.48, {"density_assumed": True, "layer_assumed": True}, 50.0, "furrow-slice-assumed"),
        # the density of this very soil is known
        ("lb/acre", 15.24, {}, 56.574, "depth-and-density-used"),
        ("lb/acre", 15.24, {"layer_assumed": True}, 56.574, "depth-and-density-used"),
        # a stock in kg/ha is one of the layer that was sampled
        ("kg/ha", 15.24, {"density_assumed": True, "layer_assumed": True}, 50.474, "depth-and-density-used"),
        # 100 lb to 1000 square feet are 4356 lb to the acre
        ("lb/1000ft2", 15.24, {"density_assumed": True}, 2178.0, "furrow-slice-assumed"),
    ],
)
def test_a_garden_s_usual_density_is_not_what_the_laboratory_multiplied_by(
    unit: str, depth: float, assumed: dict[str, bool], expected: float, note: str
) -> None:
    converted = to_canonical(
        100, analyte="phosphorus", unit=unit, depth_cm=depth, bulk_density=1.3, **assumed
    )
    assert converted.value == pytest.approx(expected, rel=1e-4)
    assert converted.notes == (note,)


def test_without_a_density_pounds_per_acre_go_by_the_printed_depth_alone() -> None:
    def ppm(**context: object) -> float:
        return to_canonical(100, analyte="phosphorus", unit="lb/acre", **context).value  # type: ignore[arg-type]

    assert ppm(depth_cm=30.48) == pytest.approx(25)
    assert ppm(depth_cm=30.48, layer_assumed=True) == pytest.approx(50)


def test_kg_per_hectare_of_an_oxide_through_depth_and_density() -> None:
    """577 kg P2O5/ha in 30 cm at 1.4 g/cm3 is 60 mg P/kg (Ingenieurbüro Geries, 2018)."""
    converted = to_canonical(
        577.4, analyte="phosphorus", unit="kg/ha", form="P2O5", depth_cm=30, bulk_density=1.4
    )
    assert converted.value == pytest.approx(60, abs=0.02)


def test_a_carbon_stock_needs_depth_and_density() -> None:
    stock = to_canonical(28.275, analyte="organic_carbon", unit="t/ha", depth_cm=30, bulk_density=1.45)
    assert stock.value == pytest.approx(0.65)
    with pytest.raises(CannotConvert, match="depth and the bulk density"):
        to_canonical(28, analyte="organic_carbon", unit="t/ha")


@pytest.mark.parametrize(
    ("analyte", "code", "form", "reason"),
    [
        ("phosphorus", "meq/(100.g)", "", "cations only"),
        ("calcium", "mmol/kg", "", "moles or moles of charge"),
        ("phosphorus", "index", "", "index"),
        ("phosphorus", "mg/kg", "K2O", "form"),
        ("potassium", "meq/(100.g)", "K2O", "not of K2O"),
        ("organic_matter", "meq/(100.g)", "", "found meq"),
        ("organic_carbon", "%", "CO2", "not a form"),
        ("potassium", "%", "", "share of the CEC"),
        ("calcium", "%", "CaO", "share of the CEC"),
        ("cec", "mg/kg", "", "amount of charge"),
        ("cec", "%", "", "amount of charge"),
        ("ph", "mg/kg", "", "pH has no unit"),
        ("ph", "[LTI]", "", "pH has no unit"),
        ("soluble_salts", "mg/L", "", "conductivity"),
        ("soluble_salts", "%", "", "conductivity"),
        ("bulk_density", "mg/kg", "", "mass for each volume"),
        ("base_saturation_k", "mg/kg", "", "percentage of the CEC"),
        ("phosphorus", "furlong", "", "known unit"),
        ("unobtainium", "mg/kg", "", "not an analyte"),
    ],
)
def test_what_cannot_be_converted_is_refused_with_the_reason(
    analyte: str, code: str, form: str, reason: str
) -> None:
    with pytest.raises(CannotConvert, match=reason):
        to_canonical(1.0, analyte=analyte, unit=code, form=form)


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_is_no_finite_number_is_refused(value: float) -> None:
    with pytest.raises(CannotConvert, match="finite"):
        to_canonical(value, analyte="ph", unit="[pH]")


def test_too_large_a_number_is_refused_and_never_infinite() -> None:
    with pytest.raises(CannotConvert, match="too large"):
        to_canonical(1e308, analyte="phosphorus", unit="%")


def test_a_missing_unit_is_the_usual_one_and_marked() -> None:
    converted = to_canonical(23, analyte="phosphorus")
    assert (converted.value, converted.unit, converted.notes) == (23, "mg/kg", ("unit-assumed",))
    assert usual_unit("cec") == "meq/(100.g)"


def test_a_total_cation_in_percent_is_a_mass() -> None:
    assert to_canonical(1.2, analyte="potassium", unit="%", method="total").value == pytest.approx(12_000)


def test_ph_needs_no_unit() -> None:
    assert to_canonical(6.5, analyte="ph").notes == ()


@pytest.mark.parametrize(("form", "method"), [("P2O5", ""), ("", "cal"), ("", "dl")])
def test_oxides_and_lactate_extracts_without_a_unit_are_refused(form: str, method: str) -> None:
    with pytest.raises(CannotConvert, match="ten times apart"):
        to_canonical(12, analyte="phosphorus", form=form, method=method)


def test_carbon_never_becomes_organic_matter() -> None:
    assert to_canonical(2.0, analyte="organic_carbon", unit="%").value == 2.0


CONVERTIBLE = [
    (name, code)
    for name, row in load_toml("analytes").items()
    for code, known in units().items()
    if row["unit"] == "mg/kg" and known.quantity == "mass" and not (code == "%" and "charge" in row)
]


@settings(deadline=None, max_examples=200)
@given(st.floats(min_value=1e-6, max_value=1e6), st.sampled_from(CONVERTIBLE))
def test_mass_conversions_are_proportional_and_undone_by_their_factor(
    value: float, pair: tuple[str, str]
) -> None:
    analyte, code = pair
    there = to_canonical(value, analyte=analyte, unit=code)
    assert there.value / units()[code].factor == pytest.approx(value)
    assert to_canonical(2 * value, analyte=analyte, unit=code).value == pytest.approx(2 * there.value)


@settings(deadline=None, max_examples=200)
@given(
    st.floats(min_value=0.01, max_value=1e5),
    st.floats(min_value=1, max_value=200),
    st.floats(min_value=0.2, max_value=2.6),
)
def test_pounds_per_acre_come_back_through_the_same_soil(ppm: float, depth: float, density: float) -> None:
    pounds = ppm * lb_acre_per_ppm(depth, density)
    back = to_canonical(pounds, analyte="phosphorus", unit="lb/acre", depth_cm=depth, bulk_density=density)
    assert back.value == pytest.approx(ppm)


def test_the_furrow_slice_is_two_pounds_per_ppm() -> None:
    assert lb_acre_per_ppm() == pytest.approx(2.0)
    assert kg_ha_per_lb_acre() == pytest.approx(1.12085, abs=1e-5)


def test_cations_add_up_with_exact_and_with_printed_divisors() -> None:
    ppm = {"calcium": 200.39, "magnesium": 121.525, "potassium": 390.98, "sodium": 229.90}
    assert cation_sum_meq(ppm) == pytest.approx(4.0)
    assert cation_sum_meq(ppm, acidity=1.5) == pytest.approx(5.5)
    assert cation_sum_meq({"calcium": 400}, divisors={"calcium": 200}) == pytest.approx(2.0)


@pytest.mark.parametrize(
    ("buffer", "reading", "expected"),
    [
        ("adams_evans", 7.70, 2.4),
        ("moore_sikora", 7.70, 2.4),
        ("mehlich_buffer", 5.6, 4.0),
        ("smp", 6.5, 6.0),
        ("sikora", 6.5, 6.0),
        ("woodruff", 6.5, 5.0),
        ("smp", 7.4, 0.0),
    ],
)
def test_acidity_from_a_buffer_ph_is_never_negative(buffer: str, reading: float, expected: float) -> None:
    assert acidity_meq(buffer, reading) == pytest.approx(expected)


def test_an_unknown_buffer_and_an_empty_capacity_are_refused() -> None:
    with pytest.raises(CannotConvert, match="expected one of adams_evans"):
        acidity_meq("lemon", 6.5)
    with pytest.raises(CannotConvert, match="more than 0"):
        saturation_pct(1.0, 0.0)
    with pytest.raises(CannotConvert, match="cations only"):
        equivalent_weight("phosphorus")
    with pytest.raises(CannotConvert, match="found 'P2O5'"):
        element_fraction("P2O5", "K")


@pytest.mark.parametrize(
    ("analyte", "code", "factor"),
    [
        ("phosphorus", "p2o5", 2.2913),
        ("potassium", "k2o", 1.2046),
        ("phosphorus", "lb-acre", 2.0),
        ("phosphorus", "mg-100g", 10.0),
        ("phosphorus", "p2o5-inverse", 0.43643),
        ("organic_carbon", "om-oc", 1.724),
        ("organic_matter", "oc-om-inverse", 1 / 1.724),
        ("nitrate_n", "no3", 4.4266),
        ("sulfur", "so4", 2.9961),
        ("calcium", "meq", 200.39),
        ("potassium", "meq", 390.98),
        ("soluble_salts", "us-cm", 1000.0),
        ("buffer_ph", "lime-index", 10.0),
    ],
)
def test_the_mix_ups_of_an_analyte_are_known(analyte: str, code: str, factor: float) -> None:
    found = {confusion.code: confusion for confusion in confusions(analyte)}
    assert found[code].factor == pytest.approx(factor, rel=3e-5)
    assert found[code].text
    assert found[code].source


def test_every_mix_up_goes_both_ways_and_names_known_analytes() -> None:
    known = load_toml("analytes")
    for row in load_toml("confusions").values():
        assert set(row["analytes"]) <= set(known)
    for name in known:
        codes = [confusion.code for confusion in confusions(name)]
        assert len(set(codes)) == len(codes)
        assert all(f"{code}-inverse" in codes for code in codes if not code.endswith("-inverse"))


def test_combined_mix_ups_are_products_of_the_simple_ones() -> None:
    found = {c.code: c.factor for name in ("phosphorus", "potassium") for c in confusions(name)}
    assert found["p2o5-lb-acre"] == pytest.approx(2 * found["p2o5"], rel=3e-5)
    assert found["k2o-lb-acre"] == pytest.approx(2 * found["k2o"], rel=3e-5)
    assert found["p2o5-mg-100g"] == pytest.approx(10 / found["p2o5"], rel=3e-5)
    assert found["k2o-mg-100g"] == pytest.approx(10 / found["k2o"], rel=3e-5)


@pytest.mark.parametrize(
    ("value", "metric", "expected", "us"),
    [(2.54, "cm", 1.0, "in"), (1.0, "m2", 10.7639, "ft2"), (1.0, "kg", 2.20462, "lb"),
     (1.0, "L", 0.264172, "gal"),
     (1.0, "m3", 1.30795, "yd3"), (1.0, "kg/ha", 0.892179, "lb/acre"), (5.0, "%", 5.0, "%")],
)  # fmt: skip
def test_metric_amounts_are_shown_in_us_units(value: float, metric: str, expected: float, us: str) -> None:
    shown, name = to_us(value, metric)
    assert (shown, name) == (pytest.approx(expected, rel=1e-5), us)


def test_every_constant_carries_its_source() -> None:
    assert all(row["source"] for row in load_toml("analytes").values())
    assert all(row["source"] for row in load_toml("confusions").values())
    assert all(row["source"] for row in load_toml("buffers").values())
    assert load_toml("units")["source"]
    assert load_toml("atomic_weights")["source"]
    assert load_toml("measures")["furrow_slice"]["source"]
