"""The reports that a comparison rests on, as arrays: one entry per report of one bed."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from math import log as log_of
from typing import TYPE_CHECKING, Any

import numpy as np

from soiltrend.comparison.arrays import Flags, Floats, Labels
from soiltrend.data import load_toml
from soiltrend.trends import Point, Trend

if TYPE_CHECKING:
    import pandas as pd

DAYS_PER_YEAR = 365.25
LIMIT_FACTOR = 10.0  # a result below a limit is sought from a tenth of it up


@dataclass(frozen=True, slots=True, kw_only=True)
class Samples:
    """All reports of one analyte in one unit (and method, where beds are tested by several at once).

    ``s0`` is the stated noise of one report; ``values`` are on the fitting scale (natural log, or raw for
    pH and saturations), ``years`` decimal years. ``bed`` indexes ``beds``. ``level`` numbers the stretches
    of a bed with one method and layer: nothing is compared across them. ``visit`` numbers laboratory and
    season, shared by beds. ``beyond`` is 0 for a measured result; for one printed as below or above a limit
    it is the way to the other end of what it can be (a tenth of the limit, or ten times it), on that scale.
    """

    analyte: str
    unit: str
    method: str
    scale: str
    s0: float
    beds: tuple[str, ...]
    values: Floats
    years: Floats
    days: tuple[date, ...]
    bed: Labels
    level: Labels
    visit: Labels
    lab: tuple[str, ...]
    beyond: Floats

    def __len__(self) -> int:
        return len(self.values)

    def only(self, kept: Flags) -> "Samples":
        """Return the reports marked, of the beds that then remain."""
        names, index = np.unique(self.bed[kept], return_inverse=True)
        where = np.flatnonzero(kept)
        return replace(
            self,
            beds=tuple(self.beds[int(i)] for i in names),
            values=self.values[kept],
            years=self.years[kept],
            days=tuple(self.days[i] for i in where),
            bed=index.astype(np.int64),
            level=self.level[kept],
            visit=self.visit[kept],
            lab=tuple(self.lab[i] for i in where),
            beyond=self.beyond[kept],
        )

    def of(self, names: Iterable[str]) -> Flags:
        """Mark the reports of these beds."""
        wanted = set(names)
        member = np.array([name in wanted for name in self.beds], dtype=np.bool_)
        return np.asarray(member[self.bed], dtype=np.bool_)


@dataclass(frozen=True, slots=True)
class _Report:
    """One point with what its row of the long table, or its segment, says about it.

    ``part`` numbers the stretch of its bed that one method and layer make, whatever the laboratory.
    """

    bed: str
    point: Point
    method: str
    lab: str
    part: tuple[str, str, str]


@dataclass(frozen=True, slots=True)
class _Row:
    method: str
    lab: str
    layer: str


def gather(observations: "pd.DataFrame", trends: Sequence[Trend]) -> list[Samples]:
    """Return the samples of each analyte and unit, in the order of ``trends``."""
    rows = _rows(observations, trends)
    series: dict[tuple[str, str], list[Trend]] = defaultdict(list)
    for trend in trends:
        series[trend.analyte, trend.unit].append(trend)
    parts = [part for group in series.values() for part in _by_method(group)]
    return [found for part in parts if (found := _samples(part, rows)) is not None]


def _by_method(trends: list[Trend]) -> list[list[Trend]]:
    """Split by method where a bed has several series side by side; else keep all beds together."""
    beds = [trend.bed for trend in trends]
    if len(set(beds)) == len(beds):
        return [trends]
    parts: dict[str, list[Trend]] = defaultdict(list)
    for trend in trends:
        parts[trend.method].append(trend)
    return list(parts.values())


def _rows(observations: "pd.DataFrame", trends: Sequence[Trend]) -> dict[int, _Row]:
    """Return method, laboratory and layer of every row of the long table that a trend uses."""
    wanted = sorted({point.row for trend in trends for point in trend.points})
    columns = ["method", "lab", "depth_from_cm", "depth_to_cm"]
    table = observations.iloc[wanted][columns]
    cells = zip(*(table[name].tolist() for name in columns), strict=True)
    return {
        row: _Row(_text(method), _text(lab), _layer(top, bottom))
        for row, (method, lab, top, bottom) in zip(wanted, cells, strict=True)
    }


def _text(cell: Any) -> str:
    """Return a cell as text, empty where nothing is given."""
    return "" if cell is None or cell != cell else str(cell).strip()  # noqa: PLR0124 -- NaN


def _layer(top: Any, bottom: Any) -> str:
    """Return the layer in half inches, rounded, so that 6 in and 15 cm are one; empty where not given."""
    if not _text(bottom):
        return ""
    half_inch = float(load_toml("display")["conversions"]["cm_per_inch"]) / 2
    upper = float(top) if _text(top) else 0.0
    return f"{round(upper / half_inch)}-{round(float(bottom) / half_inch)}"


def _reports(trend: Trend, rows: dict[int, _Row]) -> list[_Report]:
    """Return the trend's points; what a report does not name is what its segment names elsewhere."""
    segments: dict[int, list[_Row]] = defaultdict(list)
    for point in trend.points:
        segments[point.segment].append(rows[point.row])
    found = []
    for point in trend.points:
        mates, lab = segments[point.segment], rows[point.row].lab
        method = next((mate.method for mate in mates if mate.method), "")
        layer = next((mate.layer for mate in mates if mate.layer), "")
        found.append(_Report(trend.bed, point, method, lab, (trend.bed, method or f"?{lab}", layer)))
    return found


