"""What a trend is: the contract between the fits and everything that reads them."""

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True, kw_only=True)
class Point:
    """One report's value in a series. ``row`` is its index in the long table.

    ``fitted``, ``low`` and ``high`` are the line and its interval band at that date, in the series' unit;
    ``noise_low`` and ``noise_high`` what one report of this noise could print for the same soil (about 95 %).
    ``odd_p`` is the chance of a value this far from the line of the other reports, times their number
    (Bonferroni); None where the others draw no line with something left over.
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
    odd_p: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Trend:
    """One fitted series: first the JSON of ``soiltrend trends``, then what the other rooms need.

    ``scale`` is ``"log"`` or ``"raw"``; ``slope_fit``, ``se_fit`` and ``s0`` are on that scale, per year;
    ``df`` are the degrees of freedom of the interval (d0 + d); ``scatter_ratio`` is the spread of the points
    as a multiple of the stated noise, ``scatter_p`` its F test, None where nothing is left over.

    In the unit of the series everything turns about one level L, the mean of the latest segment that holds
    two dates (on the log scale the geometric mean): ``slope_per_year`` is L b, the tangent
    there, or b on the raw scale; ``total_change`` is the rise of that line over ``span_years``, the years
    inside segments, ending with the latest report of that segment. Their limits are the same expressions
    at the limits of b.
    ``sen_slope`` is turned into the unit in the same way. ``method`` is that of this segment.

    ``first_value`` and ``last_value`` are as measured (means where one date has several results).
    ``s0`` is the noise after learning from the other beds, ``s0_stated`` before. ``ols_low`` … ``ols_p`` come
    from the residuals alone (from four comparable reports), ``drift_low`` and ``drift_high`` allow for slow
    drift (from eight). ``bound_low`` and ``bound_high`` are the extremes of the plain least-squares slope
    over all that values below a limit may have been; ``n_censored`` counts those dates.
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

    span_years: float | None = None
    s0_stated: float = float("nan")
    noise_text: str = ""
    noise_source: str = ""
    level: float | None = None
    ols_low: float | None = None
    ols_high: float | None = None
    ols_p: float | None = None
    drift_low: float | None = None
    drift_high: float | None = None
    n_censored: int = 0
    bound_low: float | None = None
    bound_high: float | None = None
    remarks: tuple[str, ...] = ()
