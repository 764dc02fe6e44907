"""What is known of all series on the way from the long table to trends."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from soiltrend.trends.fit import Fits
from soiltrend.trends.points import Points, Scales
from soiltrend.trends.ranks import Ranks
from soiltrend.trends.rows import Rows
from soiltrend.trends.segments import Series

EPOCH = date(1970, 1, 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """Everything that was found, on the way from the long table to trends."""

    rows: Rows
    series: Series
    points: Points
    scales: Scales
    fits: Fits
    ranks: Ranks
    level: float


def day_of(day: Any) -> date:
    """Return the date of a number of days since 1970-01-01."""
    return EPOCH + timedelta(days=int(day))
