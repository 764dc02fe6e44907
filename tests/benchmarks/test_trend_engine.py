"""The trend engine against loops over statsmodels and scipy, in one run: pytest tests/benchmarks -n 0 -s.

A ratio of times says little on a busy machine, so each side is timed several times and the least is taken.
"""

import time
from collections.abc import Callable

import numpy as np
import pytest
import statsmodels.api as sm
from scipy import stats

from soiltrend.noise import Noise
from soiltrend.regression import fit_lines, moderate, p_values, t_quantile
from soiltrend.trends import fit_trends
from tests.trends.tables import LEVELS, rows, table

SERIES = 100_000
SUBSET = 4_000
RATIO = 150


@pytest.fixture(scope="module")
def series() -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """100,000 series of 2 to 15 years with real calendar years, rows in the order of the series."""
    rng = np.random.default_rng(2024)
    length = rng.integers(2, 16, SERIES)
    code = np.repeat(np.arange(SERIES), length)
    first = np.repeat(np.cumsum(length) - length, length)
    year = (
        2025.0 - np.repeat(length, length) + (np.arange(code.size) - first) + rng.uniform(0, 0.2, code.size)
    )
    return code, year, np.log(4) + 0.02 * (year - 2015) + rng.normal(0, 0.1, code.size)


def engine(code: np.ndarray, year: np.ndarray, y: np.ndarray) -> dict[str, np.ndarray]:
    """Return what one line of a table of trends needs; no prior knowledge, so that both sides agree."""
    lines = fit_lines(code, year, y)
    _, df, se = moderate(lines, 0.1, 0.0)
    reach = t_quantile(0.95, df) * se
    return {
        "slope": lines.slope,
        "se": se,
        "p": p_values(lines.slope, se, df),
        "low": lines.slope - reach,
        "high": lines.slope + reach,
    }


def least_seconds(work: Callable[[], object], times: int) -> float:
    """Return the shortest of several runs, so that another program's turn does not count."""
    found = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        found.append(time.perf_counter() - start)
    return min(found)


def split(code: np.ndarray, year: np.ndarray, y: np.ndarray, count: int, least: int):
    """Return (number, years, values) of the first ``count`` series that have ``least`` reports."""
    ends = np.cumsum(np.bincount(code))[:-1]
    parts = zip(np.split(year, ends)[:count], np.split(y, ends)[:count], strict=True)
    return [(i, t, v) for i, (t, v) in enumerate(parts) if len(t) >= least]


def test_a_hundred_thousand_series_against_a_loop_over_statsmodels(series, benchmark, capsys) -> None:
    """The ratio asked for is 150, and slope, SE and p must be the same numbers."""
    found = benchmark.pedantic(engine, args=series, rounds=5, warmup_rounds=1)
    each_here = benchmark.stats.stats.min / SERIES
    subset = split(*series, SUBSET, 3)

    def loop():
        models = (sm.OLS(y, sm.add_constant(t - 2015)).fit() for _, t, y in subset)
        return [(m.params[1], m.bse[1], m.pvalues[1], *m.conf_int()[1]) for m in models]

    each_there = least_seconds(loop, 3) / len(subset)
    worst = dict.fromkeys(found, 0.0)
    for (i, _, _), others in zip(subset, loop(), strict=True):
        for name, value in zip(found, others, strict=True):
            worst[name] = max(worst[name], abs(found[name][i] - value))
    with capsys.disabled():
        print(f"\n{SERIES} series, {len(series[0])} rows: {each_here * SERIES:.3f} s")
        print(f"statsmodels loop: {each_there * 1e6:.0f} us a series, ratio {each_there / each_here:.0f}")
        print("largest difference: " + ", ".join(f"{name} {value:.1e}" for name, value in worst.items()))
    assert worst["slope"] < 1e-12
    assert worst["se"] < 1e-12
    assert worst["p"] < 1e-11
    assert max(worst["low"], worst["high"]) < 1e-10
    assert each_there / each_here >= RATIO


def test_scipys_line_fit_in_a_loop(series, capsys) -> None:
    each_here = least_seconds(lambda: engine(*series), 3) / SERIES
    subset = split(*series, SUBSET, 3)
    each_there = least_seconds(lambda: [stats.linregress(t, y) for _, t, y in subset], 3) / len(subset)
    with capsys.disabled():
        print(f"\nscipy loop: {each_there * 1e6:.0f} us a series, ratio {each_there / each_here:.0f}")
    assert each_there / each_here >= RATIO / 3


def test_work_grows_linearly(series, capsys) -> None:
    code, year, y = series
    tenth = code < SERIES // 10
    small = least_seconds(lambda: engine(code[tenth], year[tenth], y[tenth]), 5)
    large = least_seconds(lambda: engine(code, year, y), 3)
    with capsys.disabled():
        print(f"\nten times the series: {large / small:.1f} times the time")
    assert large / small < 30  # work that grows with the square would take 100 times as long


def test_a_large_garden_from_table_to_sentences(benchmark, capsys) -> None:
    """60 beds × 12 analytes × 15 years, points and sentences included."""
    rng = np.random.default_rng(1)
    names = [*LEVELS, "magnesium_2"]
    frame = table(
        *(
            rows((LEVELS.get(a, 5.0) * rng.lognormal(0, 0.1, 15)).tolist(), a, f"Bed {b}")
            for b in range(60)
            for a in names
        )
    )
    found = benchmark.pedantic(fit_trends, args=(frame, Noise()), rounds=3, warmup_rounds=1)
    with capsys.disabled():
        print(f"\n{len(found)} series of a garden: {benchmark.stats.stats.min:.2f} s")
    assert len(found) == 720
    assert benchmark.stats.stats.min < 1.0
