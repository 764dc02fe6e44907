"""How much a statement claims, in the terms in which the records can be held against it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from soiltrend.claims.change import Change
from soiltrend.claims.scope import Reason
from soiltrend.claims.statement import Statement
from soiltrend.data import load_toml
from soiltrend.errors import SoiltrendError
from soiltrend.units import to_canonical

Mode = Literal["share", "absolute"]
# Units of the long table in which a 'point' is one of the unit itself.
POINT_UNITS = {"%", "[pH]"}
# A percentage larger than this many times the level is a share of it, never points.
MOST_POINTS = 1.5


@dataclass(frozen=True, slots=True)
class Target:
    """A claimed change in the claimed direction: a ``share`` of the level before, or an ``absolute`` amount.

    ``size`` is positive for a change in the direction of the statement. ``words`` says it in a sentence.
    """

    mode: Mode
    size: float
    words: str


def find_targets(statement: Statement, change: Change) -> tuple[Target, ...] | Reason:
    """Return the sizes that the statement may mean: none where it gives none, two where '%' is ambiguous."""
    if statement.times is not None:
        return (_times(statement),)
    if statement.level_from is not None and statement.level_to is not None:
        return _from_to(statement, change)
    if statement.percent is not None:
        other = in_series_unit(statement.change or 0.0, statement, change, difference=True)
        if statement.change is not None and isinstance(other, Reason):
            return other  # '1 % … 25,000 gallons' is not about this measure alone
        return _percent(statement, change)
    if statement.change is not None:
        size = in_series_unit(statement.change, statement, change, difference=True)
        if isinstance(size, Reason):
            return size
        return (Target("absolute", size, f"{statement.change:g} {statement.unit or ''}".strip()),)
    return ()


def _sign(statement: Statement) -> int:
    return -1 if statement.direction == "down" else 1


def _times(statement: Statement) -> Target:
    times = float(statement.times or 1.0)
    if statement.direction == "down" and times > 1:  # 'three times lower'
        times = 1 / times
    return Target("share", (times - 1) * _sign(statement), f"{times:g} times the level before")


def _from_to(statement: Statement, change: Change) -> tuple[Target, ...] | Reason:
    ends = [
        in_series_unit(level, statement, change, difference=False)
        for level in (statement.level_from, statement.level_to)
        if level is not None
    ]
    wrong = next((end for end in ends if isinstance(end, Reason)), None)
    if wrong is not None:
        return wrong
    first, last = (float(end) for end in ends if not isinstance(end, Reason))
    words = f"from {statement.level_from:g} to {statement.level_to:g}"
    if change.on_log and first > 0:
        return (Target("share", (last / first - 1) * _sign(statement), words),)
    return (Target("absolute", (last - first) * _sign(statement), words),)


def _percent(statement: Statement, change: Change) -> tuple[Target, ...]:
    share = Target("share", float(statement.percent or 0) / 100, f"{statement.percent:g} % of what it was")
    # 'up 25 %' of a level of 3 % cannot be meant as points; 'up 2 %' can.
    as_points = change.trend.unit == "%" and not statement.relative
    if not as_points or float(statement.percent or 0) > MOST_POINTS * abs(change.start):
        return (share,)
    points = Target("absolute", float(statement.percent or 0), f"{statement.percent:g} percentage points")
    return (share, points)


def in_series_unit(value: float, statement: Statement, change: Change, *, difference: bool) -> float | Reason:
    """Return ``value`` as said, in the unit of the series; a reason where the units do not fit."""
    trend = change.trend
    return in_unit(value, statement, trend.unit, trend.analyte, difference=difference)


def in_unit(
    value: float, statement: Statement, ours: str, analyte: str, *, difference: bool
) -> float | Reason:
    """Return ``value``, said in the statement's unit, in ``ours``; a reason where the units do not fit."""
    unit = statement.unit
    if unit is None or _same(unit, ours):
        return value
    factors = load_toml("claim_units")["same_kind"]
    for kind in factors.values():
        if unit in kind and ours in kind:
            return value * float(kind[unit]) / float(kind[ours])
    code = load_toml("claim_units")["codes"].get(unit)
    if code:
        try:
            converted = to_canonical(value, analyte=analyte, unit=code)
        except SoiltrendError as error:
            return Reason("unit-not-comparable", str(error))
        if converted.unit == ours:
            return converted.value
    what = "a change" if difference else "a level"
    return Reason(
        "unit-not-comparable", f"The sentence gives {what} in {unit}; the records are in {ours or 'no unit'}."
    )


def _same(unit: str, ours: str) -> bool:
    if unit == "points" or (unit == "%" and ours == "%"):
        return ours in POINT_UNITS
    return ours in load_toml("claim_units")["alike"].get(unit, []) or unit == ours


def observed(change: Change, mode: Mode, sign: int) -> tuple[float, float, float]:
    """Return low, middle and high of the observed change in the claimed direction, as ``mode`` counts it."""

    def effect(slope: float) -> float:
        return change.ratio(slope) - 1 if mode == "share" else change.total(slope)

    ends = sorted(sign * effect(slope) for slope in (change.low, change.high))
    return ends[0], sign * effect(change.middle), ends[1]