def _samples(trends: list[Trend], rows: dict[int, _Row]) -> Samples | None:
    """Return the arrays of one analyte, None where no result can be drawn on the scale of the fit."""
    reports = [report for trend in trends for report in _reports(trend, rows)]
    log = trends[0].scale == "log"
    measured = [r.point.value for r in reports if r.point.value > 0 or not log]
    if not measured:
        return None
    # A printed zero cannot be drawn on the log scale: it lies below the smallest result there is.
    raw = np.array([r.point.value if r.point.value > 0 or not log else min(measured) for r in reports])
    beds = tuple(dict.fromkeys(report.bed for report in reports))
    return Samples(
        analyte=trends[0].analyte,
        unit=trends[0].unit,
        method=" and ".join(sorted({report.method for report in reports if report.method})),
        scale=trends[0].scale,
        s0=float(np.sqrt(np.mean([trend.s0_stated**2 for trend in trends]))),
        beds=beds,
        values=np.log(raw) if log else raw,
        years=np.array([r.point.sampled_on.toordinal() / DAYS_PER_YEAR for r in reports]),
        days=tuple(report.point.sampled_on for report in reports),
        bed=np.array([beds.index(report.bed) for report in reports], dtype=np.int64),
        level=_numbered([report.part for report in reports]),
        visit=_visits(reports),
        lab=tuple(report.lab for report in reports),
        beyond=np.array([_beyond(report.point, log) for report in reports]),
    )


def _beyond(point: Point, log: bool) -> float:
    """Return the way from a limit to the far end of what the result can be, 0 for a measured one."""
    below = point.qualifier == "<" or (log and point.value <= 0)
    if not below and point.qualifier != ">":
        return 0.0
    way = 1 / LIMIT_FACTOR if below else LIMIT_FACTOR
    return log_of(way) if log else point.value * (way - 1)


def _numbered(keys: Sequence[tuple[Any, ...]]) -> Labels:
    number = {key: i for i, key in enumerate(dict.fromkeys(keys))}
    return np.array([number[key] for key in keys], dtype=np.int64)


def _visits(reports: Sequence[_Report]) -> Labels:
    """Give each visit a number: one laboratory and method, dates that follow each other within some weeks."""
    gap = int(load_toml("comparison")["visit"]["gap_days"])
    keys = [("".join(filter(str.isalnum, r.lab.casefold())), *r.part[1:]) for r in reports]
    visit = np.zeros(len(reports), dtype=np.int64)
    number = -1
    for key in dict.fromkeys(keys):
        mine = [i for i, other in enumerate(keys) if other == key]
        last: date | None = None
        for i in sorted(mine, key=lambda i: reports[i].point.sampled_on):
            day = reports[i].point.sampled_on
            if last is None or (day - last).days > gap:
                number += 1
            visit[i], last = number, day
    return visit
