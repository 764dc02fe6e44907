"""Amended beds against unamended ones, and beds against each other.

A comparison asks whether one group of beds changed faster than another: the difference of their mean
yearly change. What the beds of one visit share (season, laboratory) cancels; what is left is judged by the
spread of the beds' own changes and not by the noise of reports alone, since the spread of true changes sets
the error from some eight years on.
"""

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from soiltrend.comparison import wording
from soiltrend.comparison.among import compare_beds
from soiltrend.comparison.contrast import Contrast, ReportNoise, opinion
from soiltrend.comparison.groups import pairs
from soiltrend.comparison.model import COLUMNS, BedSlope, Comparison, Verdict, to_records
from soiltrend.comparison.samples import Samples, gather
from soiltrend.comparison.scale import Reader
from soiltrend.comparison.treatments import compare_pair
from soiltrend.data import load_toml
from soiltrend.noise import Noise
from soiltrend.records.models import Garden
from soiltrend.regression import benjamini_hochberg
from soiltrend.trends import Trend

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["COLUMNS", "BedSlope", "Comparison", "compare", "to_records"]


def compare(
    observations: "pd.DataFrame", trends: Sequence[Trend], garden: Garden, noise: Noise, level: float = 0.95
) -> list[Comparison]:
    """Compare the garden's treatments and its beds in every analyte.

    Parameters
    ----------
    observations : DataFrame
        The long table; ``trends`` refer to its rows.
    trends : sequence of Trend
        The fitted series, whose points are used.
    garden : Garden
        Beds with their treatment, and what was put on.
    noise : Noise
        The stated noise of one report.
    level : float
        Level of the intervals; a difference is shown when the interval excludes 0 and the p value holds
        at ``1 - level`` after Benjamini-Hochberg over all rows of its kind (treatments; beds).
        A second opinion by a mixed model is asked where a treatment shows a difference.

    Returns
    -------
    list of Comparison
        Treatments first, then beds against each other; empty where there is nothing to compare.
    """
    series = [(samples, report_noise(samples, noise)) for samples in gather(observations, trends)]
    drafts = [
        compare_pair(samples, pair, garden, stated, level)
        for samples, stated in series
        for pair in pairs(garden)
    ]
    treatments = judged([row for row, _ in drafts], garden.units)
    heard = [_second(row, found) for row, (_, found) in zip(treatments, drafts, strict=True)]
    beds = [row for samples, stated in series for row in compare_beds(samples, stated, level)]
    return heard + judged(beds, garden.units)


def report_noise(samples: Samples, noise: Noise) -> ReportNoise:
    """Return the stated noise of one report of this analyte, and the prior spread between beds."""
    prior, spread = noise.of(samples.analyte, samples.unit), load_toml("comparison")["slope_spread"]
    tau0 = float(spread["log"]) if samples.scale == "log" else float(spread["raw_per_noise"]) * samples.s0
    share = min(1.0, (prior.year / samples.s0) ** 2)
    return ReportNoise(s0=samples.s0, d0=prior.d0, year_share=share, spread=tau0)


def judged(rows: list[Comparison], system: str) -> list[Comparison]:
    """Give every row its adjusted p value, verdict and sentence; the rows are one family of questions."""
    p_values = [float("nan") if row.p_value is None else row.p_value for row in rows]
    adjusted: list[float] = benjamini_hochberg(p_values).tolist()
    family = sum(row.p_value is not None for row in rows)
    known = [None if p != p else p for p in adjusted]  # noqa: PLR0124 -- NaN
    return [_judge(row, p, system, family) for row, p in zip(rows, known, strict=True)]


def _second(row: Comparison, found: Contrast | None) -> Comparison:
    """Ask the mixed model, which is slow, where a difference is shown, and say where it is unsure."""
    if found is None or row.verdict not in ("group-rose-more", "group-rose-less"):
        return row
    other = Reader.of(found.used).opinion(opinion(found))
    if other is None:
        return row
    return replace(row, second_opinion=other, cautions=(*row.cautions, wording.second(row, other)))


def _judge(row: Comparison, p_adjusted: float | None, system: str, family: int) -> Comparison:
    done = replace(row, p_adjusted=p_adjusted, verdict=_verdict(row, p_adjusted))
    return replace(done, sentence=wording.sentence(done, system, family))


def _verdict(row: Comparison, p_adjusted: float | None) -> Verdict:
    """One bed a side is too few to tell a treatment from a bed, whatever its numbers."""
    if row.ci_low is None or row.ci_high is None or p_adjusted is None:
        return "too-few"
    if row.kind == "treatment" and len(row.beds) == len(row.reference_beds) == 1:
        return "too-few"
    shown = p_adjusted <= 1 - row.ci_level and (row.ci_low > 0 or row.ci_high < 0)
    if not shown or row.capped:
        return "no-difference-shown"
    return "group-rose-more" if row.ci_low > 0 else "group-rose-less"
