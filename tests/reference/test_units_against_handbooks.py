"""Units, charge and CEC against worked examples that handbooks and laboratories print, W1 to W25."""

import statistics
from collections.abc import Callable

import pytest

from soiltrend.units import (
    acidity_meq,
    atomic_weight,
    cation_meq,
    cation_sum_meq,
    element_fraction,
    equivalent_weight,
    kg_ha_per_ppm,
    lb_acre_per_ppm,
    saturation_pct,
    to_canonical,
)

# Clemson's divisors for lb/acre and the rounded ones of 'The Ideal Soil' (2014), as printed there.
CLEMSON = {"potassium": 782.0, "magnesium": 240.0, "calcium": 400.0, "sodium": 460.0}
ROUNDED = {"calcium": 200.0, "magnesium": 120.0, "potassium": 390.0, "sodium": 230.0}
CLEMSON_SAMPLE = {"potassium": 221.0, "magnesium": 28.0, "calcium": 400.0, "sodium": 12.0}
IDEAL_SAMPLE = {"calcium": 1250.0, "magnesium": 116.0, "potassium": 89.0, "sodium": 26.0}
IDEAL_CEC = 11.4


def ppm(value: float, analyte: str, unit: str, form: str = "", **context: float) -> float:
    return to_canonical(value, analyte=analyte, unit=unit, form=form, **context).value  # type: ignore[arg-type]


def clemson_cec() -> float:
    return cation_sum_meq(CLEMSON_SAMPLE, acidity=acidity_meq("adams_evans", 7.70), divisors=CLEMSON)


def clemson_base_saturation() -> float:
    return saturation_pct(cation_sum_meq(CLEMSON_SAMPLE, divisors=CLEMSON), clemson_cec())


def magnesium_from_ratio() -> float:
    """Ca 1600 ppm and Ca:Mg 2.1 on equivalents."""
    return ppm(cation_meq("calcium", 1600.0) / 2.1, "magnesium", "meq/(100.g)")


def ideal_saturation(name: str) -> float:
    return saturation_pct(cation_meq(name, IDEAL_SAMPLE[name], ROUNDED[name]), IDEAL_CEC)


def mean_ph(hydrogen: bool) -> float:
    readings = [4.0, 4.5, 5.5, 7.0, 8.3, 8.8]
    if not hydrogen:
        return statistics.mean(readings)
    from math import log10

    return -log10(statistics.mean(10**-reading for reading in readings))


