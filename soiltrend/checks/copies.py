"""Rows that were copied: two samples that share more identical numbers than chance allows.

Two honest samples of the very same soil print the same number of one analyte with a chance of at most
``step / (2 s sqrt(pi))``: the density at zero of the difference of two values with noise s, times the last
printed decimal place. Different soils agree less often, so the bound errs on the side of calling nothing
copied. The number of agreements among independent analytes is then Poisson-binomial, and every pair of
samples in the garden is one look.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from soiltrend.checks.budget import allowance, sidak
from soiltrend.checks.evidence import Evidence
from soiltrend.checks.finding import Cause, Finding
from soiltrend.checks.panels import rounding_step
from soiltrend.checks.wording import analyte_name, day, figure, listed, once_in
from soiltrend.data import load_toml

Array = NDArray[np.float64]
BLOCK = 512


@dataclass(frozen=True)
class Grid:
    """Samples down, analytes across: values, the rows they stand in, the chance that two agree."""

    analytes: tuple[str, ...]
    value: Array
    row: NDArray[np.intp]
    chance: Array


def repeated_values(evidence: Evidence) -> Iterable[Finding]:
    """Pairs of samples whose numbers repeat each other."""
    grid = _grid(evidence)
    n = grid.value.shape[0]
    limit = sidak(allowance("copies"), max(n * (n - 1) // 2, 1))
    fewest = _fewest(grid, limit)
    for one, other in _candidates(grid, fewest):
        same = np.flatnonzero(grid.value[one] == grid.value[other])
        both = np.flatnonzero(~np.isnan(grid.value[one]) & ~np.isnan(grid.value[other]))
        level = np.fmax(grid.chance[one, both], grid.chance[other, both])
        chance = at_least(same.size, level)
        if chance < limit:
            yield _finding(grid, (one, other), same, both.size, chance=chance, evidence=evidence)


def at_least(agreements: int, chances: Array) -> float:
    """Return the chance of at least so many successes in independent trials of these chances."""
    law = np.zeros(chances.size + 1)
    law[0] = 1.0
    for p in chances:
        law[1:] = law[1:] * (1 - p) + law[:-1] * p
        law[0] *= 1 - p
    return float(law[agreements:].sum())


def _fewest(grid: Grid, limit: float) -> int:
    """Return the fewest agreements that could ever be called a copy (the least likely analytes agree)."""
    least = np.sort(np.nanmin(grid.chance, axis=0)) if grid.value.size else np.empty(0)
    below = np.flatnonzero(np.cumprod(least) < limit)
    return int(below[0]) + 1 if below.size else grid.value.shape[1] + 1


def _candidates(grid: Grid, fewest: int) -> Iterator[tuple[int, int]]:
    """Yield pairs of samples that agree in at least ``fewest`` analytes, block by block."""
    n = grid.value.shape[0]
    for start in range(0, n, BLOCK):
        block = grid.value[start : start + BLOCK]
        agree = np.zeros((block.shape[0], n), dtype=np.int16)
        for analyte in range(grid.value.shape[1]):
            agree += block[:, [analyte]] == grid.value[:, analyte]
        for one, other in np.argwhere(agree >= fewest):
            if start + one < other:
                yield int(start + one), int(other)


def _grid(evidence: Evidence) -> Grid:
    """Return the samples as a grid; an analyte by two methods counts by its first."""
    frame = evidence.usable
    frame = frame[~frame["analyte"].isin(load_toml("check_budget")["derived"]["analytes"])]
    key = frame.groupby(["bed", "round"], sort=True).ngroup().to_numpy(dtype=np.intp)
    analyte = frame["analyte"].astype("category")
    codes = analyte.cat.codes.to_numpy(dtype=np.intp)
    shape = (int(key.max(initial=-1)) + 1, len(analyte.cat.categories))
    value, row = np.full(shape, np.nan), np.full(shape, -1, dtype=np.intp)
    value[key[::-1], codes[::-1]] = frame["value"].to_numpy(dtype=float)[::-1]
    row[key[::-1], codes[::-1]] = frame["row"].to_numpy(dtype=np.intp)[::-1]
    chance = np.full(shape, np.nan)
    for column, name in enumerate(analyte.cat.categories):
        chance[:, column] = _chances(name, value[:, column], row[:, column], evidence)
    return Grid(tuple(analyte.cat.categories), value, row, chance)


def _chances(name: str, value: Array, row: NDArray[np.intp], evidence: Evidence) -> Array:
    known = row[row >= 0]
    prior = evidence.noise.of(name, str(evidence.cell(int(known[0]), "unit")))
    step = rounding_step(evidence.table["value_printed"].iloc[known])
    spread = prior.s0 * (np.abs(value) if prior.scale == "log" else 1.0) + prior.near_limit
    safe = np.where(np.isnan(value) | (spread > 0), spread, np.nan)
    return np.asarray(np.minimum(step / (2 * np.sqrt(np.pi) * safe), 1.0), dtype=float)


def _finding(
    grid: Grid, pair: tuple[int, int], same: NDArray[np.intp], both: int, *, chance: float, evidence: Evidence
) -> Finding:
    first, second = sorted(pair, key=lambda i: evidence.date_of(int(grid.row[i, same[0]])))
    rows = [int(grid.row[i, a]) for i in (first, second) for a in same]
    names = [_sample_name(int(grid.row[i, same[0]]), evidence) for i in (first, second)]
    beds = {str(evidence.cell(int(grid.row[i, same[0]]), "bed")) for i in (first, second)}
    values = listed((f"{analyte_name(grid.analytes[a])} {figure(grid.value[first, a])}" for a in same), 6)
    help_text = load_toml("check_help")["repeated-values"]
    return Finding(
        code="repeated-values",
        severity="doubtful",
        bed=str(evidence.cell(int(grid.row[second, same[0]]), "bed")),
        analyte=None,
        observations=evidence.places_of(rows),
        text=f"{names[1]} repeats {same.size} of {both} numbers of {names[0]} exactly: {values}.",
        numbers={"repeated": int(same.size), "compared": both, "chance": chance, "beds": sorted(beds)},
        causes=_causes(chance, grid.value.shape[0]),
        next_step=help_text["do"],
        arithmetic=_arithmetic(grid, first, same, chance),
        would_change=help_text["would_change"],
    )


def _causes(chance: float, samples: int) -> tuple[Cause, ...]:
    """Weigh one copied row per garden against coincidence over all pairs."""
    pairs = samples * (samples - 1) / 2
    luck = chance * pairs
    copied = 1 / (1 + luck)
    return (
        Cause("copied", "One row was copied from the other, by hand or by a program.", round(copied, 3)),
        Cause("noise", "Coincidence.", round(1 - copied, 3)),
    )


def _sample_name(row: int, evidence: Evidence) -> str:
    return f"{evidence.cell(row, 'bed')} of {day(evidence.date_of(row))}"


def _arithmetic(grid: Grid, sample: int, same: NDArray[np.intp], chance: float) -> tuple[str, ...]:
    each = [
        f"{analyte_name(grid.analytes[a])} {figure(grid.value[sample, a])}: two samples of one soil agree "
        f"{once_in(float(grid.chance[sample, a]))}"
        for a in same
    ]
    samples = grid.value.shape[0]
    return (
        *each,
        f"all {same.size} together by chance: {once_in(chance)}; "
        f"{samples} samples make {samples * (samples - 1) // 2} pairs",
    )
