"""One fitted series in a reader's words and units."""

import re
from dataclasses import dataclass

from soiltrend.data import load_toml
from soiltrend.report.numbers import MINUS, NBSP, decimals_for, estimate, plain, with_unit
from soiltrend.report.words import (
    analyte_in_text,
    change_unit,
    counted,
    depth,
    long_date,
    method_name,
    unit_name,
)
from soiltrend.trends import Point, Trend, within_season

KINDS = {"rising": "up", "falling": "down", "no-change-shown": "flat", "too-few": "few"}
VERBS = {"up": "rose", "down": "fell"}
_CODES = re.compile(r"method (\w+) to (\w+)(?=,|$)")
_LAYER = re.compile(r"(\d+(?:\.\d+)?)-(\d+(?:\.\d+)?) cm")


@dataclass(frozen=True, slots=True)
class Scale:
    """How numbers of one unit are shown: ``value * factor + offset``; a change takes the factor only."""

    unit: str
    change: str
    factor: float = 1.0
    offset: float = 0.0

    @classmethod
    def of(cls, unit: str, system: str) -> "Scale":
        """Return the scale on which a grower who prefers ``system`` reads ``unit``."""
        shown = load_toml("display")["conversions"]["shown"].get(unit, {}) if system == "us" else {}
        return cls(
            unit_name(unit, system),
            change_unit(unit, system),
            shown.get("factor", 1.0),
            shown.get("offset", 0.0),
        )

    def value(self, value: float) -> float:
        """Return a value on this scale."""
        return value * self.factor + self.offset

    def maybe(self, value: float | None) -> float | None:
        """Return a value on this scale, or None."""
        return None if value is None else self.value(value)


def kind_of(trend: Trend) -> str:
    """Return ``up``, ``down``, ``flat`` or ``few``."""
    kind = KINDS.get(trend.verdict, "few")
    return "few" if kind == "flat" and within_season(trend) else kind


def per_year(trend: Trend, scale: Scale, *, sign: bool = False) -> tuple[str, str]:
    """Return the change per year with its unit and its interval; both empty where there is none."""
    if trend.slope_per_year is None or trend.ci_low is None or trend.ci_high is None:
        return "", ""
    numbers = [number * scale.factor for number in (trend.slope_per_year, trend.ci_low, trend.ci_high)]
    rounded = estimate(*numbers, sign=sign)
    return with_unit(rounded.value, scale.change), rounded.interval


def headline(trend: Trend, scale: Scale) -> str:
    """Say in a few words what the series did."""
    kind = kind_of(trend)
    change, _ = per_year(trend, scale)
    if kind in VERBS and change:
        return f"{VERBS[kind]} {change.lstrip(MINUS)} a{NBSP}year"
    if kind != "flat":
        return "within one season" if within_season(trend) else "too few reports to say"
    return f"leans {lean}, as chance can" if (lean := _lean(trend)) else "no change shown"


def _lean(trend: Trend) -> str:
    """Return the side of zero on which an interval lies that is not enough among so many series."""
    if trend.ci_low is None or trend.ci_high is None or trend.ci_low <= 0 <= trend.ci_high:
        return ""
    return "up" if trend.ci_low > 0 else "down"


def interval_text(trend: Trend, scale: Scale) -> str:
    """Say the interval of the change per year; of a rise or a fall as sizes, lesser first (``2 to 36``)."""
    change, interval = per_year(trend, scale, sign=True)
    if not change or kind_of(trend) == "few":
        return ""
    if kind_of(trend) not in VERBS:
        return f"{with_unit(interval, scale.change)} a{NBSP}year"
    low, high = interval.replace("+", "").replace(MINUS, "").split(" to ")
    return f"{low} to {high}" if kind_of(trend) == "up" else f"{high} to {low}"


def span_text(trend: Trend) -> str:
    """Say how many reports the series rests on and from when to when."""
    if trend.first_on is None or trend.last_on is None:
        return "no dated report"
    if trend.n == 1:
        return f"1{NBSP}report, {long_date(trend.first_on)}"
    return f"{trend.n}{NBSP}reports, {long_date(trend.first_on)} to {long_date(trend.last_on)}"


def alternative(trend: Trend, doubts: int) -> str:
    """Return the chart's text alternative: what the caption above it does not say already."""
    parts = [f"{analyte_in_text(trend.analyte)} in {trend.bed}: {span_text(trend)}"]
    if trend.breaks:
        parts.append(f"not compared across {counted(len(trend.breaks), 'break')}")
    return f"{'; '.join(parts)}.{' Doubtful readings are drawn hollow.' if doubts else ''}"


def break_text(text: str, system: str) -> str:
    """Return a change of laboratory, method or layer with the methods' names and the grower's own units."""
    named = _CODES.sub(lambda found: f"method {method_name(found[1])} to {method_name(found[2])}", text)
    return _LAYER.sub(lambda found: depth(float(found[1]), float(found[2]), system), named)


def point_text(point: Point, scale: Scale) -> str:
    """Say one value, its date and its noise."""
    value, low, high = (scale.value(v) for v in (point.value, point.noise_low, point.noise_high))
    decimals = max(decimals_for((high - low) / 2), 0)
    text = f"{point.sampled_on.isoformat()}: {point.qualifier}{with_unit(plain(value, decimals), scale.unit)}"
    return f"{text}, noise {plain(low, decimals)} to {plain(high, decimals)}"
