"""'Have more than the others': two sides of beds held side by side, day by day, by their levels.

Only days on which both sides were measured alike count (the same laboratory, method, layer and unit), so that
season and laboratory cancel. Beds are the replicates: with two or more beds on a side the spread between beds
sets the interval; of one bed against one bed only the days are, and then it speaks of these two places.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

from soiltrend.claims.evidence import Evidence
from soiltrend.claims.scope import Reason, Scope, beds_of_group, listed
from soiltrend.claims.statement import Statement
from soiltrend.claims.words import shown_unit
from soiltrend.data import load_toml
from soiltrend.observations import usable
from soiltrend.regression import t_quantile

if TYPE_CHECKING:
    import pandas as pd

ALIKE = ["unit", "method", "lab", "depth_from_cm", "depth_to_cm"]
Mode = Literal["share", "absolute"]
Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """One side against another: the difference in the direction 'more', as a share or in ``unit``.

    ``low`` and ``high`` are its 95 % limits on ``df`` degrees of freedom; ``visits`` the days on which both
    were measured; ``per_area`` whether amounts per bed were divided by the beds' areas first. ``label`` and
    ``shown`` are the beds and the unit as this grower reads them.
    """

    beds: tuple[str, ...]
    reference: tuple[str, ...]
    reference_label: str
    analyte: str
    unit: str
    mode: Mode
    low: float
    middle: float
    high: float
    df: int
    visits: tuple[date, ...]
    per_area: bool
    label: str
    shown: str

    @property
    def single(self) -> bool:
        """Whether one bed stands against one bed, so that the difference may be that of the places."""
        return len(self.beds) == len(self.reference) == 1


def beside(
    statement: Statement,
    scope: Scope,
    evidence: Evidence,
    mode: Mode,
    since: date | None = None,
    until: date | None = None,
) -> Beside | Reason:
    """Return how the beds of a statement stand beside those it names, or why that cannot be said."""
    reference, name = _reference(statement, scope, evidence)
    beds = tuple(bed for bed in scope.beds if bed not in reference)
    if not beds or not reference:
        return Reason("no-comparison", "The records hold no beds to compare with for this.")
    table = usable(evidence.observations)
    rows = table[(table["analyte"] == scope.analyte) & table["bed"].isin([*beds, *reference])]
    rows = rows[rows["qualifier"] == ""]
    rows = _within(rows, since, until)
    values, days, unit, per_area = _values(rows, evidence, beds, reference)
    if not days:
        text = f"No day is on record on which {scope.label} and {name} were both measured alike."
        return Reason("no-shared-day", text)
    if mode == "share" and not (values[np.isfinite(values)] > 0).all():
        return Reason("no-ratio", "Values of zero have no ratio: say how much more or less instead.")
    found = _difference(np.log(values) if mode == "share" else values, len(beds))
    if found is None:
        text = f"Only {len(days)} day is on record on which {scope.label} and {name} were both measured."
        return Reason("too-few", f"{text} One bed against one bed needs at least two such days.")
    ends = [math.expm1(end) if mode == "share" else end for end in found[:3]]
    return Beside(
        beds=beds,
        reference=reference,
        reference_label=name,
        analyte=scope.analyte,
        unit=unit,
        mode=mode,
        low=ends[0],
        middle=ends[1],
        high=ends[2],
        df=found[3],
        visits=days,
        per_area=per_area,
        shown=shown_unit(unit, evidence.garden.units),
        label=listed(list(beds)) if len(beds) < len(scope.beds) else scope.label,
    )


def _reference(statement: Statement, scope: Scope, evidence: Evidence) -> tuple[tuple[str, ...], str]:
    """Return the beds of the other side and what to call them."""
    if statement.reference_beds:
        return statement.reference_beds, listed(list(statement.reference_beds))
    groups = statement.reference_groups or ("control",)
    own = set(scope.beds) if len(scope.beds) < len(evidence.garden.beds) else set()
    beds = tuple(bed for bed in beds_of_group(groups, evidence) if bed not in own)
    words = {"amended": "the amended beds", "control": "the unamended beds"}
    return beds, listed([words.get(group, f"the {group} beds") for group in groups])


def _within(rows: pd.DataFrame, since: date | None, until: date | None) -> pd.DataFrame:
    if since is not None:
        rows = rows[rows["sampled_on"] >= str(since)]
    return rows[rows["sampled_on"] <= str(until)] if until is not None else rows


def _values(
    rows: pd.DataFrame, evidence: Evidence, beds: Sequence[str], reference: Sequence[str]
) -> tuple[Floats, tuple[date, ...], str, bool]:
    """Return bed × day values, NaN where missing, for the days that both sides share; ours come first."""
    every = [*beds, *reference]
    unit = str(rows["unit"].iloc[0]) if len(rows) else ""
    columns: list[list[float]] = []
    days: list[date] = []
    for _, part in rows[rows["unit"] == unit].groupby(["sampled_on", *ALIKE], dropna=False, sort=True):
        means = part.groupby("bed")["value"].mean()
        if all(any(bed in means.index for bed in side) for side in (beds, reference)):
            columns.append([float(means.get(bed, math.nan)) for bed in every])
            days.append(part["sampled_on"].iloc[0].date())
    values: Floats = np.array(columns, dtype=np.float64).T
    area = _areas(evidence, every, unit)
    if area is not None and days:
        values = values * (area[: len(beds)].mean() / area)[:, None]
    return values, tuple(days), unit, area is not None


def _areas(evidence: Evidence, beds: Sequence[str], unit: str) -> Floats | None:
    """Return the areas where amounts are per bed, every bed has an area and they differ."""
    known = {bed.bed: bed.area_m2 for bed in evidence.garden.beds}
    areas = [known.get(bed) for bed in beds]
    per_bed = unit in load_toml("claim_measures")["per_bed"]["units"]
    if not per_bed or any(area is None for area in areas) or len(set(areas)) == 1:
        return None
    return np.array(areas, dtype=np.float64)


def _difference(values: Floats, ours: int) -> tuple[float, float, float, int] | None:
    """Return low, middle, high and degrees of freedom of the difference of the two sides."""
    found = _of_two(values) if len(values) == 2 else _of_groups(values, ours)
    if found is None:
        return None
    middle, error, df = found
    reach = float(t_quantile(0.95, df)) * error
    return middle - reach, middle, middle + reach, df


def _of_two(values: Floats) -> tuple[float, float, int] | None:
    """Return difference, its error and degrees of freedom of two beds: the paired t of their days."""
    each = values[0] - values[1]
    if len(each) < 2:
        return None
    return float(each.mean()), float(each.std(ddof=1)) / math.sqrt(len(each)), len(each) - 1


def _of_groups(values: Floats, ours: int) -> tuple[float, float, int]:
    """Return the same for groups: the pooled t of the beds' levels.

    The spread between beds is taken no smaller than the beds' own scatter from day to day makes it: with so
    few beds it can come out small by luck.
    """
    level, scatter = _bed_levels(values)
    first, second = level[:ours], level[ours:]
    df = len(level) - 2
    between = float(((first - first.mean()) ** 2).sum() + ((second - second.mean()) ** 2).sum()) / df
    error = math.sqrt(max(between, scatter) * (1 / len(first) + 1 / len(second)))
    return float(first.mean() - second.mean()), error, df


def _bed_levels(values: Floats) -> tuple[Floats, float]:
    """Return each bed's level free of what a day's beds share, and the variance of such a level."""
    known = np.isfinite(values)
    bed = np.nanmean(values, axis=1)
    for _ in range(50):
        day = np.nanmean(values - bed[:, None], axis=0)
        bed = np.nanmean(values - day[None, :], axis=1)
    left = np.where(known, values - bed[:, None] - day[None, :], 0.0)
    df = int(known.sum()) - sum(values.shape) + 1
    residual = float((left**2).sum()) / df if df > 0 else 0.0
    return bed, residual / float(known.sum(axis=1).mean())
