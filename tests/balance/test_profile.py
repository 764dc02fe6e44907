import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from soiltrend.balance.profile import Load, Profile

DENSITY = 1300.0
loads = st.builds(
    Load,
    dry=st.floats(0.1, 20),
    counted=st.floats(0, 10),
    thick=st.floats(0.001, 0.1),
    thick_mixed=st.floats(0.0, 0.08),
)
depths = st.sampled_from([0.0, 0.05, 0.15, 0.25])


def test_bare_soil_fills_the_core() -> None:
    core = Profile(DENSITY).core(0, 0.15)
    assert (core.soil, core.dry, core.counted) == pytest.approx((195, 0, 0))


def test_a_layer_on_top_pushes_soil_out_of_the_core() -> None:
    bed = Profile(DENSITY)
    bed.put_on(Load(5, 2, 0.02, 0.01), 0)
    core = bed.core(0, 0.15)
    assert (core.soil, core.dry, core.counted) == pytest.approx((169, 5, 2))


def test_a_core_shallower_than_the_layer_is_all_layer() -> None:
    bed = Profile(DENSITY)
    bed.put_on(Load(10, 4, 0.10, 0.05), 0)
    assert bed.core(0, 0.05).soil == 0


def test_dug_in_as_deep_as_the_core_is_exact_mixing() -> None:
    bed = Profile(DENSITY)
    bed.put_on(Load(5, 2, 0.02, 0.01), 0.15)
    assert bed.core(0, 0.15).fraction(0.03) == pytest.approx((195 * 0.03 + 2) / 200)


def test_dug_in_deeper_than_the_core_is_thinner() -> None:
    shallow, deep = Profile(DENSITY), Profile(DENSITY)
    shallow.put_on(Load(5, 2, 0.02, 0.01), 0.15)
    deep.put_on(Load(5, 2, 0.02, 0.01), 0.30)
    assert deep.core(0, 0.15).fraction(0.03) < shallow.core(0, 0.15).fraction(0.03)


def test_soil_below_the_dug_layer_is_untouched() -> None:
    bed = Profile(DENSITY)
    bed.put_on(Load(5, 2, 0.02, 0.01), 0.15)
    assert bed.core(0.20, 0.30).counted == pytest.approx(0)


@settings(deadline=None, max_examples=150)
@given(st.lists(st.tuples(loads, depths), max_size=8))
def test_nothing_is_lost_in_the_ground(done: list[tuple[Load, float]]) -> None:
    bed = Profile(DENSITY)
    for load, depth in done:
        bed.put_on(load, depth)
    core = bed.core(0, 9)
    assert core.dry == pytest.approx(sum(load.dry for load, _ in done))
    assert core.counted == pytest.approx(sum(load.counted for load, _ in done))


@settings(deadline=None, max_examples=150)
@given(st.lists(st.tuples(loads, depths), max_size=8), st.floats(0.01, 0.4), st.floats(0.01, 0.4))
def test_two_cores_one_below_the_other_are_the_whole(
    done: list[tuple[Load, float]], upper: float, lower: float
) -> None:
    bed = Profile(DENSITY)
    for load, depth in done:
        bed.put_on(load, depth)
    parts = bed.core(0, upper), bed.core(upper, upper + lower)
    whole = bed.core(0, upper + lower)
    assert parts[0].soil + parts[1].soil == pytest.approx(whole.soil, abs=1e-9)
    assert parts[0].counted + parts[1].counted == pytest.approx(whole.counted, abs=1e-9)
