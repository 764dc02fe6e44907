"""Coverage and false differences of the comparison on simulated gardens. Run by hand, once, for the figures.

    python -m tests.generators.coverage_study [gardens per cell]

Every garden has a year effect of 5 % that all beds share, report noise of 10 % as stated, bed levels that
differ by 15 % and true yearly changes that differ by ``tau`` between beds treated alike. One line per cell:
coverage of the 95 % interval, and the share of gardens with a false difference (one question asked).
"""

import sys
from collections.abc import Iterator
from datetime import date, timedelta

import numpy as np

from soiltrend.comparison.contrast import ReportNoise, contrast
from soiltrend.comparison.samples import Samples
from soiltrend.regression import log_sd

NOISE = ReportNoise(s0=log_sd(0.10), d0=4.0, year_share=0.25, spread=0.03)
YEAR_EFFECT = 0.05
YEARS = (2, 3, 4, 5, 8, 10)
SIDES = ((1, 1), (1, 3), (2, 2), (3, 3), (3, 9), (4, 4), (5, 5), (10, 10))
SPREADS = (0.0, 0.03, 0.06)


def garden(
    random: np.random.Generator, sides: tuple[int, int], years: int, tau: float, rise: float
) -> Samples:
    """One garden in one analyte: the first ``sides[0]`` beds are treated and rise by ``rise`` a year more."""
    beds = sum(sides)
    time = np.arange(years, dtype=np.float64)
    change = tau * random.standard_normal(beds) + rise * (np.arange(beds) < sides[0])
    year = YEAR_EFFECT * random.standard_normal(years)
    level = 0.15 * random.standard_normal(beds)
    values = level[:, None] + change[:, None] * time + year + NOISE.s0 * random.standard_normal((beds, years))
    bed, visit = np.divmod(np.arange(beds * years), years)
    return Samples(
        analyte="organic_matter",
        unit="%",
        method="loss_on_ignition",
        scale="log",
        s0=NOISE.s0,
        beds=tuple(f"bed {i}" for i in range(beds)),
        values=values.ravel(),
        years=time[visit],
        days=tuple(date(2015, 4, 1) + timedelta(days=365 * int(v)) for v in visit),
        bed=bed,
        level=bed,
        visit=visit,
        lab=("",) * (beds * years),
        beyond=np.zeros(beds * years),
    )


def cell(
    seed: int, sides: tuple[int, int], years: int, tau: float, *, gardens: int, rise: float = 0.0
) -> tuple[float, float]:
    """Return coverage and the share of gardens whose interval excludes no difference."""
    random = np.random.default_rng([seed, *sides, years, int(1000 * tau)])
    covered = shown = 0
    for _ in range(gardens):
        samples = garden(random, sides, years, tau, rise)
        found = contrast(samples, samples.beds[: sides[0]], samples.beds[sides[0] :], NOISE)
        assert found is not None
        low, high = found.interval(0.95)
        covered += low <= rise <= high
        shown += low > 0 or high < 0
    return covered / gardens, shown / gardens


def study(gardens: int) -> Iterator[str]:
    """Yield one line of figures per cell."""
    yield "beds     years  tau  coverage  false differences"
    for sides in SIDES:
        for years in YEARS:
            for tau in SPREADS:
                covered, shown = cell(1, sides, years, tau, gardens=gardens)
                name = f"{sides[0]}v{sides[1]}"
                yield f"{name:8} {years:4}  {tau:4.0%}   {covered:.3f}     {shown:.3f}"


if __name__ == "__main__":
    for line in study(int(sys.argv[1]) if len(sys.argv) > 1 else 1000):
        print(line, flush=True)
