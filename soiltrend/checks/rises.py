"""Rises of one bed over its years: shown beyond noise, and between which reports they happened.

A rise is shown when the slope of the whole series is beyond what noise makes of flat beds anywhere in the
garden. Where it happened is the ramp (flat, a straight rise from one report to a later one, flat) that fits
best; the lower end of its size holds over all ramps of the series.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from soiltrend.balance.possible import ANSWERS
from soiltrend.checks.budget import allowance, setting, sidak
from soiltrend.checks.departures import Fits, fit, from_others, moderate, precision
from soiltrend.checks.evidence import Evidence
from soiltrend.checks.panels import Panel
from soiltrend.checks.wording import printed

Array = NDArray[np.float64]
INTP = NDArray[np.intp]
ORGANIC = ("organic_matter", "organic_carbon")


@dataclass(frozen=True, kw_only=True)
class Rise:
    """A shown rise of one bed in one panel.

    ``first`` and ``last`` are the panel's columns between which it rose; ``size``, ``se`` and ``lowest``
    (the simultaneous lower end) are on the scale of the fit, ``start`` the fitted value before it.
    """

    panel: Panel
    bed: int
    columns: INTP
    first: int
    last: int
    size: float
    se: float
    df: float
    lowest: float
    start: float
    looks: int
    family: str

    @property
    def name(self) -> str:
        """The bed's name."""
        return self.panel.beds[self.bed]

    @property
    def end(self) -> float:
        """The fitted value after the rise, in the unit."""
        return self.value(self.size)

    @property
    def change(self) -> float:
        """The rise in the unit."""
        return self.end - self.start

    @property
    def printed_change(self) -> float:
        """The rise as the printed levels before and after give it."""
        return printed(self.end) - printed(self.start)

    @property
    def least(self) -> float:
        """The simultaneous lower end of the rise, in the unit."""
        return self.value(self.lowest) - self.start

    @property
    def years(self) -> float:
        """Years between the two reports."""
        return float(self.panel.years[self.last] - self.panel.years[self.first])

    def value(self, size: float) -> float:
        """Return the value after a rise of ``size`` on the scale of the fit."""
        return self.start * float(np.exp(size)) if self.panel.log else self.start + size

    def belief_above(self, change: float) -> float:
        """Return the belief that the rise is more than ``change`` in the unit."""
        from scipy.special import stdtr

        end = self.start + change
        if self.panel.log and end <= 0:
            return 1.0
        size = float(np.log(end / self.start)) if self.panel.log else change
        return float(stdtr(self.df, (self.size - size) / self.se))

    def rows(self) -> list[int]:
        """Return the rows of the long table that the series rests on."""
        return [int(self.panel.row[self.bed, c]) for c in self.columns]

    def date(self, column: int, evidence: Evidence) -> pd.Timestamp:
        """Return the day this bed was sampled in a column of the panel."""
        return evidence.date_of(int(self.panel.row[self.bed, column]))

    def printed(self) -> list[tuple[int, float]]:
        """Return column and printed value of every report of the bed."""
        values = self.panel.y[self.bed, self.columns]
        shown = np.exp(values) if self.panel.log else values
        return [(int(c), float(v)) for c, v in zip(self.columns, shown, strict=True)]


@cache
def ramps(n: int) -> tuple[tuple[int, int], ...]:
    """Return every pair of reports between which a rise can lie."""
    return tuple((i, j) for i in range(n) for j in range(i + 1, n))


def shapes(times: Array) -> Array:
    """Return the straight line and every ramp as columns, ramps from 0 to 1."""
    pairs = ramps(times.size)
    line = times - times.mean()
    return np.column_stack(
        [line, *[np.clip((times - times[i]) / (times[j] - times[i]), 0, 1) for i, j in pairs]]
    )


@dataclass(frozen=True)
class _Group:
    """Beds of one panel with the same reports present, fitted."""

    panel: Panel
    beds: INTP
    columns: INTP
    y: Array
    fits: Fits


def rises(evidence: Evidence) -> list[Rise]:
    """Return the shown rises of every analyte that the balance knows; worked out once."""
    return evidence.once("rises", _rises)


