"""Coverage on simulated gardens: small, seeded cells of the study in tests/generators/coverage_study.py."""

from dataclasses import replace

import numpy as np
import pytest

from soiltrend.comparison.contrast import contrast
from tests.generators.coverage_study import NOISE, YEAR_EFFECT, cell, garden

GARDENS = 400


@pytest.mark.parametrize(
    ("sides", "years"), [((1, 3), 4), ((2, 2), 2), ((3, 3), 4), ((3, 9), 5), ((4, 4), 3), ((5, 5), 8)]
)
def test_intervals_hold_the_truth_when_noise_and_spread_are_as_stated(
    sides: tuple[int, int], years: int
) -> None:
    for rise in (0.0, 0.08):
        covered, shown = cell(2, sides, years, 0.03, gardens=GARDENS, rise=rise)
        assert 0.93 - 0.02 <= covered <= 1.0  # 0.02: two standard errors of 400 gardens
        assert rise or shown <= 0.06 + 0.02


def test_unbalanced_years_keep_the_coverage() -> None:
    """Three reports in ten are missing at random."""
    random, covered, asked = np.random.default_rng(30), 0, 0
    for _ in range(GARDENS):
        whole = garden(random, (3, 4), 5, 0.03, 0.0)
        samples = whole.only(random.random(len(whole)) > 0.3)
        ours = {name for name in samples.beds if name in ("bed 0", "bed 1", "bed 2")}
        found = contrast(samples, tuple(ours), tuple(set(samples.beds) - ours), NOISE)
        if found is not None:
            low, high = found.interval(0.95)
            covered, asked = covered + (low <= 0 <= high), asked + 1
    assert asked > 0.98 * GARDENS
    assert covered / asked >= 0.93 - 0.02


def test_groups_of_different_seasons_keep_the_coverage() -> None:
    """Each group has year effects of its own; they cannot cancel and must widen the interval."""
    total = float(np.hypot(NOISE.s0, YEAR_EFFECT))
    noise = replace(NOISE, s0=total, year_share=(YEAR_EFFECT / total) ** 2)
    random, covered = np.random.default_rng(31), 0
    for _ in range(GARDENS):
        samples = garden(random, (5, 5), 5, 0.03, 0.0)
        ours = samples.bed < 5
        apart = np.sqrt(2) * YEAR_EFFECT * random.standard_normal(5)  # difference of two year effects
        samples = replace(
            samples,
            values=samples.values + np.where(ours, apart[samples.visit], 0.0),
            visit=np.where(ours, samples.visit + 5, samples.visit),
        )
        found = contrast(samples, samples.beds[:5], samples.beds[5:], noise)
        assert found is not None and not found.shared
        low, high = found.interval(0.95)
        covered += low <= 0 <= high
    assert 0.93 - 0.02 <= covered / GARDENS <= 0.99