# id, quantity, computed here, printed there, tolerance; the source is named in the id's comment.
WORKED: list[tuple[str, Callable[[], float], float, float]] = [
    # Clemson Univ. Agricultural Service Laboratory, CEC calculations
    ("W1 CEC meq/100 g", clemson_cec, 3.83, 0.01),
    ("W1 H", lambda: acidity_meq("adams_evans", 7.70), 2.40, 0.01),
    ("W1 K", lambda: cation_meq("potassium", 221, 782), 0.28, 0.01),
    ("W1 Mg", lambda: cation_meq("magnesium", 28, 240), 0.12, 0.01),
    ("W1 Ca", lambda: cation_meq("calcium", 400, 400), 1.00, 0.01),
    ("W1 Na", lambda: cation_meq("sodium", 12, 460), 0.03, 0.01),
    ("W1b base saturation %", clemson_base_saturation, 37, 0.5),
    # University course handout, pages 12 and 16 (institution not shown)
    ("W2 K ppm: 50 g, 200 mL, x25, 4 ppm", lambda: 4 * 25 * 200 / 50, 400, 0),
    ("W2 K pp2m", lambda: 800 / 2 - ppm(800, "potassium", "pp2m"), 0, 1e-9),
    ("W2b K meq/100 g", lambda: cation_meq("potassium", 400), 1.02, 0.005),
    ("W3 K ppm from 0.98 meq (39.1 g/eq there)", lambda: ppm(0.98, "potassium", "meq/(100.g)"), 383.18, 0.03),
    ("W3 K lb/acre", lambda: ppm(0.98, "potassium", "meq/(100.g)") * lb_acre_per_ppm(), 766.36, 0.05),
    ("W4 P ppm from 100 lb/acre", lambda: ppm(100, "phosphorus", "lb/acre"), 50, 1e-6),
    ("W5 CEC from 12.5 mL of 0.10 N on 5 g", lambda: 12.5 * 0.10 / 5 * 100, 25, 1e-9),
    ("W6 Mg ppm (Ca eq. wt 20.0 there)", magnesium_from_ratio, 462.9, 1.0),
    ("W7 Ca lb/acre from 2400 ppm", lambda: 2400 * lb_acre_per_ppm(), 4800, 1e-9),
    ("W8 Ca ppm from 4 meq", lambda: ppm(4, "calcium", "meq/(100.g)"), 800, 4),
    ("W8 Al mg/kg from 2 cmol(+)/kg", lambda: ppm(2, "aluminum", "meq/(100.g)"), 180, 0.9),
    (
        "W9 lb in 20 cm at 1.2 g/cm3 (207 ft square, 454 g/lb there)",
        lambda: 39_805_752 * 20 * 1.2 / 454,
        2_104_269,
        1,
    ),
    # Rayment and Lyons 2011, chapters 2, 4 and method 16C1
    ("W10 sub-samples", lambda: (2.0 * 6 / 4) ** 2, 9, 1e-9),
    ("W11 mean pH on H+", lambda: mean_ph(True), 4.65, 0.01),
    ("W11b mean pH, naive", lambda: mean_ph(False), 6.35, 0.01),
    ("W12 Mehlich acidity", lambda: acidity_meq("mehlich_buffer", 5.6), 4.0, 1e-9),
    # The Ideal Soil, 2014, page 48
    ("W13 Ca saturation %", lambda: ideal_saturation("calcium"), 54.8, 0.1),
    ("W13 Mg saturation %", lambda: ideal_saturation("magnesium"), 8.5, 0.3),
    ("W13 K saturation %", lambda: ideal_saturation("potassium"), 2.0, 0.3),
    ("W13 Na saturation %", lambda: ideal_saturation("sodium"), 1.0, 0.3),
    ("W14 Ca ppm at full saturation", lambda: IDEAL_CEC * ROUNDED["calcium"], 2280, 1e-9),
    ("W14 K ppm at full saturation", lambda: IDEAL_CEC * ROUNDED["potassium"], 4446, 1e-9),
    # Norwegian Food Safety Authority
    ("W15 P in 4.0 % P2O5", lambda: 4.0 * element_fraction("P2O5", "P"), 1.7, 0.05),
    ("W16 K2O in 10.5 % K", lambda: 10.5 / element_fraction("K2O", "K"), 12.7, 0.06),
    # Ingenieurbüro Geries, 10 Sep 2018
    ("W17 mg P2O5/100 g from 3 mg P", lambda: 3 / element_fraction("P2O5", "P"), 6.8742, 0.0005),
    ("W18 kg P/ha from 60 mg/kg in 30 cm at 1.4", lambda: 60 * kg_ha_per_ppm(30, 1.4), 252, 0.5),
    ("W18 kg P2O5/ha", lambda: 252 / element_fraction("P2O5", "P"), 577, 1),
    ("W19 kg P in 550 dt x 0.18 kg P2O5", lambda: 550 * 0.18 * element_fraction("P2O5", "P"), 43, 0.5),
    # Ohio State Univ., Understanding soil test reports for phosphorus values
    ("W20 Bray from M3-ICP 22 ppm", lambda: -8.08 + 0.832 * 22, 10, 0.5),
    ("W21 P ppm from 60 lb/acre", lambda: ppm(60, "phosphorus", "lb/acre"), 30, 1e-6),
    ("W21 P lb/acre from 30 ppm", lambda: 30 * lb_acre_per_ppm(), 60, 1e-9),
    # Univ. of Nebraska-Lincoln, Building soil organic matter takes time
    ("W22 lb OM in 1 % of a furrow slice", lambda: 10_000 * lb_acre_per_ppm(), 20_000, 1e-6),
    ("W23 tons of manure for 1 % OM", lambda: 10_000 * lb_acre_per_ppm() / 90, 222, 1),
    # Northeast Organic Farming Association, soil manual, Appendix A
    ("W25 P lb/acre from 50 ppm", lambda: 50 * lb_acre_per_ppm(), 100, 1e-9),
    ("W25 ppm in 0.01 %", lambda: ppm(0.01, "phosphorus", "%"), 100, 1e-9),
]


@pytest.mark.parametrize(("name", "computed", "printed", "tolerance"), WORKED, ids=[row[0] for row in WORKED])
def test_a_published_worked_example(
    name: str, computed: Callable[[], float], printed: float, tolerance: float
) -> None:
    assert abs(computed() - printed) <= tolerance + 1e-12, name


@pytest.mark.parametrize(
    ("form", "element", "printed", "places"),
    [
        # Rayment and Lyons 2011, App 5 where it is right; Norwegian Food Safety Authority
        ("P2O5", "P", 2.291, 3), ("SO4", "S", 2.996, 3), ("NO3", "N", 4.427, 3), ("NO2", "N", 3.284, 3),
        ("PO4", "P", 3.066, 3), ("MgO", "Mg", 1.66, 2), ("CaO", "Ca", 1.40, 2),
    ],
)  # fmt: skip
def test_published_factors_from_element_to_compound(
    form: str, element: str, printed: float, places: int
) -> None:
    assert round(1 / element_fraction(form, element), places) == printed


