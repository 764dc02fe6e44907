"""Small charts as geometry: one time axis for the whole garden, drawn by a template as SVG.

A page can hold hundreds of these; worked out here they cost microseconds each, where a charting library
would cost tens of milliseconds.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from itertools import pairwise

from soiltrend.report.model import Chart, Mark, Tick
from soiltrend.report.numbers import plain

WIDTH, HEIGHT = 320, 148
LEFT, RIGHT, TOP, BOTTOM = 42, 314, 12, 112
DAYS = 365.25
# The band of a short series can be far wider than its values: it may widen the scale by this share of them.
BAND_SHARE = 0.35
YEAR_LABELS = 7


@dataclass(frozen=True, slots=True)
class TimeAxis:
    """The years that every chart of the page shares, as fractions of a year."""

    start: float
    end: float

    @classmethod
    def of(cls, days: Sequence[date]) -> "TimeAxis":
        """Return the axis from the first to the last whole year of ``days``."""
        if not days:
            return cls(2000.0, 2001.0)
        return cls(float(min(days).year), float(max(days).year + 1))

    def x(self, day: date) -> float:
        """Return the place of a day in user units."""
        return _place(self, day)

    def at(self, year: float) -> float:
        """Return the place of a decimal year in user units."""
        return _short(LEFT + (RIGHT - LEFT) * (year - self.start) / (self.end - self.start))

    @property
    def labels(self) -> tuple[Tick, ...]:
        """The years that are written, each in the middle of its year."""
        step = math.ceil((self.end - self.start) / YEAR_LABELS)
        years = range(int(self.start), int(self.end), step)
        return tuple(Tick(self.at(year + 0.5), str(year)) for year in years)

    @property
    def starts(self) -> tuple[float, ...]:
        """Where each year begins, the first left out."""
        return tuple(self.at(year) for year in range(int(self.start) + 1, int(self.end)))


@dataclass(frozen=True, slots=True)
class Dot:
    """One value to draw. ``kind`` is ``dot``, ``hollow`` (doubtful) or ``below`` (below the limit)."""

    day: date
    value: float
    noise_low: float
    noise_high: float
    segment: int
    kind: str
    href: str
    title: str
    fitted: float | None = None
    low: float | None = None
    high: float | None = None


@lru_cache(maxsize=4096)
def _place(axis: TimeAxis, day: date) -> float:
    """Return the place of a day: a garden's beds share their days."""
    return axis.at(year_of(day))


def _short(place: float) -> float:
    """Return a place to a tenth of a unit, a whole one without its decimal: a page holds thousands."""
    rounded = round(place, 1)
    return int(rounded) if rounded == int(rounded) else rounded


def year_of(day: date) -> float:
    """Return a day as a decimal year."""
    return day.year + (day.timetuple().tm_yday - 0.5) / DAYS


def draw(dots: Sequence[Dot], axis: TimeAxis, *, applied: Sequence[tuple[date, str]] = ()) -> Chart:
    """Return the geometry of one series; ``applied`` are the days on which something was put on."""
    dots = sorted(dots, key=lambda dot: dot.day)
    bottom, top = _range(dots)
    y = _scale(bottom, top)
    segments = [
        [dot for dot in dots if dot.segment == number] for number in sorted({dot.segment for dot in dots})
    ]
    return Chart(
        width=WIDTH,
        height=HEIGHT,
        left=LEFT,
        right=RIGHT,
        top=TOP,
        bottom=BOTTOM,
        y_ticks=tuple(Tick(y(value), label) for value, label in ticks(bottom, top)),
        x_ticks=axis.labels,
        years=axis.starts,
        bands=tuple(_band(part, axis, y) for part in segments if _has_line(part)),
        lines=tuple(_line(part, axis, y) for part in segments if _has_line(part)),
        breaks=_breaks(dots, axis),
        applied=_applied(applied, axis),
        marks=_marks(dots, axis, y),
    )


