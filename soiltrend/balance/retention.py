"""How much of the organic matter put on is still there after some years, by group of material."""

import math
from functools import cache, lru_cache

from soiltrend.balance.ranges import Range
from soiltrend.data import load_csv, load_toml


@cache
def _knots(group: str) -> tuple[tuple[float, Range], ...]:
    age: float = load_toml("soil")["retention"]["mean_age"]
    rows = [row for row in load_csv("retention") if row["group"] == group]
    ends = [Range(float(row["low"]), float(row["typical"]), float(row["high"])) for row in rows]
    return tuple(zip([float(row["years_of_use"]) * age for row in rows], ends, strict=True))


@lru_cache(maxsize=4096)
def retained(group: str, years: float) -> Range:
    """Return the fraction still present ``years`` after one application.

    Nothing has gone at 0 years; then straight to the first published figure and on the logarithm of
    time between the figures, so that use year after year adds up to the published fractions; beyond
    them the last slope goes on, at most down to half of the last figure (judgement).

    Parameters
    ----------
    group : str
        A group of retention.csv, e.g. ``compost``.
    years : float
        Age of the application, from 0 up.
    """
    ends = [_at(group, years, end) for end in ("low", "typical", "high")]
    return Range(*ends)


def _at(group: str, years: float, end: str) -> float:
    points = [(0.0, 1.0)] + [(age, float(getattr(value, end))) for age, value in _knots(group)]
    first = points[1]
    if years <= first[0]:
        return 1.0 - (1.0 - first[1]) * max(0.0, years) / first[0]
    pair = next((i for i in range(1, len(points) - 1) if years <= points[i + 1][0]), len(points) - 2)
    (age0, kept0), (age1, kept1) = points[pair], points[pair + 1]
    floor: float = load_toml("soil")["retention"]["floor"]
    slope = (kept1 - kept0) / math.log(age1 / age0)
    return max(kept0 + slope * math.log(years / age0), points[-1][1] * floor)