@pytest.mark.parametrize(
    ("form", "element", "printed"),
    [
        ("P2O5", "P", 0.436),
        ("K2O", "K", 0.830),
        ("CaO", "Ca", 0.715),
        ("MgO", "Mg", 0.603),
        ("SO3", "S", 0.400),
    ],
)
def test_the_factors_of_the_norwegian_food_safety_authority(form: str, element: str, printed: float) -> None:
    assert round(element_fraction(form, element), 3) == printed


@pytest.mark.parametrize(
    ("analyte", "printed", "relative"),
    [("calcium", 200, 0.005), ("magnesium", 121.5, 0.005), ("potassium", 391, 0.005), ("sodium", 230, 0.005),
     ("aluminum", 90, 0.005), ("exchangeable_acidity", 10, 0.01), ("ammonium_n", 140, 0.005)],
)  # fmt: skip
def test_the_divisors_that_laboratories_print(analyte: str, printed: float, relative: float) -> None:
    """The Ideal Soil (2014) and Clemson Univ."""
    assert equivalent_weight(analyte) == pytest.approx(printed, rel=relative)


@pytest.mark.parametrize(
    ("depth_in", "density", "pounds"),
    [(6, 1.3, 1_767_585), (20 / 3, 1.3, 1_963_993), (8, 1.2, 2_175_490)],
)
def test_the_mass_of_an_acre_slice(depth_in: float, density: float, pounds: float) -> None:
    """Derived from the definitions of pound, inch and acre."""
    assert lb_acre_per_ppm(depth_in * 2.54, density) * 1e6 == pytest.approx(pounds, abs=40)


@pytest.mark.parametrize(("depth", "density", "factor"), [(15, 1.3, 1.95), (30, 1.4, 4.2)])
def test_kilograms_per_hectare_for_each_ppm(depth: float, density: float, factor: float) -> None:
    assert kg_ha_per_ppm(depth, density) == pytest.approx(factor)


# Published and wrong: whoever copies them is a per cent or a factor of ten off.
WRONG = [
    ("Rayment and Lyons 2011, App 5.5: CaO to Ca", lambda: element_fraction("CaO", "Ca"), 0.744, 0.7147),
    ("same: Ca to CaO", lambda: 1 / element_fraction("CaO", "Ca"), 1.339, 1.3992),
    ("same: K to K2O", lambda: 1 / element_fraction("K2O", "K"), 1.21, 1.2046),
    ("same: K2O to K", lambda: element_fraction("K2O", "K"), 0.826, 0.8302),
    ("NOFA soil manual: P to P2O5", lambda: 1 / element_fraction("P2O5", "P"), 2.23, 2.2913),
    ("NOFA soil manual: square feet in an acre", lambda: 4046.8564224 / 0.3048**2, 43_500, 43_560),
    ("a package's documentation: 0.65 % C, 1.45 g/cm3, 30 cm", lambda: 0.65 * 1.45 * 30, 2.83, 28.275),
    ("a homework page: K divided by 200", lambda: equivalent_weight("potassium"), 200, 390.98),
    ("same: Ca divided by 120", lambda: equivalent_weight("calcium"), 120, 200.39),
    ("same: Mg divided by 390", lambda: equivalent_weight("magnesium"), 390, 121.525),
    ("another homework page: Al counted as a base", lambda: saturation_pct(13 + 6 + 4 + 3, 35), 91.4, 74.3),
]  # fmt: skip


@pytest.mark.parametrize(("where", "ours", "wrong", "right"), WRONG, ids=[row[0] for row in WRONG])
def test_wrong_published_numbers_are_not_ours(
    where: str, ours: Callable[[], float], wrong: float, right: float
) -> None:
    assert ours() == pytest.approx(right, rel=1e-3), where
    assert ours() != pytest.approx(wrong, rel=1e-3), where


def test_aluminium_is_no_base_in_the_sum_of_bases() -> None:
    from soiltrend.units import BASES

    assert set(BASES) == {"calcium", "magnesium", "potassium", "sodium"}


def test_the_acre_of_the_conversions_is_43560_square_feet() -> None:
    """One lb/acre by 43,500 square feet would be 0.14 % larger."""
    from soiltrend.units import kg_ha_per_lb_acre

    assert kg_ha_per_lb_acre() == pytest.approx(0.45359237 / (43_560 * 0.3048**2) * 1e4, rel=1e-12)


@pytest.mark.parametrize(
    ("element", "weight"),
    [("H", 1.008), ("C", 12.011), ("N", 14.007), ("O", 15.999), ("P", 30.974), ("S", 32.06), ("K", 39.098),
     ("Ca", 40.078), ("Mg", 24.305), ("Na", 22.990)],
)  # fmt: skip
def test_atomic_weights_are_those_of_iupac(element: str, weight: float) -> None:
    """IUPAC abridged standard atomic weights, from memory."""
    assert atomic_weight(element) == weight