def _rises(evidence: Evidence) -> list[Rise]:
    return [rise for family in ("rise_organic", "rise_other") for rise in _of_family(evidence, family)]


def _of_family(evidence: Evidence, family: str) -> list[Rise]:
    wanted = [panel for panel in evidence.panels if _family(panel) == family]
    groups = [group for panel in wanted for group in _groups(panel)]
    looks = sum(group.beds.size for group in groups)
    return [rise for group in _moderated(groups) for rise in _shown(*group, looks=looks, family=family)]


def _family(panel: Panel) -> str:
    """Return whose share of the budget a panel's rises use, empty where nothing put on moves it."""
    if panel.analyte not in ANSWERS or panel.unit == "mg/dm3":
        return ""
    return "rise_organic" if panel.analyte in ORGANIC else "rise_other"


def _groups(panel: Panel) -> Iterator[_Group]:
    present = ~np.isnan(panel.y)
    masks, number = np.unique(present, axis=0, return_inverse=True)
    for i, mask in enumerate(masks):
        columns = _distinct(panel, np.flatnonzero(mask))
        if columns.size < 2:
            continue
        beds = np.flatnonzero(number.ravel() == i)
        variance = np.full(columns.size, float(np.median(panel.own_sd[beds])) ** 2 + panel.year_sd**2)
        laboratory = setting("laboratory", panel.prior.scale)
        p = precision(panel.years[columns], variance, 0.0, panel.lab[columns], laboratory)
        y = panel.y[np.ix_(beds, columns)].T
        yield _Group(panel, beds, columns, y, fit(p, shapes(panel.years[columns]), y))


def _distinct(panel: Panel, columns: INTP) -> INTP:
    """Return the columns whose times differ: of two laboratories at one time the first is taken."""
    _, first = np.unique(panel.years[columns], return_index=True)
    return columns[np.sort(first)]


def _moderated(groups: Iterable[_Group]) -> Iterator[tuple[_Group, Array, Array, Array]]:
    """Yield each group with size, standard error and degrees of freedom of its shapes."""
    by_panel: dict[tuple[object, ...], list[_Group]] = {}
    for group in groups:
        by_panel.setdefault(group.panel.key, []).append(group)
    for alike in by_panel.values():
        # The slope is no noise: what others scatter is counted about their own line.
        spread = np.concatenate([g.fits.left[0] for g in alike])[None, :]
        free = np.concatenate([g.fits.free for g in alike])[None, :] - 1.0
        prior, weight = from_others(spread, free, alike[0].panel.prior.d0)
        at = 0
        for group in alike:
            cut = slice(at, at + group.beds.size)
            at += group.beds.size
            scaled = moderate(group.fits, prior[:, cut], weight[:, cut])
            yield group, scaled.size, scaled.se, scaled.df


def _shown(group: _Group, size: Array, se: Array, df: Array, *, looks: int, family: str) -> Iterator[Rise]:
    from scipy.special import stdtr, stdtrit

    pairs = ramps(group.columns.size)
    score = size / se
    chance = stdtr(df[0], -score[0])
    for b in np.flatnonzero(chance < sidak(allowance(family), looks)):
        best = int(np.argmax(score[1:, b]))
        i, j = pairs[best]
        shape = shapes(group.panel.years[group.columns])[:, best + 1]
        level = float(np.mean(group.y[:, b] - size[best + 1, b] * shape))
        one_sided = sidak(1 - setting("lower_end", "level"), len(pairs))
        reach = float(-stdtrit(df[best + 1, b], one_sided))
        yield Rise(
            panel=group.panel,
            bed=int(group.beds[b]),
            columns=group.columns,
            first=int(group.columns[i]),
            last=int(group.columns[j]),
            size=float(size[best + 1, b]),
            se=float(se[best + 1, b]),
            df=float(df[best + 1, b]),
            lowest=float(size[best + 1, b] - reach * se[best + 1, b]),
            start=float(np.exp(level)) if group.panel.log else level,
            looks=looks,
            family=family,
        )
