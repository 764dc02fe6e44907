"""What each bed's further tests can show."""

from collections.abc import Sequence
from datetime import date

from soiltrend.data import load_toml
from soiltrend.planning.design import Design, in_unit, level_of, on_scale, testable_year
from soiltrend.planning.model import Horizon, Outlook
from soiltrend.trends import Trend


def outlook(trend: Trend, future: Sequence[date]) -> Outlook | None:
    """Return what lies ahead for one series, None where no result was measured so far."""
    so_far = Design.of(trend)
    if not len(so_far.years) or trend.first_on is None or level_of(trend) <= 0:
        return None
    found = [_horizon(trend, so_far, future[:tests]) for tests in load_toml("planning")["horizons"]["tests"]]
    amounts, shares = load_toml("planning")["amounts"]["fractions"], trend.scale == "log"
    true_change = float(load_toml("planning")["overstatement"]["true_change"])
    return Outlook(
        bed=trend.bed,
        analyte=trend.analyte,
        unit=trend.unit,
        method=trend.method,
        n=len(so_far.years),
        since=trend.first_on,
        horizons=tuple(horizon for horizon in found if horizon is not None),
        years_to_show={a: testable_year(trend, a, future) if shares else None for a in amounts},
        true_change=true_change,
        overstatement=_overstatement(trend, so_far, future, true_change),
    )


def _horizon(trend: Trend, so_far: Design, days: Sequence[date]) -> Horizon | None:
    """Return what the series shows after these tests, None where even they draw no line."""
    ahead = so_far.then(days)
    rate, margin = ahead.smallest_rate(), ahead.margin_rate()
    if rate is None or margin is None:
        return None
    total = in_unit(rate * ahead.span, trend)
    return Horizon(
        tests=len(days),
        on=days[-1],
        smallest=total,
        per_year=in_unit(rate, trend),
        percent=100 * total / level_of(trend) if trend.scale == "log" else None,
        no_change_within=in_unit(margin * ahead.span, trend),
    )


def _overstatement(trend: Trend, so_far: Design, future: Sequence[date], true_change: float) -> float | None:
    """Return the type M error of the last horizon for the example change, on the log scale only."""
    if trend.scale != "log":
        return None
    ahead = so_far.then(future[: max(load_toml("planning")["horizons"]["tests"])])
    return ahead.overstatement(on_scale(true_change, trend) / ahead.span) if ahead.span > 0 else None
