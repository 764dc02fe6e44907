"""One sentence per series for a grower: what is shown, what is not, and what these reports cannot tell."""

import math
from typing import Any

from soiltrend.data import load_toml
from soiltrend.noise import setting
from soiltrend.trends.model import Trend

FEW_REPORTS = 3
SCATTER_ODD = 0.05
MOST_BREAKS = 3
BREAK_KINDS = ("laboratory", "method", "layer", "beds")


def sentence(trend: Trend, family: int) -> str:
    """Say what a series shows. ``family`` is the number of series that were judged together."""
    parts = [_finding(trend, family), _breaks(trend), _unnamed(trend), _scatter(trend), _noise(trend)]
    return f"{_subject(trend)}: " + " ".join(part for part in parts if part)


def tidy(value: float, uncertainty: float) -> str:
    """Write ``value`` with no more places than its uncertainty carries: one digit of it, two below 3."""
    if not (math.isfinite(value) and math.isfinite(uncertainty)) or uncertainty <= 0:
        return f"{value:.3g}"
    exponent = math.floor(math.log10(uncertainty))
    places = -exponent + (1 if uncertainty / 10.0**exponent < 3 else 0)
    rounded = round(value, places) + 0.0
    return f"{rounded:.{max(places, 0)}f}"


def within_season(trend: Trend) -> bool:
    """Whether the reports cover less than a year's round, so that any change is the time of year's."""
    return trend.span_years is not None and trend.span_years < setting("defaults", "shortest_years")


def _display(table: str) -> dict[str, Any]:
    words: dict[str, Any] = load_toml("display")[table]
    return words


def analyte_name(analyte: str) -> str:
    """Return the name of an analyte as it stands inside a sentence."""
    long_name = str(_display("analytes").get(analyte, [analyte.replace("_", " ")])[0])
    return long_name if long_name[:2] in {"pH", "pB"} else long_name[0].lower() + long_name[1:]


def _subject(trend: Trend) -> str:
    name = "pH" if trend.analyte == "ph" else analyte_name(trend.analyte)
    method = _method_name(trend.method)
    return f"{trend.bed}, {name}" + (f" ({method})" if method else "")


def _method_name(method: str) -> str:
    return str(_display("methods").get(method, method.replace("_", " ")))


def _unit(trend: Trend, *, change: bool) -> str:
    """Return the unit with a space before it, for a value or for a change."""
    metric, _, of_change = _display("units").get(trend.unit, [trend.unit, "", ""])
    word = (of_change or metric) if change else metric
    return f" {word}" if word else ""


def _finding(trend: Trend, family: int) -> str:
    if trend.slope_per_year is None:
        return _too_few(trend)
    if trend.verdict in {"rising", "falling"}:
        return _shown(trend)
    if within_season(trend):
        return (
            f"{_reports(trend)}, all within {_years(trend)}: a change in that time is the time of year, "
            f"no change from year to year."
        )
    leaning = trend.ci_low is not None and trend.ci_high is not None and trend.ci_low * trend.ci_high > 0
    return (_leaning(trend, family) if leaning else _not_shown(trend)) + _cannot_tell(trend)


def _too_few(trend: Trend) -> str:
    if trend.n_censored == trend.n:
        return f"{_reports(trend)}, all beyond the limit of the method; how much is there cannot be told."
    if trend.n == 1:
        value = f"{_number(trend.first_value)}{_unit(trend, change=False)}"
        return f"one report ({value}, {_when(trend)}). One report says nothing about change."
    if trend.n_censored:
        return f"{_reports(trend)}, {trend.n_censored} of them beyond the limit: too few values for a change."
    return f"{_reports(trend)}, no two of the same laboratory, method and layer: they cannot be compared."


def _shown(trend: Trend) -> str:
    way = "rise" if trend.verdict == "rising" else "fall"
    return f"a {way} is shown, {_rate(trend)}, in {_reports(trend)}. {_in_all(trend)}"


def _rate(trend: Trend) -> str:
    low, middle, high, unit = _range(trend, trend.ci_low, trend.slope_per_year, trend.ci_high)
    return f"about {middle}{unit} a year ({trend.ci_level:.0%} interval {low} to {high})"


def _in_all(trend: Trend) -> str:
    low, _, high, unit = _range(trend, trend.total_low, trend.total_change, trend.total_high)
    return f"Over {_years(trend)} that makes {low} to {high}{unit} in all."


def _leaning(trend: Trend, family: int) -> str:
    way = "up" if (trend.slope_per_year or 0) > 0 else "down"
    return (
        f"{_reports(trend)} lean {way}, {_rate(trend)}; among the {family} series judged together "
        f"chance alone can make one lean like this, so it does not count as shown."
    )


def _not_shown(trend: Trend) -> str:
    low, _, high, unit = _range(trend, trend.total_low, trend.total_change, trend.total_high)
    fits = f"{low} to {high}{unit}"
    return f"no rise or fall is shown. {_reports(trend)} fit any change from {fits} over {_years(trend)}."