def ticks(low: float, high: float, wanted: int = 3) -> list[tuple[float, str]]:
    """Return round values between ``low`` and ``high`` with their labels: steps of 1, 2 or 5."""
    span = high - low
    if not span > 0 or not math.isfinite(span):
        return [(low, plain(low, 1))]
    magnitude = 10.0 ** math.floor(math.log10(span / wanted))
    steps = (magnitude * nice for nice in (1, 2, 5))
    step = next((step for step in steps if span / step <= wanted + 1), magnitude * 10)
    decimals = max(0, -math.floor(math.log10(step) + 1e-9))
    first = math.ceil(low / step - 1e-9)
    count = math.floor(high / step + 1e-9) - first + 1
    return [
        ((first + number) * step, plain((first + number) * step, decimals)) for number in range(max(count, 0))
    ]


def _range(dots: Sequence[Dot]) -> tuple[float, float]:
    lows = [min(dot.noise_low, dot.value) for dot in dots]
    highs = [max(dot.noise_high, dot.value) for dot in dots]
    low, high = min(lows), max(highs)
    room = (high - low) * BAND_SHARE
    low = max(low - room, min([low, *(dot.low for dot in dots if dot.low is not None)]))
    high = min(high + room, max([high, *(dot.high for dot in dots if dot.high is not None)]))
    if high - low <= 0:
        pad = abs(high) * 0.1 or 1.0
        return low - pad, high + pad
    return low, high


def _scale(low: float, high: float) -> Callable[[float], float]:
    factor = (BOTTOM - TOP) / (high - low)

    def y(value: float) -> float:
        inside = low if value < low else min(value, high)
        return round(BOTTOM - factor * (inside - low), 1)

    return y


def _has_line(dots: Sequence[Dot]) -> bool:
    return len(dots) > 1 and all(
        dot.fitted is not None and dot.low is not None and dot.high is not None for dot in dots
    )


def _path(points: Sequence[tuple[float, float]]) -> str:
    return "M" + "L".join(f"{x:g} {y:g}" for x, y in points)


def _line(dots: Sequence[Dot], axis: TimeAxis, y: Callable[[float], float]) -> str:
    return _path([(axis.x(dot.day), y(dot.fitted)) for dot in dots if dot.fitted is not None])


def _band(dots: Sequence[Dot], axis: TimeAxis, y: Callable[[float], float]) -> str:
    upper = [(axis.x(dot.day), y(dot.high)) for dot in dots if dot.high is not None]
    lower = [(axis.x(dot.day), y(dot.low)) for dot in reversed(dots) if dot.low is not None]
    return f"{_path(upper + lower)}Z"


def _breaks(dots: Sequence[Dot], axis: TimeAxis) -> tuple[float, ...]:
    """Return where one level ends and another begins: halfway between two reports in the order of time."""
    return tuple(
        axis.at((year_of(before.day) + year_of(after.day)) / 2)
        for before, after in pairwise(dots)
        if before.segment != after.segment
    )


def _applied(applied: Sequence[tuple[date, str]], axis: TimeAxis) -> tuple[Tick, ...]:
    inside = [(day, text) for day, text in applied if axis.start <= year_of(day) <= axis.end]
    return tuple(Tick(axis.x(day), text) for day, text in inside)


def _marks(dots: Sequence[Dot], axis: TimeAxis, y: Callable[[float], float]) -> tuple[Mark, ...]:
    places = [axis.x(dot.day) for dot in dots]
    edges = [LEFT, *((a + b) / 2 for a, b in pairwise(places)), RIGHT]
    return tuple(
        Mark(
            href=dot.href,
            title=dot.title,
            kind=dot.kind,
            x=x,
            y=y(dot.value),
            low=y(dot.noise_low),
            high=y(dot.noise_high),
            hit_x=_short(start),
            hit_width=_short(end - start),
        )
        for dot, x, start, end in zip(dots, places, edges[:-1], edges[1:], strict=True)
    )
