"""The change that the records show for one statement: a fit over its beds and its years, with an interval."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING

from soiltrend.claims.evidence import Evidence
from soiltrend.claims.scope import Reason, Scope, dates_of
from soiltrend.claims.statement import Statement
from soiltrend.claims.words import method_name, shown_unit
from soiltrend.regression import t_quantile
from soiltrend.trends import Trend, fit_trends, garden_trends
from soiltrend.trends.words import analyte_name

if TYPE_CHECKING:
    import pandas as pd

DAYS = 365.2425
SLACK_YEARS = 0.5
LEVEL = 0.95


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """What one fit shows about a statement.

    ``low``, ``middle`` and ``high`` are slopes per year on the scale of the fit; ``years`` is the span over
    which the statement speaks; ``start`` the level of the line where that span begins; ``looks`` counts the
    stretches of that length that were looked at (the level of the interval allows for it). ``unit`` is that
    of the series as this grower reads it (ppm for mg/kg).
    """

    trend: Trend
    low: float
    middle: float
    high: float
    years: float
    start: float
    looks: int
    unit: str

    @property
    def on_log(self) -> bool:
        """Whether the fit is on the log scale, so that changes are ratios."""
        return self.trend.scale == "log"

    def total(self, slope: float) -> float:
        """Return the change over ``years`` at this slope, in the unit of the series."""
        return self.start * math.expm1(slope * self.years) if self.on_log else slope * self.years

    def ratio(self, slope: float) -> float:
        """Return the level after ``years`` at this slope, as a multiple of the level before."""
        if self.on_log:
            return math.exp(slope * self.years)
        return (self.start + slope * self.years) / self.start if self.start else math.nan


def find_change(
    statement: Statement,
    scope: Scope,
    evidence: Evidence,
    since: date | None = None,
    until: date | None = None,
) -> Change | Reason:
    """Return the change over the statement's years, or why the records do not carry one.

    A statement that says how long but not when is held against every stretch of that length, and gets the
    one that suits it best, with an interval wide enough for having looked at them all.
    """
    since = since or (date(statement.since, 1, 1) if statement.since else None)
    until = until or (date(statement.until, 12, 31) if statement.until else None)
    days = [d for d in dates_of(scope.rows) if (not since or d >= since) and (not until or d <= until)]
    if len(days) < 2:
        return _too_few(scope, len(days))
    windows = _windows(statement, days, open_ended=since is None)
    if not windows:
        return _not_covered(statement, scope, days)
    level = 1 - (1 - LEVEL) / len(windows)
    fits = [_fit(scope, evidence, window, level) for window in windows]
    system = evidence.garden.units
    changes = [_change(fit, statement, len(windows), level, system) for fit in fits if fit is not None]
    usable = [change for change in changes if change is not None]
    if not usable:
        return _not_comparable(scope, days)
    sign = -1 if statement.direction == "down" else 1
    return max(usable, key=lambda change: sign * change.middle)


def _windows(statement: Statement, days: list[date], *, open_ended: bool) -> list[tuple[date, date]]:
    span = statement.span_years
    if span is None or statement.per_year:
        return [(days[0], days[-1])]
    if not open_ended:
        return [(days[0], days[-1])] if abs(_years(days[0], days[-1]) - span) <= span else []
    slack = min(SLACK_YEARS, span / 2)
    return [
        (first, last)
        for first in days
        for last in days
        if first < last and abs(_years(first, last) - span) <= slack
    ]


def _years(first: date, last: date) -> float:
    return (last - first).days / DAYS


def _fit(scope: Scope, evidence: Evidence, window: tuple[date, date], level: float) -> Trend | None:
    """Fit the window over the whole garden, so that the noise is learned from all beds, and pick ours."""
    table = evidence.observations
    day = table["sampled_on"]
    part = table[(table["analyte"] == scope.analyte) & (day >= str(window[0])) & (day <= str(window[1]))]
    if len(scope.beds) > 1:
        trends = garden_trends(part[part["bed"].isin(scope.beds)], evidence.noise, level)
    else:
        trends = [t for t in fit_trends(part, evidence.noise, level) if t.bed == scope.beds[0]]
    found = [t for t in trends if t.analyte == scope.analyte]
    return max(found, key=lambda t: (t.slope_fit is not None, t.n), default=None)


def _change(trend: Trend, statement: Statement, looks: int, level: float, system: str) -> Change | None:
    if trend.slope_fit is None or trend.se_fit is None or trend.level is None:
        return None
    reach = float(t_quantile(level, trend.df)) * trend.se_fit
    years = 1.0 if statement.per_year else statement.span_years or trend.span_years or 1.0
    half = (trend.span_years or 0.0) / 2
    back = trend.slope_fit * half
    start = trend.level * math.exp(-back) if trend.scale == "log" else trend.level - back
    fit = trend.slope_fit
    return Change(
        trend=trend,
        low=fit - reach,
        middle=fit,
        high=fit + reach,
        years=years,
        start=start,
        looks=looks,
        unit=shown_unit(trend.unit, system),
    )


def with_slope_level(change: Change, level: float) -> Change:
    """Return the same change with an interval of another level (0.90 for 'no change larger than')."""
    reach = float(t_quantile(level, change.trend.df)) * float(change.trend.se_fit or 0.0)
    return replace(change, low=change.middle - reach, high=change.middle + reach)


def _too_few(scope: Scope, count: int) -> Reason:
    have = "no report" if count == 0 else "only one report"
    return Reason(
        "too-few",
        f"For these years the records hold {have} of {analyte_name(scope.analyte)} for {scope.label}: "
        "a change needs at least two by the same method.",
    )


def _not_covered(statement: Statement, scope: Scope, days: list[date]) -> Reason:
    return Reason(
        "span-not-covered",
        f"The sentence speaks of {statement.span_years:g} years; the reports for {scope.label} run from "
        f"{days[0].isoformat()} to {days[-1].isoformat()} and hold no stretch of that length.",
    )


def _not_comparable(scope: Scope, days: list[date]) -> Reason:
    if days[0].year == days[-1].year:
        text = f"All {len(days)} days of measuring {scope.label} lie in {days[0].year}"
        return Reason("one-year-only", f"{text}: a change needs two years.")
    rows = scope.rows[
        (scope.rows["sampled_on"] >= str(days[0])) & (scope.rows["sampled_on"] <= str(days[-1]))
    ]
    made = [_made_by(part) for _, part in rows.groupby("sampled_on", sort=True)]
    told = ", then ".join(dict.fromkeys(text for text in made if text))
    how = f" ({told})" if told else ""
    return Reason(
        "not-comparable",
        f"The reports of {days[0].year} to {days[-1].year} for {scope.label} cannot be compared with each "
        f"other{how}: no two are of the same laboratory, method and layer.",
    )


def _made_by(rows: pd.DataFrame) -> str:
    """Return who measured how: 'Hollowbrook Soil Laboratory by Bray P1'."""
    labs = " and ".join(lab for lab in dict.fromkeys(rows["lab"]) if lab)
    methods = " and ".join(method_name(m) for m in dict.fromkeys(rows["method"]) if m)
    return " by ".join(part for part in (labs, methods) if part)


def made_by(change: Change, scope: Scope) -> tuple[list[str], list[str]]:
    """Return the laboratories and the names of the methods in the years of a fit."""
    first, last = str(change.trend.first_on), str(change.trend.last_on)
    day = scope.rows["sampled_on"]
    rows = scope.rows[(day >= first) & (day <= last)]
    labs = [str(lab) for lab in dict.fromkeys(rows["lab"]) if lab]
    return labs, [method_name(m) for m in dict.fromkeys(rows["method"]) if m]


def sources_of(change: Change, scope: Scope) -> set[str]:
    """Return the files whose results stand in the years of a fit."""
    first, last = str(change.trend.first_on), str(change.trend.last_on)
    day = scope.rows["sampled_on"]
    return set(scope.rows[(day >= first) & (day <= last)]["source"])