def _cannot_tell(trend: Trend) -> str:
    things, odd = ("yearly means", "year") if _of_garden(trend) else ("reports", "sample")
    said = (
        f" {_count(trend.n)} {things} cannot tell a steady change from one odd {odd}." if _few(trend) else ""
    )
    if trend.smallest_detectable is None:
        return said
    size = f"{_number(trend.smallest_detectable, digits=2)}{_unit(trend, change=True)}"
    return f"{said} A true rise of less than about {size} in all would often be missed by these {things}."


def _few(trend: Trend) -> bool:
    return trend.n <= FEW_REPORTS


def _range(
    trend: Trend, low: float | None, middle: float | None, high: float | None
) -> tuple[str, str, str, str]:
    a, b, c = (math.nan if value is None else value for value in (low, middle, high))
    # A limit on one side of zero must not be printed as zero.
    nearest = min((abs(value) for value in (a, c) if value), default=math.nan)
    uncertainty = min((c - a) / 2, 2 * nearest)
    return tidy(a, uncertainty), tidy(b, uncertainty), tidy(c, uncertainty), _unit(trend, change=True)


def _number(value: float | None, digits: int = 3) -> str:
    if value is None:
        return "no value"
    if value == 0 or not math.isfinite(value):
        return f"{value:g}"
    places = digits - 1 - math.floor(math.log10(abs(value)))
    return f"{round(value, places):.{max(places, 0)}f}" if digits == 2 else f"{value:.{digits}g}"


def _count(n: int) -> str:
    return {2: "Two", 3: "Three"}.get(n, str(n))


def _reports(trend: Trend) -> str:
    thing = "yearly mean" if _of_garden(trend) else "report"
    return f"{trend.n} {thing}{'' if trend.n == 1 else 's'} {_when(trend)}"


def _of_garden(trend: Trend) -> bool:
    return all(point.row < 0 for point in trend.points)


def _when(trend: Trend) -> str:
    if trend.first_on is None or trend.last_on is None:
        return "without a date"
    if trend.first_on.year == trend.last_on.year:
        return f"of {trend.first_on.year}"
    return f"from {trend.first_on.year} to {trend.last_on.year}"


def _years(trend: Trend) -> str:
    span = trend.span_years or 0.0
    if round(span) >= 1 and abs(span - round(span)) < 0.1:
        return "one year" if round(span) == 1 else f"{round(span)} years"
    if span < 1:
        months = max(round(span * 12), 1)
        return "one month" if months == 1 else f"{months} months"
    return f"{span:.1f} years"


def _breaks(trend: Trend) -> str:
    """Name the day and the kind of each change; the laboratories and methods stand in ``breaks``."""
    if not trend.breaks or trend.slope_per_year is None:
        return ""
    said = [_kinds(text) for text in trend.breaks[:MOST_BREAKS]]
    if len(trend.breaks) > MOST_BREAKS:
        said.append(f"{len(trend.breaks) - MOST_BREAKS} more")
    return f"Levels are not compared across a change ({'; '.join(said)})."


def _unnamed(trend: Trend) -> str:
    """Say what was taken to be the same although some reports do not name it."""
    if not trend.remarks or trend.slope_per_year is None:
        return ""
    things = " and ".join(remark.split("-", 1)[0] for remark in trend.remarks)
    return f"Some reports do not name the {things}; it is taken to be the one that the others name."


def _kinds(change: str) -> str:
    """Shorten '2024-04-20 laboratory A to B, method x to y' to '2024-04-20 laboratory, method'."""
    day, _, parts = change.partition(" ")
    kinds = [part.split(" ", 1)[0] for part in parts.split(", ")]
    known = [kind for kind in kinds if kind in BREAK_KINDS]
    return f"{day} {', '.join(dict.fromkeys(known))}"


def _scatter(trend: Trend) -> str:
    odd = trend.scatter_p is not None and trend.scatter_p < SCATTER_ODD
    if not odd or trend.scatter_ratio is None or trend.scatter_ratio <= 1:
        return ""
    return (
        f"The points scatter {trend.scatter_ratio:.1f} times the stated noise: look for a mixed-up report, "
        f"another season or depth before leaning on this."
    )


def _noise(trend: Trend) -> str:
    if not trend.noise_text:
        return ""
    thing = "A yearly mean" if _of_garden(trend) else "One report"
    if trend.s0 > trend.s0_stated:
        origin = "the other beds scatter more than the published figure"
    elif trend.s0 < trend.s0_stated:
        origin = "the other beds scatter less than the published figure"
    else:
        origin = "garden.toml" if trend.noise_source.startswith("garden.toml") else "published figures"
    return f"{thing} is taken to wobble by {trend.noise_text} ({origin})."
