"""One fit per bed, analyte and method: what changed, with an interval that holds on very few years."""

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True, kw_only=True)
class Point:
    """One report's value in a series. ``row`` is its index in the long table.

    ``fitted``, ``low`` and ``high`` are the line and its interval band at that date, in the series' unit;
    ``noise_low`` and ``noise_high`` what one report of this noise could print for the same soil (about 95 %).
    """

    row: int
    sampled_on: date
    value: float
    qualifier: str
    segment: int
    fitted: float | None
    low: float | None
    high: float | None
    noise_low: float
    noise_high: float
    source: str
    place: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Trend:
    """One fitted series: first the JSON of ``soiltrend trends``, then what the other rooms need.

    ``scale`` is ``"log"`` or ``"raw"``; ``slope_fit``, ``se_fit`` and ``s0`` are on that scale, per year;
    ``df`` are the degrees of freedom of the interval (d0 + d); ``scatter_ratio`` is the spread of the points
    as a multiple of the stated noise, ``scatter_p`` its F test, None where nothing is left over.
    """

    bed: str
    analyte: str
    unit: str
    method: str
    segments: int
    n: int
    first_on: date | None
    last_on: date | None
    first_value: float | None
    last_value: float | None
    slope_per_year: float | None
    ci_low: float | None
    ci_high: float | None
    ci_level: float
    p_value: float | None
    total_change: float | None
    smallest_detectable: float | None
    estimator: str
    p_adjusted: float | None
    verdict: str

    scale: str
    slope_fit: float | None
    se_fit: float | None
    s0: float
    d0: float
    df: float
    scatter_ratio: float | None
    scatter_p: float | None
    sen_slope: float | None
    mann_kendall_p: float | None
    percent_per_year: float | None
    total_low: float | None
    total_high: float | None
    breaks: tuple[str, ...]
    points: tuple[Point, ...]
    sentence: str
