import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from soiltrend.balance import layer_of, stocks, stocks_after
from soiltrend.balance.layer import bulk_density, mineral_density
from soiltrend.records.models import Bed, Sampling, Soil
from tests.balance.gardens import garden


# BD = 100 / (OM/0.244 + (100 - OM)/BD_mineral): Adams 1973, Post and Kwon 2000, from memory.
@pytest.mark.parametrize(
    ("mineral", "organic", "density"),
    [
        (1.64, 2, 1.47),
        (1.64, 4, 1.34),
        (1.64, 6, 1.22),
        (1.64, 8, 1.13),
        (1.64, 10, 1.04),
        (1.45, 2, 1.32),
        (1.45, 4, 1.21),
        (1.45, 6, 1.12),
        (1.45, 8, 1.04),
        (1.45, 10, 0.97),
    ],
)
def test_bulk_density_falls_as_organic_matter_rises(mineral: float, organic: float, density: float) -> None:
    assert bulk_density(organic, mineral) == pytest.approx(density, abs=0.006)


@settings(deadline=None, max_examples=60)
@given(st.floats(0, 12), st.floats(1.2, 1.7))
def test_the_mineral_density_gives_back_the_bulk_density(organic: float, mineral: float) -> None:
    assert mineral_density(bulk_density(organic, mineral), organic) == pytest.approx(mineral)


@pytest.mark.parametrize(
    ("bed", "soil", "density", "basis"),
    [
        (Bed(bed="A", bulk_density_g_cm3=1.1), Soil(bulk_density_g_cm3=1.4), 1.1, "bed"),
        (Bed(bed="A"), Soil(bulk_density_g_cm3=1.4), 1.4, "garden"),
        (Bed(bed="A"), Soil(), 1.32, "estimated"),
    ],
)
def test_density_is_the_beds_else_the_gardens_else_estimated(
    bed: Bed, soil: Soil, density: float, basis: str
) -> None:
    layer = layer_of(garden(soil=soil), bed, organic_matter_pct=2)
    assert layer.bulk_density.typical == pytest.approx(density, abs=0.005)
    assert layer.basis == basis


def test_the_depth_is_the_samples_else_the_gardens_else_fifteen() -> None:
    bed, given_depth = Bed(bed="A"), garden(sampling=Sampling(depth_cm=20))
    assert layer_of(given_depth, bed, depth_to_cm=10).depth_to_cm == 10
    assert layer_of(given_depth, bed).depth_to_cm == 20
    assert layer_of(garden(), bed).depth_to_cm == 15


def test_an_estimated_mass_is_a_range_and_a_measured_one_is_not() -> None:
    estimated = layer_of(garden(), Bed(bed="A"))
    assert estimated.mass.low < estimated.mass.typical < estimated.mass.high
    assert layer_of(garden(), Bed(bed="A", bulk_density_g_cm3=1.3)).mass.high == pytest.approx(195)


def test_a_lower_layer_is_as_thick_as_its_span() -> None:
    layer = layer_of(garden(), Bed(bed="A"), depth_from_cm=15, depth_to_cm=30)
    assert (layer.thickness_cm, layer.at_top().depth_from_cm) == (15, 0)


@settings(deadline=None, max_examples=60)
@given(st.floats(0.5, 10), st.floats(0.5, 10), st.floats(0.9, 1.6))
def test_without_a_change_of_density_both_ways_agree(start: float, end: float, density: float) -> None:
    both = stocks(depth_cm=15, start_pct=start, end_pct=end, start_density=density, end_density=density)
    assert both.fixed_depth == pytest.approx(both.equal_mass)
    assert both.deeper_cm == pytest.approx(0)


def test_a_looser_bed_gains_more_in_equal_mass_than_to_equal_depth() -> None:
    layer = layer_of(garden(), Bed(bed="A", bulk_density_g_cm3=1.3))
    after = stocks_after(layer, 2, 4)
    assert after is not None
    assert after.before < after.fixed_depth < after.equal_mass
    assert after.deeper_cm > 0


@pytest.mark.parametrize(("start", "end"), [(0, 2), (2, 120), (120, 2), (-1, 2)])
def test_impossible_percentages_have_no_stock(start: float, end: float) -> None:
    assert stocks_after(layer_of(garden(), Bed(bed="A")), start, end) is None
